package imprint

import (
	"fmt"
	"image"
	"math"
	"slices"

	"garner/preview/icc"
)

// Stamp is a line of text, or a few, or a picture that is laid onto pictures.
type Stamp struct {
	Text    string  // lines of at most 200 letters together; "" = Picture
	Font    []byte  // a TrueType or OpenType font or collection; nil = the built-in one
	Picture []byte  // a PNG, with alpha or without, taken as sRGB
	Dark    bool    // dark letters with a light outline, not light ones with a dark one
	Plain   bool    // no outline
	Corner  Corner  // where it stands
	Size    float64 // height of the letters' em, or of the picture, as share of Edge; 0 < Size <= 1
	Margin  float64 // from the picture's edges, as share of Edge; 0 <= Margin < 0.5
	Edge    Edge    // what Size and Margin are shares of
	Opacity float64 // 0 < Opacity <= 1
}

func nameOf(names []string, i int) string {
	if i < 0 || i >= len(names) {
		return "unknown"
	}
	return names[i]
}

func numberOf(names []string, name string) (int, bool) {
	i := slices.Index(names, name)
	return max(i, 0), i >= 0
}

// Corner is a place in a picture.
type Corner int

// The places of a stamp; Bottom and Top are in the middle of that edge.
const (
	BottomRight Corner = iota
	BottomLeft
	TopRight
	TopLeft
	Bottom
	Top
	Centre
)

var cornerNames = []string{"bottom-right", "bottom-left", "top-right", "top-left", "bottom", "top", "centre"}

// String returns the name that ParseCorner takes.
func (c Corner) String() string { return nameOf(cornerNames, int(c)) }

// ParseCorner returns the place of a name.
func ParseCorner(name string) (Corner, bool) {
	i, ok := numberOf(cornerNames, name)
	return Corner(i), ok
}

// Edge is an edge of a picture.
type Edge int

// A share of the short edge looks alike in upright and lying pictures.
const (
	ShortEdge Edge = iota
	LongEdge
)

var edgeNames = []string{"short", "long"}

// String returns the name that ParseEdge takes.
func (e Edge) String() string { return nameOf(edgeNames, int(e)) }

// ParseEdge returns the edge of a name.
func ParseEdge(name string) (Edge, bool) {
	i, ok := numberOf(edgeNames, name)
	return Edge(i), ok
}

// StampError says why a stamp cannot be made.
type StampError struct {
	What   string // "text", "font", "picture", or the setting at fault
	Reason string
}

// Error implements error.
func (e *StampError) Error() string { return "stamp: " + e.What + " " + e.Reason }

// Stamper has read what a stamp consists of and makes it for any size of
// picture. It may be used by several goroutines.
type Stamper struct {
	s     Stamp
	words *words // or
	logo  *logo
}

// NewStamper reads the font or the PNG. The error is a *StampError.
func NewStamper(s Stamp) (*Stamper, error) {
	share := func(name string, v, low, high float64) error {
		if !(v >= low && v <= high) { // NaN too
			return &StampError{name, fmt.Sprintf("of %v lies outside %v to %v", v, low, high)}
		}
		return nil
	}
	const least = 0.001
	for _, err := range []error{
		share("size", s.Size, least, 1), share("margin", s.Margin, 0, 0.49), share("opacity", s.Opacity, least, 1),
	} {
		if err != nil {
			return nil, err
		}
	}
	if s.Corner < 0 || int(s.Corner) >= len(cornerNames) || s.Edge < 0 || int(s.Edge) >= len(edgeNames) {
		return nil, &StampError{"corner", "or edge is not one of those there are"}
	}
	p := &Stamper{s: s}
	var err error
	switch {
	case s.Text != "" && s.Picture != nil:
		return nil, &StampError{"text", "and picture cannot both be set"}
	case s.Text != "":
		p.words, err = newWords(s.Text, s.Font)
	case s.Picture != nil:
		p.logo, err = newLogo(s.Picture)
	default:
		return nil, &StampError{"text", "is missing, and there is no picture"}
	}
	if err != nil {
		return nil, err
	}
	return p, nil
}

// maxMark is the largest area of a stamp in pixels; each takes four bytes.
const maxMark = 32 << 20

// Mark makes the stamp for pictures of one size. What would be wider or higher
// than the picture between its margins is made smaller.
func (p *Stamper) Mark(width, height int, space icc.Space) (*Mark, error) {
	if width < 1 || height < 1 || width > maxSide || height > maxSide || !known(space) {
		return nil, &StampError{"picture", fmt.Sprintf("of %dx%d pixels cannot be stamped", width, height)}
	}
	edge := float64(min(width, height))
	if p.s.Edge == LongEdge {
		edge = float64(max(width, height))
	}
	// Whatever is asked for, a third of either side stays for the stamp.
	margin := math.Round(p.s.Margin * edge)
	mx, my := min(margin, math.Floor(float64(width)/3)), min(margin, math.Floor(float64(height)/3))
	roomX, roomY := max(float64(width)-2*mx, 1), max(float64(height)-2*my, 1)
	w, h := p.extent() // of a stamp of size 1
	size := min(p.s.Size*edge, roomX/w, roomY/h)
	across, down := whole(w*size, roomX), whole(h*size, roomY)
	if across*down > maxMark {
		return nil, &StampError{"size", fmt.Sprintf("makes it %d by %d pixels, more than is kept in memory", across, down)}
	}
	var m *Mark
	if p.words != nil {
		m = p.words.draw(size, across, down, p.s.Dark, p.s.Plain)
	} else {
		m = p.logo.draw(across, down, p.s.Plain, space)
	}
	m.width, m.height = width, height
	m.fade(p.s.Opacity)
	m.place(p.s.Corner, int(mx), int(my), across, down)
	return m, nil
}

// whole is the number of pixels that hold v of them, of those there is room for.
func whole(v, room float64) int { return max(int(min(math.Ceil(v), room)), 1) }

// extent is the size of the stamp for a Size of one pixel.
func (p *Stamper) extent() (w, h float64) {
	if p.words != nil {
		return p.words.extent()
	}
	return float64(p.logo.width) / float64(p.logo.height), 1
}

// place puts the stamp, whose own pixels are across by down inside what the
// outline adds, at a place of the picture.
func (m *Mark) place(c Corner, mx, my, across, down int) {
	x, y := (m.width-across)/2, (m.height-down)/2
	switch c {
	case BottomRight, TopRight:
		x = m.width - mx - across
	case BottomLeft, TopLeft:
		x = mx
	}
	switch c {
	case BottomRight, BottomLeft, Bottom:
		y = m.height - my - down
	case TopRight, TopLeft, Top:
		y = my
	}
	m.at = image.Pt(x-m.pad, y-m.pad)
}
