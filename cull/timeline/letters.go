package timeline

import (
	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
)

// letters are the faces of a drawing at a scale, by class of text.
type letters [classes]font.Face

// newLetters opens the Go fonts. They have Latin, Greek and Cyrillic letters; what
// they lack is drawn as an empty box.
func newLetters(scale float64) (l letters, err error) {
	for c, p := range paints() {
		if p.size == 0 {
			continue
		}
		data := goregular.TTF
		if p.bold {
			data = gobold.TTF
		}
		f, err := opentype.Parse(data)
		if err != nil {
			return l, err
		}
		if l[c], err = opentype.NewFace(f, &opentype.FaceOptions{Size: p.size * scale, DPI: 72}); err != nil {
			return l, err
		}
	}
	return l, nil
}

// measure is the width of a text in units, at scale 1.
func (l letters) measure(c class, text string) float64 {
	return float64(font.MeasureString(l[c], text)) / 64
}
