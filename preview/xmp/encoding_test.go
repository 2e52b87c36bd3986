package xmp

import (
	"bytes"
	"encoding/binary"
	"strings"
	"testing"
	"unicode/utf16"
)

// transcode writes text in an encoding by way of the standard library, not of
// the code under test.
func transcode(t testing.TB, text string, enc encoding) []byte {
	t.Helper()
	var out []byte
	var err error
	switch enc {
	case utf8Enc:
		return []byte(text)
	case utf16BE:
		out, err = binary.Append(nil, binary.BigEndian, utf16.Encode([]rune(text)))
	case utf16LE:
		out, err = binary.Append(nil, binary.LittleEndian, utf16.Encode([]rune(text)))
	case utf32BE:
		out, err = binary.Append(nil, binary.BigEndian, []rune(text))
	case utf32LE:
		out, err = binary.Append(nil, binary.LittleEndian, []rune(text))
	}
	if err != nil {
		t.Fatal(err)
	}
	return out
}

var encodings = []encoding{utf8Enc, utf16BE, utf16LE, utf32BE, utf32LE}

// TestEncodings: ISO 16684-1 §7.1 allows UTF-8, UTF-16 and UTF-32; in each of
// them, with a byte order mark or without, an edit gives the bytes that the same
// edit of the UTF-8 document gives, transcoded.
func TestEncodings(t *testing.T) {
	edits := []Edit{setRating, setGood, addAlbum, {NS: NSXMP, Prefix: "xmp", Name: "Label", Value: "Köln 😀"}}
	for _, mark := range []string{"", "\uFEFF"} {
		for name, s := range documents {
			s = mark + "<?xpacket é😀?>" + strings.TrimPrefix(s, "\uFEFF")
			want := apply(t, s, edits...)
			for _, enc := range encodings {
				in := transcode(t, s, enc)
				d, err := Parse(in)
				if err != nil {
					t.Errorf("%s in encoding %d: %v", name, enc, err)
					continue
				}
				if !bytes.Equal(d.Bytes(), in) {
					t.Errorf("%s in encoding %d: parsing is not reversible", name, enc)
				}
				out, err := d.Apply(edits)
				if err != nil || !bytes.Equal(out, transcode(t, want, enc)) {
					t.Errorf("%s in encoding %d: %v, %q", name, enc, err, out)
				}
			}
		}
	}
}

// TestDeclaredEncodings: an XML declaration has to agree with the bytes.
func TestDeclaredEncodings(t *testing.T) {
	for label, fits := range map[string][]encoding{
		"UTF-8": {utf8Enc}, "utf-16": {utf16BE, utf16LE}, "UTF-16BE": {utf16BE, utf16LE},
		"UTF-32": {utf32BE, utf32LE}, "windows-1252": nil,
	} {
		s := `<?xml version="1.0" encoding="` + label + `"?>` + rdfOpen + `</rdf:RDF>`
		for _, enc := range encodings {
			_, err := Parse(transcode(t, s, enc))
			want := false
			for _, f := range fits {
				want = want || f == enc
			}
			if (err == nil) != want {
				t.Errorf("%s in encoding %d: %v", label, enc, err)
			}
		}
	}
}
