package raw

import (
	"bytes"
	"encoding/binary"
	"encoding/hex"

	"garner/preview/bmff"
	"garner/preview/exif"
)

// This file locates embedded JPEGs in CR3 files: ISO base media boxes with three
// uuid boxes of the maker's, after the public description of the layout. The full
// JPEG is the sample of the track whose CRAW entry has a child JPEG, the screen
// JPEG lies in PRVW, the thumbnail in THMB; CMT1 to CMT3 are IFD0, the Exif IFD
// and the maker note, each a TIFF structure of its own.

// ProblemSeveral says that the file holds several pictures and the first is used.
const ProblemSeveral = "several-pictures"

// The extended types of the maker's uuid boxes and of the XMP packet.
const (
	uuidCanon   = "85c0b687820f11e08111f4ce462b6a48"
	uuidXMP     = "be7acfcb97a942e89c71999491e3afac"
	uuidPreview = "eaf42b5e1c984b88b9fbb7dc406e4d16"
)

// crawFields is how far the child boxes of a CRAW sample entry lie behind its
// header: the 78 bytes of ISO/IEC 14496-12 §12.1.3 and four of the maker's.
const crawFields = 82

func isCR3(head []byte) bool {
	return len(head) >= 12 && string(head[4:12]) == "ftypcrx "
}

// cr3 is the state of reading one CR3 file.
type cr3 struct {
	*scan
	boxes    *bmff.Reader
	previews bool // the uuid box of the screen JPEG was met
}

func locateCR3(s *scan) error {
	s.out.Kind = "CR3"
	c := &cr3{scan: s, boxes: bmff.NewReader(s.src)}
	top, err := c.boxes.Top()
	s.fault(err, "list of boxes")
	s.cutBoxes(top)
	moov, ok := bmff.First(top, "moov")
	if !ok {
		s.problem(ProblemBadContainer, "the file has no moov box")
	}
	var kids []bmff.Box
	if ok {
		kids, err = c.boxes.Children(moov, 0)
		s.fault(err, "moov box")
	}
	var canon bmff.Box
	for _, b := range kids {
		if b.Type == "uuid" && hex.EncodeToString(b.UUID[:]) == uuidCanon {
			canon = b
			c.canon(b)
		}
	}
	for _, b := range kids {
		if b.Type == "trak" {
			c.track(b)
		}
	}
	for _, b := range top {
		c.top(b)
	}
	if !c.previews && canon.Type != "" {
		c.index(canon)
	}
	return nil
}

// top looks at a uuid box of the top level.
func (c *cr3) top(b bmff.Box) {
	if b.Type != "uuid" {
		return
	}
	switch hex.EncodeToString(b.UUID[:]) {
	case uuidXMP:
		c.setXMP(b.Body, b.Len())
	case uuidPreview:
		c.previews = true
		const fields = 8
		kids, err := c.boxes.Children(b, fields)
		c.fault(err, "preview box")
		if p, ok := bmff.First(kids, "PRVW"); ok {
			c.picture(p, 12)
		}
	}
}

// canon reads the maker's box in moov.
func (c *cr3) canon(b bmff.Box) {
	kids, err := c.boxes.Children(b, 0)
	c.fault(err, "box of the metadata")
	// The order matters: the serial number's form depends on the model, and what
	// Exif says comes before what the maker note says.
	for _, part := range []struct {
		typ  string
		root exif.Root
	}{{"CMT1", exif.RootIFD0}, {"CMT2", exif.RootExif}, {"CMT3", exif.RootCanonNote}} {
		p, ok := bmff.First(kids, part.typ)
		if !ok {
			continue
		}
		v := exif.Visitor{Fault: func(what string, err error) { c.fault(err, what) }}
		if err := exif.Walk(c.src, p.Body, p.Len(), part.root, &c.out.Meta, v); err != nil {
			c.fault(err, "box "+part.typ)
		}
	}
	if t, ok := bmff.First(kids, "THMB"); ok {
		c.picture(t, 8)
	}
}

// picture adds the JPEG in a THMB or PRVW box, whose length stands sizeAt bytes
// into the content. Versions differ in the fields before the JPEG, so its start is
// looked for.
func (c *cr3) picture(b bmff.Box, sizeAt int) {
	const fields = 64
	p, err := c.boxes.Content(b, fields)
	if err != nil {
		c.fault(err, "box "+b.Type)
		return
	}
	start := bytes.Index(p, []byte{0xFF, 0xD8, 0xFF})
	if start < sizeAt+4 {
		if b.Len() > int64(fields) {
			c.problem(ProblemNotJPEG, "the box %s at %d holds no JPEG", b.Type, b.Offset)
			return
		}
		start = 16 // a stub: let the verdict come from its length
	}
	if len(p) < sizeAt+4 {
		return
	}
	off, length := b.Body+int64(start), int64(binary.BigEndian.Uint32(p[sizeAt:]))
	// The padding that fills the box counts as part of the JPEG, as in the reference
	// reader exiftool.
	const grain = 8
	if pad := b.End - off - length; !b.Cut && pad > 0 && pad < grain {
		length += pad
	}
	// Behind the end of the box but inside the file lies something else.
	if off+length > b.End && c.src.Inside(off, length) {
		c.problem(ProblemCutOff, "the JPEG of the box %s (%d bytes at %d) reaches past the end of the box", b.Type, length, off)
		return
	}
	c.addCandidate(off, length, hint{what: "box " + b.Type})
}

// track adds the sample of a track that holds a JPEG. Burst files hold one sample
// for each picture.
func (c *cr3) track(b bmff.Box) {
	t, err := c.boxes.Track(b)
	if t.Entry.Type != "" && t.Entry.Type != "CRAW" {
		return // timed metadata
	}
	if err != nil {
		c.fault(err, "track")
		return
	}
	kids, err := c.boxes.Children(t.Entry, min(crawFields, t.Entry.Len()))
	c.fault(err, "sample entry")
	_, jpeg := bmff.First(kids, "JPEG")
	_, sensor := bmff.First(kids, "CMP1")
	if sensor && !jpeg {
		return
	}
	if t.Samples > 1 {
		c.problem(ProblemSeveral, "the file holds %d pictures, of which the first is shown", t.Samples)
	}
	c.addCandidate(t.Offset, t.Length, hint{what: "track", maybe: !jpeg})
}

// index follows the maker's table of places (CTBO) to the preview box, for files
// whose list of boxes is damaged before it. A record is number, offset, size.
func (c *cr3) index(canon bmff.Box) {
	kids, _ := c.boxes.Children(canon, 0)
	ctbo, ok := bmff.First(kids, "CTBO")
	if !ok {
		return
	}
	const record, preview = 20, 2
	p, err := c.boxes.Content(ctbo, 4+8*record)
	if err != nil || len(p) < 4 {
		return
	}
	for p = p[4:]; len(p) >= record; p = p[record:] {
		if binary.BigEndian.Uint32(p) != preview {
			continue
		}
		off := binary.BigEndian.Uint64(p[4:])
		if off >= uint64(c.src.Size()) {
			return
		}
		if b, err := c.boxes.At(int64(off)); err == nil {
			c.top(b)
		}
		return
	}
}
