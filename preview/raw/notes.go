package raw

import "garner/preview/exif"

// This file knows where maker notes keep embedded JPEGs. Tag numbers are those of
// the tables of the reference reader exiftool.

// noteDir adds the pictures of a maker note's directory.
func (s *scan) noteDir(d exif.Dir) {
	h := hint{what: "maker note"}
	if d.Kind == exif.DirNoteSub && !(d.Maker == exif.Olympus && d.Index == exif.OlympusMain) {
		if d.Maker == exif.Olympus && d.Index == exif.OlympusCamera {
			if valid, ok := d.Find(0x0100).Int(); !ok || valid != 0 {
				s.pair(d, 0x0101, 0x0102, h)
			}
			return
		}
		s.pointed(d, h)
		return
	}
	switch d.Maker {
	case exif.Olympus:
		s.pair(d, 0x0088, 0x0089, h)
		if valid, ok := d.Find(0x1035).Int(); !ok || valid != 0 {
			s.pair(d, 0x1036, 0x1037, h)
		}
		s.value(d, 0x0100, 0)
		s.value(d, 0x0280, 0)
	case exif.Minolta:
		s.pair(d, 0x0088, 0x0089, h)
		s.value(d, 0x0081, 0)
	case exif.Pentax, exif.Casio:
		s.pair(d, 0x0004, 0x0003, h)
	case exif.Sony:
		s.pair(d, 0x0088, 0x0089, h)
		// Behind a length, the size twice and zeros.
		s.value(d, 0x2001, 32)
	}
}

// pair adds a JPEG given by a tag for its offset and one for its length.
func (s *scan) pair(d exif.Dir, offTag, lengthTag uint16, h hint) {
	off, ok := d.Find(offTag).Int()
	n, ok2 := d.Find(lengthTag).Int()
	if ok && ok2 && off > 0 && off != 0xFFFFFFFF {
		s.addCandidate(d.R.Base()+off, n, h)
	}
}

// value adds a JPEG that is itself the value of a tag, behind skip bytes. Other
// bodies keep something else under the same number, so it is only a "maybe".
func (s *scan) value(d exif.Dir, tag uint16, skip int64) {
	if e := d.Find(tag); e != nil && e.Size > 4+skip {
		s.addCandidate(e.Offset+skip, e.Size-skip, hint{what: "maker note", maybe: true})
	}
}
