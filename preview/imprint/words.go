package imprint

import (
	"fmt"
	"io"
	"strings"
	"unicode"

	"golang.org/x/image/font/gofont/gomedium"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/text/unicode/norm"
)

// Limits of what a font may ask for.
const (
	maxFont    = 64 << 20 // bytes; fonts of Chinese reach 20 MB
	maxLetters = 200
	maxLines   = 5
	maxReach   = 4       // of a letter from its place, in em
	maxStrokes = 1 << 17 // of all letters
	leading    = 1.25    // from one line to the next, in em
)

// words is text as outlines. Its unit is the em, y goes down, and the box around
// all ink begins at zero.
type words struct {
	strokes []stroke
	w, h    float64
}

// stroke is one part of an outline: its end, and before it what bends it.
type stroke struct {
	op sfnt.SegmentOp
	p  [3][2]float32
}

func (t *words) extent() (w, h float64) { return t.w, t.h }

// newWords sets text in a font. Letters stand one after the other from left to
// right, so that scripts which join letters or run the other way are refused.
func newWords(text string, file []byte) (t *words, err error) {
	lines, err := legible(text)
	if err != nil {
		return nil, err
	}
	if file == nil {
		file = gomedium.TTF
	}
	if len(file) > maxFont {
		return nil, &StampError{"font", "is larger than any font"}
	}
	// The library is made for fonts of others, but its faults should be the font's.
	defer func() {
		if recover() != nil {
			t, err = nil, &StampError{"font", "is damaged"}
		}
	}()
	m := newMeter(file)
	f, err := openFont(m)
	if err != nil {
		return nil, &StampError{"font", "cannot be read: " + plain(err.Error())}
	}
	s := setter{font: f, meter: m, em: fixed.I(int(f.UnitsPerEm())), to: &words{}}
	for i, line := range lines {
		if err := s.line(line, float32(leading*float64(i))); err != nil {
			return nil, err
		}
	}
	if !s.to.settle() {
		return nil, &StampError{"text", "has nothing that can be seen"}
	}
	return s.to, nil
}

// openFont reads a font, or the first of a collection.
func openFont(file io.ReaderAt) (*opentype.Font, error) {
	c, err := opentype.ParseCollectionReaderAt(file)
	if err != nil {
		return nil, err
	}
	return c.Font(0)
}

// legible splits text into lines.
func legible(text string) ([]string, error) {
	lines := strings.Split(norm.NFC.String(cleanText(text)), "\n")
	if n := len([]rune(strings.Join(lines, ""))); n > maxLetters || len(lines) > maxLines {
		return nil, &StampError{"text", fmt.Sprintf("has %d letters in %d lines; %d in %d can be set", n, len(lines), maxLetters, maxLines)}
	}
	for _, r := range strings.Join(lines, "") {
		if unicode.In(r, unicode.Arabic, unicode.Hebrew, unicode.Syriac, unicode.Thaana, unicode.Nko, unicode.Devanagari, unicode.Bengali,
			unicode.Gurmukhi, unicode.Gujarati, unicode.Oriya, unicode.Tamil, unicode.Telugu, unicode.Kannada, unicode.Malayalam,
			unicode.Sinhala, unicode.Thai, unicode.Lao, unicode.Tibetan, unicode.Myanmar, unicode.Khmer, unicode.Mongolian) ||
			unicode.In(r, unicode.Mn, unicode.Me) {
			return nil, &StampError{"text", fmt.Sprintf("has %q, of a script that is not set letter by letter; a PNG can have it", r)}
		}
	}
	return lines, nil
}
