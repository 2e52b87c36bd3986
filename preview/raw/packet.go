package raw

import "bytes"

// maxPacket is how much of an embedded XMP packet is looked at for the in-camera
// rating. Cameras write a few hundred bytes and pad the rest.
const maxPacket = 8 << 10

// setXMP notes where the file's XMP packet lies; the first one counts.
func (s *scan) setXMP(off, length int64) {
	if s.out.XMP.Length == 0 && length > 0 && s.src.Inside(off, length) {
		s.out.XMP = Segment{off, length}
	}
}

// readRating takes xmp:Rating from the packet where Exif did not say. Both
// spellings of XMP Part 1 §7.4 are known, element and attribute; the prefix is
// the usual one, as cameras write it.
func (s *scan) readRating() {
	x := s.out.XMP
	if x.Length == 0 || s.out.Meta.Rating != 0 {
		return
	}
	b, err := s.src.At(x.Offset, int(min(x.Length, maxPacket)))
	if err != nil {
		s.fault(err, "XMP packet")
		return
	}
	name := []byte("xmp:Rating")
	for {
		i := bytes.Index(b, name)
		if i < 0 {
			return
		}
		b = b[i+len(name):]
		if n, ok := ratingAfter(b); ok {
			s.out.Meta.Rating = n
			return
		}
	}
}

// ratingAfter reads what follows the property's name: `="3"` or `>3<`. Legal are
// -1 and 0 to 5 (XMP Part 1 §8.4); fractions are cut.
func ratingAfter(b []byte) (int, bool) {
	b = bytes.TrimLeft(b[:min(len(b), 64)], " \t\r\n")
	if len(b) == 0 || b[0] != '=' && b[0] != '>' {
		return 0, false
	}
	attr := b[0] == '='
	b = bytes.TrimLeft(b[1:], " \t\r\n")
	if attr {
		if len(b) == 0 || b[0] != '"' && b[0] != '\'' {
			return 0, false
		}
		b = bytes.TrimLeft(b[1:], " \t\r\n")
	}
	switch {
	case bytes.HasPrefix(b, []byte("-1")):
		return -1, !more(b[2:])
	case len(b) > 0 && b[0] == '+':
		b = b[1:]
	}
	if len(b) == 0 || b[0] < '0' || b[0] > '5' || more(b[1:]) {
		return 0, false
	}
	return int(b[0] - '0'), true
}

// more reports whether a number goes on with another digit.
func more(b []byte) bool { return len(b) > 0 && b[0] >= '0' && b[0] <= '9' }
