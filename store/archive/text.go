package archive

import (
	"errors"
	"fmt"
	"io"
	"iter"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"garner/store"
	"garner/store/vfs"
)

// Bounds of tag files, in bytes: what is larger is refused unread.
const (
	maxSmall = 4 << 20   // bagit.txt, bag-info.txt
	maxList  = 128 << 20 // manifests, fetch.txt: 700,000 files and more
)

var errLarge = errors.New("is larger than any of its kind")

// readTag reads a tag file whole, as it is. A link is not followed: it could lead
// out of the bag.
func readTag(fsys vfs.FS, path string, most int64) ([]byte, error) {
	info, err := fsys.Lstat(path)
	switch {
	case err != nil:
	case !info.Mode().IsRegular():
		err = store.ErrNotRegular
	case info.Size() > most:
		err = errLarge
	}
	if err != nil {
		return nil, store.Wrap("read", path, err)
	}
	f, err := fsys.Open(path)
	if err != nil {
		return nil, store.Wrap("read", path, err)
	}
	defer f.Close()
	b, err := io.ReadAll(io.LimitReader(f, most+1))
	if err == nil && int64(len(b)) > most {
		err = errLarge
	}
	if err != nil {
		return nil, store.Wrap("read", path, err)
	}
	return b, nil
}

// encodings that bagit.txt may name, in capitals; nil is UTF-8.
var encodings = map[string]encoding.Encoding{
	"UTF-8":      nil,
	"UTF8":       nil,
	"US-ASCII":   nil,
	"ASCII":      nil,
	"ISO-8859-1": charmap.ISO8859_1,
	"UTF-16":     unicode.UTF16(unicode.BigEndian, unicode.UseBOM),
	"UTF-16BE":   unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM),
	"UTF-16LE":   unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM),
}

// bom begins a file that Windows programs wrote as UTF-8.
const bom = "\ufeff"

// decode returns the text of a tag file in that encoding.
func decode(b []byte, name, path string, f *findings) string {
	enc, known := encodings[strings.ToUpper(name)]
	if !known {
		f.fault(Form, path, "is in the encoding %q, which garner can't read", name)
		return ""
	}
	if enc == nil {
		text, marked := strings.CutPrefix(string(b), bom)
		if marked {
			f.warn(Form, path, "begins with a byte-order mark")
		}
		if !utf8.ValidString(text) {
			f.fault(Form, path, "is not in %s, as bagit.txt says", name)
		}
		return text
	}
	text, err := enc.NewDecoder().Bytes(b)
	if err != nil {
		f.fault(Form, path, "is not in %s, as bagit.txt says: %v", name, err)
	}
	return string(text)
}

// lines returns the lines of a text, numbered from 1; any of LF, CR, CRLF ends one.
func lines(text string) iter.Seq2[int, string] {
	return func(yield func(int, string) bool) {
		for n := 1; text != ""; n++ {
			line := text
			if i := strings.IndexAny(text, "\r\n"); i < 0 {
				text = ""
			} else {
				line = text[:i]
				if strings.HasPrefix(text[i:], "\r\n") {
					i++
				}
				text = text[i+1:]
			}
			if !yield(n, line) {
				return
			}
		}
	}
}

// quoted is a part of a line for a message.
func quoted(s string) string { return fmt.Sprintf("%.80q", s) }
