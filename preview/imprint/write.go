package imprint

import (
	"bytes"
	"crypto/sha256"
	"fmt"

	"garner/preview/icc"
	"garner/preview/jpeg"
)

// Output says how a picture becomes a file.
type Output struct {
	Quality int       // 1 to 100, on the scale of the Independent JPEG Group
	Limit   int       // most bytes of the whole file; 0 = none
	Floor   int       // lowest quality that Limit may ask for; 0 = 30
	PPI     int       // pixels per inch; 0 = 300
	Space   icc.Space // of the planes
	Profile []byte    // ICC profile; nil = none
	Meta    Meta
}

// Written is a file.
type Written struct {
	Bytes     []byte
	Quality   int      // that was taken
	Tries     int      // how often the picture was encoded
	Shortened []string // fields that IPTC has no room for; XMP has them whole
}

func (o *Output) ppi() int {
	if o.PPI == 0 {
		return 300
	}
	return o.PPI
}

// Write encodes a picture and puts its metadata around it. Errors are *LimitError
// and *MetaError where a limit or metadata are at fault.
func Write(m *jpeg.Image, o Output) (Written, error) {
	if err := o.valid(m); err != nil {
		return Written{}, err
	}
	meta, err := o.Meta.cleaned()
	if err != nil {
		return Written{}, err
	}
	h := head{density: o.ppi()}
	if h.exif, err = exifBytes(&meta, &o, m.Width, m.Height, m.Grey()); err != nil {
		return Written{}, err
	}
	var w Written
	h.resource, w.Shortened = iptc(&meta)
	h.profile = o.Profile
	// All ids of instances have one length, so that one of none tells the size.
	if h.xmp, err = packet(&meta, guid("instance")); err != nil {
		return Written{}, err
	}
	size := h.size()
	b, err := w.encode(m, &o, size)
	if err != nil {
		return Written{}, err
	}
	// Where the segments end, our encoder has put its own beginning.
	if own := b[size-jfifEnd : size]; !bytes.HasPrefix(own, []byte("\xFF\xD8\xFF\xE0\x00\x10JFIF\x00")) {
		return Written{}, fmt.Errorf("the encoder wrote no JFIF")
	}
	sum := sha256.New()
	sum.Write(h.append(b[:0]))
	sum.Write(b[size:])
	if h.xmp, err = packet(&meta, InstanceID(sum.Sum(nil))); err != nil {
		return Written{}, err
	}
	h.append(b[:0])
	w.Bytes = b
	return w, nil
}

// jfifEnd is the length of a start of image and a JFIF segment.
const jfifEnd = 2 + 18

func (o *Output) valid(m *jpeg.Image) error {
	switch {
	case !m.Valid() || m.Width > maxSide || m.Height > maxSide:
		return fmt.Errorf("a picture of no or too many pixels cannot be written")
	case o.Quality < 1 || o.Quality > 100 || o.Floor < 0 || o.Floor > 100 || o.Limit < 0:
		return fmt.Errorf("a quality of %d to %d lies outside 1 to 100, or the limit is below nothing", o.Floor, o.Quality)
	case o.PPI < 0 || o.PPI > 65535:
		return fmt.Errorf("a resolution of %d pixels per inch cannot be written", o.PPI)
	case !known(o.Space):
		return fmt.Errorf("unknown colour space")
	case len(o.Profile) > maxChunk*maxChunks:
		return &MetaError{"profile", len(o.Profile), maxChunk * maxChunks}
	}
	return fits(o.Profile, m.Grey())
}

// fits says whether a profile is one of pictures like this (ICC.1:2022 clause
// 7.2): a reader that takes one of another kind shows nonsense.
func fits(profile []byte, grey bool) error {
	const signature, colours = 36, 16
	want := "RGB "
	if grey {
		want = "GRAY"
	}
	switch {
	case len(profile) == 0:
		return nil
	case len(profile) < 128 || string(profile[signature:signature+4]) != "acsp":
		return fmt.Errorf("the profile to embed is none")
	case string(profile[colours:colours+4]) != want:
		return fmt.Errorf("the profile to embed is for %q, the picture is %q", plain(string(profile[colours:colours+4])), want)
	}
	return nil
}
