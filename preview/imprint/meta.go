package imprint

import (
	"fmt"
	"slices"
	"strings"

	"garner/preview/exif"
)

// Meta is what a file says beside its pixels. Text is UTF-8; control characters
// are dropped.
type Meta struct {
	Taken exif.Time // when the picture was taken, corrected; zero = not said

	Title, Caption, Creator, Copyright, Credit string
	Keywords                                   []string
	Strip                                      []string // of Keywords: what is not for others, compared letter by letter

	// Exif is that of the input, a TIFF structure with or without Exif's six bytes
	// before it; nil = none. Maker, model, lens and exposure are taken over. Serial
	// numbers and the place are, if they are kept; nothing else is.
	Exif                []byte
	KeepSerial, KeepGPS bool
	Make, Model         string // of the camera, where Exif does not say

	Chain Chain
}

// MetaError says that metadata do not fit into a file.
type MetaError struct {
	Field        string // "caption", …, or "XMP", "Exif" for all together
	Bytes, Limit int
}

// Error implements error.
func (e *MetaError) Error() string {
	return fmt.Sprintf("the %s has %d bytes; a JPEG has room for %d", e.Field, e.Bytes, e.Limit)
}

// Limits of single fields. All that a file says has to go into one segment of
// 64 KiB as Exif and as XMP, where a letter may take up to six bytes.
const (
	maxCaption  = 20000
	maxLine     = 2000
	maxKeyword  = 500
	maxKeywords = 1000
	maxID       = 500
)

// cleaned returns m with text as it is written, or says what is too long.
func (m Meta) cleaned() (Meta, error) {
	m.Caption = cleanText(m.Caption)
	if n := len(m.Caption); n > maxCaption {
		return m, &MetaError{"caption", n, maxCaption}
	}
	for _, f := range []struct {
		name string
		text *string
	}{{"title", &m.Title}, {"creator", &m.Creator}, {"copyright", &m.Copyright}, {"credit", &m.Credit}, {"maker", &m.Make}, {"model", &m.Model}} {
		*f.text = cleanLine(*f.text)
		if n := len(*f.text); n > maxLine {
			return m, &MetaError{f.name, n, maxLine}
		}
	}
	var words []string
	for _, k := range m.Keywords {
		stripped := slices.Contains(m.Strip, k)
		if k = cleanLine(k); k == "" || stripped || slices.Contains(m.Strip, k) || slices.Contains(words, k) {
			continue
		}
		if n := len(k); n > maxKeyword {
			return m, &MetaError{"keyword " + strings.ToValidUTF8(k[:20], "") + "…", n, maxKeyword}
		}
		if words = append(words, k); len(words) > maxKeywords {
			return m, fmt.Errorf("there are more than %d keywords", maxKeywords)
		}
	}
	m.Keywords = words
	for _, id := range []*string{&m.Chain.DocumentID, &m.Chain.InstanceID, &m.Chain.OriginalDocumentID} {
		if *id = cleanLine(*id); len(*id) > maxID {
			return m, &MetaError{"document id", len(*id), maxID}
		}
	}
	return m, nil
}
