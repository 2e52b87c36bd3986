package xmp

import (
	"encoding/binary"
	"strings"
	"unicode/utf8"
)

// encoding is one of the five that ISO 16684-1 §7.1 allows. Decoding refuses
// everything that is not strictly valid, so encoding the text gives the very
// bytes back; the byte order mark is a character of the text.
type encoding int

const (
	utf8Enc encoding = iota
	utf16BE
	utf16LE
	utf32BE
	utf32LE
)

// detect finds the encoding from a byte order mark, else from where the zero
// bytes of the first character are (XML 1.0, Appendix F).
func detect(b []byte) encoding {
	var h [4]byte
	n := copy(h[:], b)
	switch {
	case n == 4 && h == [4]byte{0, 0, 0xFE, 0xFF}:
		return utf32BE
	case n == 4 && h == [4]byte{0xFF, 0xFE, 0, 0}:
		return utf32LE
	case n >= 2 && h[0] == 0xFE && h[1] == 0xFF:
		return utf16BE
	case n >= 2 && h[0] == 0xFF && h[1] == 0xFE:
		return utf16LE
	case n == 4 && h[0] == 0 && h[1] == 0 && h[2] == 0 && h[3] != 0:
		return utf32BE
	case n == 4 && h[0] != 0 && h[1] == 0 && h[2] == 0 && h[3] == 0:
		return utf32LE
	case n >= 2 && h[0] == 0 && h[1] != 0:
		return utf16BE
	case n >= 2 && h[0] != 0 && h[1] == 0:
		return utf16LE
	}
	return utf8Enc
}

// width is the size in bytes of a code unit.
func (e encoding) width() int {
	switch e {
	case utf16BE, utf16LE:
		return 2
	case utf32BE, utf32LE:
		return 4
	}
	return 1
}

func (e encoding) order() binary.ByteOrder {
	if e == utf16LE || e == utf32LE {
		return binary.LittleEndian
	}
	return binary.BigEndian
}

// accepts reports whether an XML declaration may name this encoding so.
func (e encoding) accepts(label string) bool {
	label = strings.ToUpper(label)
	switch e.width() {
	case 2:
		return label == "ISO-10646-UCS-2" || strings.HasPrefix(label, "UTF-16")
	case 4:
		return label == "ISO-10646-UCS-4" || strings.HasPrefix(label, "UTF-32")
	}
	return label == "UTF-8" || label == "UTF8"
}

func decode(b []byte) (string, encoding, error) {
	e := detect(b)
	w := e.width()
	if w == 1 {
		text := string(b)
		if !utf8.ValidString(text) {
			return "", e, &FormatError{int64(firstInvalid(text)), "not valid UTF-8"}
		}
		return text, e, nil
	}
	var out strings.Builder
	out.Grow(len(b) / w)
	order := e.order()
	for i := 0; i < len(b); {
		r, n := rune(-1), w
		switch rest := b[i:]; {
		case len(rest) < w:
		case w == 4:
			if v := order.Uint32(rest); v <= utf8.MaxRune {
				r = rune(v)
			}
		default:
			r = rune(order.Uint16(rest))
			if r >= 0xD800 && r < 0xDC00 && len(rest) >= 4 {
				if low := rune(order.Uint16(rest[2:])); low >= 0xDC00 && low < 0xE000 {
					r, n = 0x10000+(r-0xD800)<<10+(low-0xDC00), 4
				}
			}
		}
		if !utf8.ValidRune(r) {
			return "", e, &FormatError{int64(i), "not valid UTF-16 or UTF-32"}
		}
		out.WriteRune(r)
		i += n
	}
	return out.String(), e, nil
}

func (e encoding) encode(text string) []byte {
	if e == utf8Enc {
		return []byte(text)
	}
	order := e.order()
	out := make([]byte, 0, e.size(text))
	var unit [4]byte
	for _, r := range text {
		switch {
		case e.width() == 4:
			order.PutUint32(unit[:], uint32(r))
			out = append(out, unit[:4]...)
		case r >= 0x10000:
			order.PutUint16(unit[:], uint16(0xD800+(r-0x10000)>>10))
			order.PutUint16(unit[2:], uint16(0xDC00+(r-0x10000)&0x3FF))
			out = append(out, unit[:4]...)
		default:
			order.PutUint16(unit[:], uint16(r))
			out = append(out, unit[:2]...)
		}
	}
	return out
}

// size is the length in bytes of text in this encoding.
func (e encoding) size(text string) int64 {
	if e == utf8Enc {
		return int64(len(text))
	}
	var n int64
	for _, r := range text {
		n += int64(e.width())
		if e.width() == 2 && r >= 0x10000 {
			n += 2
		}
	}
	return n
}

func firstInvalid(s string) int {
	for i := 0; i < len(s); {
		r, n := utf8.DecodeRuneInString(s[i:])
		if r == utf8.RuneError && n == 1 {
			return i
		}
		i += n
	}
	return len(s)
}
