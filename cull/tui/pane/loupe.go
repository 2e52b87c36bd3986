package pane

import (
	"fmt"
	"image"
	"strings"
)

// Loupe is what is seen close, for the top line.
type Loupe struct {
	Part   image.Rectangle // in pixels of the picture; empty = it is still being read
	Size   image.Point     // of the picture
	Sensor image.Point     // of the sensor's; 0 = not known
	From   string          // how the place was found: "camera", "sharpest", "centre"; "" = by panning
	Face   string          // which face it is, in words; "" = none
	Why    string          // why nothing can be seen close; "" = it can
}

// parts are what the loupe shows, where that is, how it was found, and of how
// large a picture where the sensor's is larger.
func (l *Loupe) parts(st *Styles) []part {
	switch {
	case l == nil:
		return nil
	case l.Why != "":
		return []part{say(rankLoupe, st.Mark, "not 1:1: "+clean(l.Why), "not 1:1")}
	case l.Part.Empty() || l.Size.X <= 0 || l.Size.Y <= 0:
		return []part{say(rankLoupe, st.Quiet, "1:1 reading"+more)}
	}
	list := []part{say(rankLoupe, st.Strong, "1:1 "+locator(l.Part, l.Size), "1:1"), l.from(st)}
	if text := l.Preview(); text != "" {
		list = append(list, say(rankPreview, st.Mark, "preview "+text, "preview "+sides(l.Size)))
	}
	return list
}

// from says which face it is, else how the place was found.
func (l *Loupe) from(st *Styles) part {
	face := clean(l.Face)
	if face == "" {
		return say(rankFrom, st.Quiet, l.found())
	}
	state, _, _ := strings.Cut(face, " (") // without the number that it comes from
	short, _, _ := strings.Cut(face, ",")
	return say(rankLoupe, st.Text, face, state, short)
}

// found says how the place was found.
func (l *Loupe) found() string {
	switch l.From {
	case "":
		return "moved"
	case "camera":
		return "focus by the camera"
	case "sharpest":
		return "sharpest part"
	}
	return clean(l.From)
}

// Preview says how large the JPEG is where the sensor's picture is larger; else
// nothing.
func (l *Loupe) Preview() string {
	if l.Size.X >= l.Sensor.X && l.Size.Y >= l.Sensor.Y {
		return ""
	}
	return sides(l.Size) + " of " + sides(l.Sensor)
}

func sides(p image.Point) string { return fmt.Sprintf("%dx%d", p.X, p.Y) }

// locator draws where in the picture the part lies, in braille patterns (Unicode
// chapter 21.1), whose dots make a grid of two by four in one cell; three cells are
// a landscape picture, two stand for an upright one.
func locator(part image.Rectangle, size image.Point) string {
	cells := 3
	if size.Y > size.X {
		cells = 2
	}
	const rows = 4
	columns := 2 * cells
	grid := image.Rectangle{
		image.Pt(part.Min.X*columns/size.X, part.Min.Y*rows/size.Y),
		image.Pt(ceil(part.Max.X*columns, size.X), ceil(part.Max.Y*rows, size.Y)),
	}
	grid = tighter(grid, part, size, columns, rows)
	bits := [2][rows]rune{{0x01, 0x02, 0x04, 0x40}, {0x08, 0x10, 0x20, 0x80}}
	var b strings.Builder
	b.WriteByte('[')
	for cell := range cells {
		dots := rune(0)
		for x := range 2 {
			for y := range rows {
				if image.Pt(2*cell+x, y).In(grid) {
					dots |= bits[x][y]
				}
			}
		}
		if dots == 0 {
			b.WriteByte(' ') // some fonts draw the empty pattern
			continue
		}
		b.WriteRune(0x2800 + dots)
	}
	b.WriteByte(']')
	return b.String()
}

// tighter leaves out the dots at the borders that the part covers less than half
// of, as long as one is left each way.
func tighter(grid, part image.Rectangle, size image.Point, columns, rows int) image.Rectangle {
	half := func(from, to, partFrom, partTo, size, n int) (int, int) {
		covered := func(dot int) int { // doubled, of size
			return 2 * (min(partTo*n, (dot+1)*size) - max(partFrom*n, dot*size))
		}
		if to-from > 1 && covered(from) < size {
			from++
		}
		if to-from > 1 && covered(to-1) < size {
			to--
		}
		return from, to
	}
	grid.Min.X, grid.Max.X = half(grid.Min.X, grid.Max.X, part.Min.X, part.Max.X, size.X, columns)
	grid.Min.Y, grid.Max.Y = half(grid.Min.Y, grid.Max.Y, part.Min.Y, part.Max.Y, size.Y, rows)
	return grid
}

func ceil(a, b int) int { return (a + b - 1) / b }
