package raw

import (
	"garner/preview/exif"
	"garner/preview/tiff"
)

// This file locates embedded JPEGs in raw files that are TIFF structures: CR2,
// NEF, NRW, ARW, SR2, DNG, GPR, PEF, SRW, ORF, RW2, RWL, 3FR, IIQ, ERF, and in
// plain TIFF. One rule serves all: every chained IFD, every SubIFD and the maker
// note's directories are walked, and each place that may hold a JPEG is a
// candidate. Only what tells the families apart is theirs alone.

// Versions in the header: TIFF 6.0 §2, and what two makers put instead.
const (
	versionTIFF      = 42
	versionPanasonic = 0x0055
	versionOlympus   = 0x4F52
	versionOlympusS  = 0x5352
)

// Values of Compression (TIFF 6.0 §22, Technical Note 2) and of
// PhotometricInterpretation (TIFF/EP, DNG).
const (
	compressionOldJPEG = 6
	compressionJPEG    = 7
	photometricCFA     = 32803
	photometricLinear  = 34892
)

// tiffFile is what is learned of a TIFF-based file while its directories go by.
type tiffFile struct {
	*scan
	version uint16
	cr2     bool    // "CR" behind the header
	dng     bool    // has a DNGVersion
	sensor  bool    // has a directory of sensor data
	mosaic  bool    // IFD0 is it
	reduced bool    // IFD0 is a reduced picture and has SubIFDs
	pointer bool    // IFD0 points to a JPEG
	whole   Segment // a JPEG with Exif of its own
}

func locateTIFF(s *scan) error {
	h, err := tiff.ParseHeader(s.head)
	if err != nil {
		return &FormatError{0, err.Error()}
	}
	t := &tiffFile{scan: s, version: h.Version}
	t.cr2 = len(s.head) >= 10 && string(s.head[8:10]) == "CR"
	read := 0
	v := exif.Visitor{
		Dir:   func(d exif.Dir) { read++; t.dir(d) },
		Fault: func(what string, err error) { s.fault(err, what) },
	}
	if err := exif.Walk(s.src, 0, s.src.Size(), exif.RootIFD0, &s.out.Meta, v); err != nil {
		return err
	}
	if read == 0 {
		return &FormatError{h.First, "the first image file directory cannot be read"}
	}
	if j := t.whole; j.Length > 0 {
		// What the embedded JPEG's Exif says stands in for what the raw's leaves out.
		// That it is cut off, or none, is said with the verdict on the candidate.
		if _, err := s.insideJPEG(j.Offset, j.Length, "embedded JPEG"); err != nil && s.src.Failed() != nil {
			s.fault(err, "embedded JPEG")
		}
	}
	s.out.Kind = t.kind()
	return nil
}

// dir adds the candidates of one directory.
func (t *tiffFile) dir(d exif.Dir) {
	switch d.Kind {
	case exif.DirMain:
		if d.Index == 0 {
			t.first(d)
		}
		t.picture(d)
	case exif.DirSub:
		t.picture(d)
	case exif.DirNote, exif.DirNoteSub:
		t.noteDir(d)
	}
}

// first looks at what only IFD0 has.
func (t *tiffFile) first(d exif.Dir) {
	t.dng = d.Find(0xC612) != nil
	if x := d.Find(0x02BC); x != nil {
		t.setXMP(x.Offset, x.Size)
	}
	if t.version == versionPanasonic {
		t.panasonic(d)
	}
	// A raw file's IFD0 is often a reduced picture, with the sensor's in a SubIFD;
	// a finished TIFF never says so of its main directory.
	sub, _ := d.Find(0x00FE).Int()
	t.reduced = sub&1 != 0 && d.Find(0x014A) != nil
	t.pointer = d.Find(0x0201) != nil
}

// panasonic takes the whole JPEG that is the value of tag 0x002E, and the
// sensor's active area from the borders in tags 4 to 7.
func (t *tiffFile) panasonic(d exif.Dir) {
	if e := d.Find(0x002E); e != nil && e.Size > 4 {
		t.addCandidate(e.Offset, e.Size, hint{what: "tag 0x2e of directory IFD0"})
		t.whole = Segment{e.Offset, e.Size}
	}
	var border [4]int64 // top, left, bottom, right
	for i := range border {
		border[i], _ = d.Find(uint16(4 + i)).Int()
	}
	if w, h := border[3]-border[1], border[2]-border[0]; w > 0 && h > 0 {
		t.out.Meta.Width, t.out.Meta.Height = int(w), int(h)
	}
}

// picture adds what a directory of a picture points to.
func (t *tiffFile) picture(d exif.Dir) {
	photometric, _ := d.Find(0x0106).Int()
	compression, _ := d.Find(0x0103).Int()
	if photometric == photometricCFA || photometric == photometricLinear || rawCompression(compression) {
		t.sensor = t.sensor || photometric != photometricLinear
		t.mosaic = t.mosaic || d.Kind == exif.DirMain && d.Index == 0
		return
	}
	h := hint{what: d.What}
	if w, ok := d.Find(0x0100).Int(); ok {
		h.width = int(w)
	}
	if n, ok := d.Find(0x0101).Int(); ok {
		h.height = int(n)
	}
	t.pointed(d, h)
	if compression != compressionOldJPEG && compression != compressionJPEG {
		return
	}
	if d.Find(0x015B) != nil {
		return // JPEGTables: the strips are no JPEGs of their own
	}
	// Strips of a directory that is not marked as a reduced picture may as well be
	// sensor data; in CR2 the later directories are, and IFD0 is the preview.
	reduced, _ := d.Find(0x00FE).Int()
	h.maybe = reduced&1 == 0 && !(t.cr2 && d.Kind == exif.DirMain && d.Index == 0)
	t.strip(d, 0x0111, 0x0117, h)
	t.strip(d, 0x0144, 0x0145, h)
}

// strip adds a picture that is one strip (0x0111, 0x0117) or one tile.
func (t *tiffFile) strip(d exif.Dir, offsets, counts uint16, h hint) {
	o, n := d.Find(offsets), d.Find(counts)
	if o == nil || n == nil || o.Count != 1 || n.Count != 1 {
		return
	}
	off, ok := o.Int()
	length, ok2 := n.Int()
	if ok && ok2 && off != 0xFFFFFFFF {
		t.addCandidate(d.R.Base()+off, length, h)
	}
}

// rawCompression knows the numbers that makers use for sensor data alone, as the
// reference reader exiftool lists them: Sony 32767, Samsung 32769 to 32773,
// Nikon 34713, Panasonic 34316 to 34828, Pentax 65535.
func rawCompression(c int64) bool {
	switch c {
	case 32767, 32769, 32770, 32772, 34316, 34713, 34826, 34828, 65535:
		return true
	}
	return false
}
