package job

import (
	"regexp"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// Unit is what the numbers of Dimensions are.
type Unit int

// The units.
const (
	Pixels Unit = iota
	Millimetres
	Inches
)

// Dimensions are how far something goes across and down: [3840, 2160] is of pixels,
// "10x15 cm", "8x10 in" and "A4" are of paper, which has pixels by the ppi of its set.
// Where a side is 0, nobody can tell what is meant.
type Dimensions struct {
	W, H float64
	Unit Unit
}

// The sizes of ISO 216, in millimetres.
var isoPaper = map[string]Dimensions{
	"a2": {420, 594, Millimetres}, "a3": {297, 420, Millimetres}, "a4": {210, 297, Millimetres},
	"a5": {148, 210, Millimetres}, "a6": {105, 148, Millimetres},
}

var paperWords = regexp.MustCompile(`^(\d{1,5}(?:\.\d{1,3})?) ?[x×] ?(\d{1,5}(?:\.\d{1,3})?) ?(mm|cm|in|")$`)

// UnmarshalTOML reads either form. What is neither is left at 0, for whoever checks the
// settings to say where it stands.
func (d *Dimensions) UnmarshalTOML(data []byte) error {
	var v struct{ Value any }
	if err := toml.Unmarshal(append([]byte("Value = "), data...), &v); err != nil {
		return nil
	}
	switch v := v.Value.(type) {
	case string:
		*d = paper(v)
	case []any:
		if len(v) != 2 {
			return nil
		}
		w, ok := v[0].(int64)
		h, also := v[1].(int64)
		if ok && also {
			*d = Dimensions{float64(w), float64(h), Pixels}
		}
	}
	return nil
}

func paper(text string) Dimensions {
	text = strings.ToLower(strings.TrimSpace(text))
	if d, ok := isoPaper[text]; ok {
		return d
	}
	m := paperWords.FindStringSubmatch(text)
	if m == nil {
		return Dimensions{}
	}
	w, _ := strconv.ParseFloat(m[1], 64)
	h, _ := strconv.ParseFloat(m[2], 64)
	switch m[3] {
	case "mm":
		return Dimensions{w, h, Millimetres}
	case "cm":
		return Dimensions{10 * w, 10 * h, Millimetres}
	}
	return Dimensions{w, h, Inches}
}

// most is the longest side there may be: of pixels that of a JPEG, of paper that of the
// widest rolls.
func (u Unit) most() float64 {
	return [...]float64{Pixels: maxEdge, Millimetres: 5000, Inches: 200}[u]
}

// sound reports whether somebody can have meant it.
func (d Dimensions) sound() bool {
	return d.W >= 1 && d.H >= 1 && d.W <= d.Unit.most() && d.H <= d.Unit.most()
}
