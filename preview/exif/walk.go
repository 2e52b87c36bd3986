package exif

import (
	"fmt"

	"garner/preview/internal/bin"
	"garner/preview/tiff"
)

// DirKind says what a directory is in the tree that begins at the first one.
type DirKind int

// The kinds of directories.
const (
	DirMain    DirKind = iota // IFD0 and what is chained after it; Index counts
	DirSub                    // of tag SubIFDs (0x014A), and what is chained after it
	DirExif                   // of tag 0x8769
	DirInterop                // of tag 0xA005
	DirNote                   // the maker note's first directory
	DirNoteSub                // one that the maker note points to
)

// Dir is one directory that a walk came to.
type Dir struct {
	Kind  DirKind
	Index int    // of DirMain: 0 is IFD0; of DirNoteSub: the tag that points to it
	Maker Maker  // of DirNote and DirNoteSub
	What  string // for messages, after "the": "directory IFD1", "SubIFD at 1002"
	*tiff.IFD
	R *tiff.Reader
}

// Visitor is told what a walk meets. Both functions may be nil.
type Visitor struct {
	Dir   func(Dir)
	Fault func(what string, err error) // what could not be read; the walk goes on
}

// maxDepth bounds how deep SubIFDs may nest. Real files have two levels.
const maxDepth = 4

// tagged pointers to directories.
const (
	tagSubIFDs   = 0x014A
	tagExifIFD   = 0x8769
	tagInterop   = 0xA005
	tagMakerNote = 0x927C
)

// NewMeta is a Meta of which nothing is known.
func NewMeta() Meta { return Meta{ExposureMode: -1} }

// Read takes the metadata of the TIFF structure of size bytes at base in the file
// into m. What m already knows stays, so that several structures of one file can
// be read, the most trusted first; begin with NewMeta. The error is the first of
// the faults; what could be read is in m all the same.
func Read(src *bin.Source, base, size int64, root Root, m *Meta) error {
	var first error
	err := Walk(src, base, size, root, m, Visitor{Fault: func(what string, err error) {
		if first == nil {
			first = fmt.Errorf("%s: %w", what, err)
		}
	}})
	if err != nil {
		return err
	}
	return first
}

// Walk is Read that shows every directory to a visitor: each chained IFD, each
// SubIFD, the Exif and interoperability IFDs and those of the maker note. The
// version in the header may be any number, because some raw formats have their
// own. The error says that there is no such structure.
func Walk(src *bin.Source, base, size int64, root Root, m *Meta, v Visitor) error {
	h, err := tiff.ReadHeader(src, base)
	if err != nil {
		return err
	}
	w := &walker{m: m, v: v}
	r := tiff.NewReader(src, base, size, h.Order)
	switch root {
	case RootExif:
		w.exif(r, h.First)
	case RootCanonNote:
		w.note(note{Canon, r, h.First})
	case RootIFD0:
		w.chain(r, h.First, DirMain, 0)
	}
	w.finish()
	return nil
}

// walker is the state of one Walk.
type walker struct {
	m *Meta
	v Visitor

	hasExif       bool
	interop       string
	width, height int   // of the largest directory that holds the main picture
	place         place // of focus, by a maker note
}

// read reads one directory and shows it to the visitor.
func (w *walker) read(r *tiff.Reader, off int64, d Dir) (*tiff.IFD, bool) {
	ifd, err := r.IFD(off)
	if err != nil {
		w.fault(d.What, err)
		return nil, false
	}
	if ifd.Cut {
		w.fault(d.What, bin.ErrEnd)
	}
	for i := range ifd.Entries {
		if e := &ifd.Entries[i]; e.Size > r.Source().Size() {
			w.fault(d.What, fmt.Errorf("tag %#x with %d values: %w", e.Tag, e.Count, tiff.ErrCount))
			break
		}
	}
	if d.IFD, d.R = ifd, r; w.v.Dir != nil {
		w.v.Dir(d)
	}
	return ifd, true
}

func (w *walker) fault(what string, err error) {
	if w.v.Fault != nil {
		w.v.Fault(what, err)
	}
}

// chain reads a directory, what hangs on it, and those that follow it. The
// metadata comes before the pictures' directories, so that it is the last to be
// missed when the read limit is reached.
func (w *walker) chain(r *tiff.Reader, off int64, kind DirKind, depth int) {
	for i := 0; off != 0; i++ {
		d := Dir{Kind: kind, Index: i, What: fmt.Sprintf("directory IFD%d", i)}
		if kind == DirSub {
			d.What = fmt.Sprintf("SubIFD at %d", r.Base()+off)
		}
		ifd, ok := w.read(r, off, d)
		if !ok {
			return
		}
		if kind == DirMain && i == 0 {
			w.mainFields(ifd)
		}
		w.size(ifd)
		// Thumbnails' directories repeat the pointer in some files.
		if p, ok := ifd.Find(tagExifIFD).Int(); ok && !w.hasExif {
			w.exif(r, p)
		}
		if kind == DirMain && i == 0 {
			// TIFF/EP keeps the same fields in IFD0: they count where Exif is silent.
			w.exifFields(ifd)
			setSerial(&w.m.Serial, ifd.Find(0xC62F)) // DNG CameraSerialNumber
		}
		if subs := ifd.Find(tagSubIFDs); subs != nil && depth < maxDepth {
			for _, p := range subs.Ints(maxSubs) {
				w.chain(r, p, DirSub, depth+1)
			}
		}
		off = ifd.Next
	}
}

// maxSubs is how many SubIFDs one directory may have. DNG files with several
// previews have five.
const maxSubs = 16

// exif reads the Exif IFD and what it points to.
func (w *walker) exif(r *tiff.Reader, off int64) {
	ifd, ok := w.read(r, off, Dir{Kind: DirExif, What: "Exif IFD"})
	if !ok {
		return
	}
	w.hasExif = true
	w.exifFields(ifd)
	if p, ok := ifd.Find(tagInterop).Int(); ok {
		if d, ok := w.read(r, p, Dir{Kind: DirInterop, What: "interoperability IFD"}); ok && w.interop == "" {
			w.interop = d.Find(0x0001).Text()
		}
	}
	if e := ifd.Find(tagMakerNote); e != nil {
		if n, ok := openNote(r, e, w.m.Make); ok {
			w.note(n)
		}
	}
}

// size remembers the largest directory of the main picture. TIFF 6.0 §8:
// NewSubfileType bit 0 marks a reduced one.
func (w *walker) size(d *tiff.IFD) {
	if t, ok := d.Find(0x00FE).Int(); ok && t&1 != 0 {
		return
	}
	x, _ := d.Find(0x0100).Int()
	y, _ := d.Find(0x0101).Int()
	if x > 0 && y > 0 && x <= maxSide && y <= maxSide && x*y > int64(w.width)*int64(w.height) {
		w.width, w.height = int(x), int(y)
	}
}

// maxSide is a bound on believable picture sides in pixels.
const maxSide = 1 << 18

// finish settles what needs more than one directory.
func (w *walker) finish() {
	m := w.m
	if m.Width == 0 || m.Height == 0 {
		m.Width, m.Height = w.width, w.height
	}
	if !m.Subject.Given {
		m.Subject = w.place.area(m.Width, m.Height)
	}
	// DCF: Adobe RGB files say "uncalibrated", and R03 in the interoperability IFD.
	if m.ColorSpace == "uncalibrated" && w.interop == "R03" {
		m.ColorSpace = "Adobe RGB"
	}
}
