package raw

import (
	"bytes"
	"encoding/binary"
	"fmt"

	"garner/preview/bmff"
	"garner/preview/exif"
)

// This file reads HEIF pictures (ISO/IEC 23008-12) as cameras and telephones write
// them: size and orientation from the properties of the primary item, metadata
// from the Exif item, and as previews the items that are coded as JPEG. The
// pictures themselves are HEVC, which is not decoded.

// The brands of files that hold still pictures, or sequences of them: HEVC- and
// JPEG-coded (ISO/IEC 23008-12 Annexes B and H), structural (§10), and MIAF's.
func isHEIF(b bmff.Brands) bool {
	coded := b.Has("heic", "heix", "heim", "heis", "hevc", "hevx", "hevm", "hevs", "jpeg", "jpgs")
	// AV1 pictures carry the structural brands too.
	return coded || b.Has("mif1", "mif2", "msf1", "miaf") && !b.Has("avif", "avis")
}

// isMedia knows every ISO base media file; which of them it is, the brands say.
func isMedia(head []byte) bool { return len(head) >= 12 && string(head[4:8]) == "ftyp" }

func locateHEIF(s *scan) error {
	r := bmff.NewReader(s.src)
	top, err := r.Top()
	if len(top) == 0 {
		return &FormatError{0, "the first box cannot be read"}
	}
	brands, berr := r.Brands(top[0])
	if berr != nil {
		return &FormatError{top[0].Offset, "the list of brands cannot be read"}
	}
	switch {
	case isHEIF(brands):
	case brands.Has("avif", "avis"):
		return &UnsupportedError{8, "an AVIF picture, which no camera writes"}
	default:
		return &UnsupportedError{8, fmt.Sprintf("a media file of brand %q, no still picture", brands.Major())}
	}
	s.out.Kind = "HEIF"
	s.fault(err, "list of boxes")
	s.cutBoxes(top)
	meta, ok := bmff.First(top, "meta")
	if !ok {
		s.problem(ProblemBadContainer, "the file has no meta box")
		return nil
	}
	items, err := r.Items(meta)
	s.fault(err, "table of items")
	h := &heif{scan: s, boxes: r, items: items, primary: items.Find(items.Primary)}
	h.picture()
	h.metadata()
	h.previews()
	return nil
}

// cutBoxes says which boxes of the top level the file's end cuts off.
func (s *scan) cutBoxes(top []bmff.Box) {
	for _, b := range top {
		if b.Cut {
			s.problem(ProblemBadPlace, "the box %q reaches past the end of the file", b.Type)
		}
	}
}

// heif is the state of reading one HEIF file.
type heif struct {
	*scan
	boxes   *bmff.Reader
	items   *bmff.Items
	primary *bmff.Item // nil if the file does not say
}

// picture takes size and orientation from the primary item. The properties decide
// how the picture is shown; the orientation in the Exif item only repeats it (ISO/
// IEC 23008-12 Annex A), so it stands back even where there is no property.
func (h *heif) picture() {
	if h.primary == nil {
		return
	}
	m := &h.out.Meta
	m.Orientation = 1
	for _, p := range h.primary.Props {
		switch p.Type {
		case "ispe":
			b, err := h.boxes.Content(p, 12)
			if err != nil || len(b) < 12 {
				continue
			}
			w, n := binary.BigEndian.Uint32(b[4:]), binary.BigEndian.Uint32(b[8:])
			if w > 0 && n > 0 && w <= maxSide && n <= maxSide {
				m.Width, m.Height = int(w), int(n)
			}
		case "irot", "imir":
			b, err := h.boxes.Content(p, 1)
			if err != nil || len(b) < 1 {
				continue
			}
			m.Orientation = turn(m.Orientation, p.Type, b[0])
		}
	}
	if c := coding(h.primary.Type); c != "" {
		h.noPreview = "the picture is coded in " + c + ", which is not decoded, and the file holds no whole embedded JPEG"
	}
}

// maxSide is a bound on believable picture sides in pixels.
const maxSide = 1 << 18

// coding names what an item type stands for in a message.
func coding(typ string) string {
	switch typ {
	case "hvc1", "hev1", "grid", "iovl", "iden", "tmap":
		return "HEVC"
	case "av01":
		return "AV1"
	case "avc1":
		return "AVC"
	}
	return ""
}

// turn applies one transformative property behind an Exif orientation: irot turns
// anticlockwise by quarter turns (ISO/IEC 23008-12 §6.5.10), imir exchanges top
// and bottom (0) or left and right (1) (§6.5.12, 2022 edition).
func turn(o int, typ string, value byte) int {
	v := views()[o-1]
	switch {
	case typ == "irot":
		for range value & 3 {
			v = view{ax: v.ay, ay: -v.ax, bx: v.by, by: -v.bx}
		}
	case value&1 == 0:
		v.ay, v.by = -v.ay, -v.by
	default:
		v.ax, v.bx = -v.ax, -v.bx
	}
	for i, w := range views() {
		if v == w {
			return i + 1
		}
	}
	return o // cannot be: the eight views are closed under turning
}

// view is where a stored picture's axes point on the screen: a is the stored x
// axis (to the right), b the stored y axis (down), each as screen x and y.
type view struct{ ax, ay, bx, by int }

// views are the eight orientations of Exif §4.6.4, from 1.
func views() [8]view {
	return [8]view{
		{1, 0, 0, 1}, {-1, 0, 0, 1}, {-1, 0, 0, -1}, {1, 0, 0, -1},
		{0, 1, 1, 0}, {0, 1, -1, 0}, {0, -1, -1, 0}, {0, -1, 1, 0},
	}
}

// best returns the item that match accepts, one that describes the primary item
// before any other.
func (h *heif) best(match func(*bmff.Item) bool) *bmff.Item {
	var first *bmff.Item
	for i := range h.items.List {
		it := &h.items.List[i]
		if it.Length == 0 || !match(it) {
			continue
		}
		if h.items.Refers("cdsc", it.ID, h.items.Primary) {
			return it
		}
		if first == nil {
			first = it
		}
	}
	return first
}

// metadata reads the Exif item, and notes where the XMP packet lies.
func (h *heif) metadata() {
	if it := h.best(func(i *bmff.Item) bool { return i.Mime == "application/rdf+xml" }); it != nil {
		h.setXMP(it.Offset, it.Length)
	}
	it := h.best(func(i *bmff.Item) bool { return i.Type == "Exif" })
	if it == nil {
		return
	}
	const what = "Exif item"
	base, err := h.exifBase(it)
	if err != nil {
		h.fault(err, what)
		return
	}
	v := exif.Visitor{
		Dir:   func(d exif.Dir) { h.jpegDir(d, what) },
		Fault: func(dir string, err error) { h.fault(err, dir) },
	}
	if err := exif.Walk(h.src, base, it.Offset+it.Length-base, exif.RootIFD0, &h.out.Meta, v); err != nil {
		h.fault(err, what)
	}
}

// exifBase finds the TIFF header in an Exif item: behind the four-byte field that
// tells how many bytes come before it (ISO/IEC 23008-12 §A.2.1), and behind the
// identifier of a JPEG segment, which some writers leave out of that number.
func (h *heif) exifBase(it *bmff.Item) (int64, error) {
	b, err := h.src.At(it.Offset, 4)
	if err != nil {
		return 0, err
	}
	base := it.Offset + 4 + int64(binary.BigEndian.Uint32(b))
	id := []byte("Exif\x00\x00")
	if b, err = h.src.UpTo(base, len(id)); err != nil {
		return 0, err
	}
	if bytes.Equal(b, id) {
		base += int64(len(id))
	}
	return base, nil
}

// previews adds the items that are JPEGs by themselves.
func (h *heif) previews() {
	for i := range h.items.List {
		it := &h.items.List[i]
		if it.Type != "jpeg" && it.Mime != "image/jpeg" {
			continue
		}
		// With a configuration property the item lacks its tables (§H.2).
		if _, split := bmff.First(it.Props, "jpgC"); split {
			continue
		}
		h.addCandidate(it.Offset, it.Length, hint{what: "JPEG item"})
	}
}
