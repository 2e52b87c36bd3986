package testterm

import (
	"fmt"
	"image"
	"image/draw"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi/kitty"
)

// maxDiacritics is how many rows or columns a placeholder can name.
const maxDiacritics = 297

// Placed is what one cell shows of a picture.
type Placed struct {
	Placement
	Col, Row int // the cell's place within the placement
	Pix      *image.NRGBA
}

// Pixels returns the part of the picture that the placement shows.
func (p Placed) Pixels() *image.NRGBA {
	out := image.NewNRGBA(image.Rectangle{Max: p.Source.Size()})
	draw.Draw(out, out.Bounds(), p.Pix, p.Source.Min, draw.Src)
	return out
}

// PlacementAt says which picture a cell shows: by its placeholder, or by the
// uppermost placement over it.
func (g *Grid) PlacementAt(col, row int) (Placed, bool) {
	if row < 0 || row >= g.rows || col < 0 || col >= g.cols {
		return Placed{}, false
	}
	return g.placedAt(col, row, g.placeholders(row))
}

func (g *Grid) placedAt(col, row int, marks []placeholder) (Placed, bool) {
	if marks[col].is {
		return g.virtual(marks[col])
	}
	var best Placed
	found := false
	for _, im := range g.scr().images.images {
		for _, p := range im.Placements {
			if p.Virtual || !image.Pt(col, row).In(p.Area) || found && p.Z < best.Z {
				continue
			}
			best, found = Placed{p, col - p.Area.Min.X, row - p.Area.Min.Y, im.Pix}, true
		}
	}
	return best, found
}

// PictureIn returns the picture that fills an area exactly, every cell of it
// showing its own part, or says which cell does not.
func (g *Grid) PictureIn(area image.Rectangle) (*image.NRGBA, error) {
	var first Placed
	if !area.In(image.Rect(0, 0, g.cols, g.rows)) {
		return nil, fmt.Errorf("the area %v is not on the screen", area)
	}
	for row := area.Min.Y; row < area.Max.Y; row++ {
		marks := g.placeholders(row)
		for col := area.Min.X; col < area.Max.X; col++ {
			p, ok := g.placedAt(col, row, marks)
			if !ok {
				return nil, fmt.Errorf("cell %d,%d shows no picture", col, row)
			}
			if first.Pix == nil {
				first = p
			}
			if p.Image != first.Image || p.ID != first.ID {
				return nil, fmt.Errorf("cell %d,%d shows image %d, not %d", col, row, p.Image, first.Image)
			}
			if p.Col != col-area.Min.X || p.Row != row-area.Min.Y {
				return nil, fmt.Errorf("cell %d,%d shows part %d,%d of image %d", col, row, p.Col, p.Row, p.Image)
			}
		}
	}
	if first.Pix == nil {
		return nil, fmt.Errorf("the area %v is empty", area)
	}
	if got := first.Area.Size(); got != area.Size() {
		return nil, fmt.Errorf("image %d is placed in %v cells, not %v", first.Image, got, area.Size())
	}
	return first.Pixels(), nil
}

// placeholder is one decoded cell of U+10EEEE.
type placeholder struct {
	is            bool
	id, placement uint32
	col, row      int
	fg, line      Colour
}

// placeholders decodes the cells of a row, with what each takes over from its
// left neighbour (kitty graphics protocol, "Unicode placeholders"): diacritics
// say row, column and the id's highest byte, missing ones come from the cell to
// the left if that goes on in the same colours.
func (g *Grid) placeholders(row int) []placeholder {
	out := make([]placeholder, g.cols)
	var left placeholder
	for col, c := range g.scr().lines[row] {
		if isPlaceholder(c) {
			out[col] = nextPlaceholder(c, left)
		}
		left = out[col]
	}
	return out
}

func isPlaceholder(c Cell) bool {
	r, _ := utf8.DecodeRuneInString(c.Rune)
	return r == kitty.Placeholder
}

func nextPlaceholder(c Cell, left placeholder) placeholder {
	var marks []int
	for i, r := range c.Rune {
		if i > 0 && len(marks) < 3 {
			marks = append(marks, diacritic(r))
		}
	}
	ph := placeholder{is: true, fg: c.FG, line: c.Line, placement: c.Line.number()}
	same := left.is && left.fg == c.FG && left.line == c.Line
	high := uint32(0)
	switch {
	case len(marks) == 0 && same:
		ph.row, ph.col, high = left.row, left.col+1, left.id>>24
	case len(marks) == 1 && same && left.row == marks[0]:
		ph.row, ph.col, high = marks[0], left.col+1, left.id>>24
	case len(marks) == 2 && same && left.row == marks[0] && left.col+1 == marks[1]:
		ph.row, ph.col, high = marks[0], marks[1], left.id>>24
	default:
		marks = append(marks, 0, 0, 0)
		ph.row, ph.col, high = marks[0], marks[1], uint32(marks[2])
	}
	ph.id = high<<24 | c.FG.number()
	return ph
}

// diacritic is the number a combining character stands for, -1 for others.
func diacritic(r rune) int {
	for i := range maxDiacritics {
		if kitty.Diacritic(i) == r {
			return i
		}
	}
	return -1
}

// virtual finds the virtual placement a placeholder shows a part of.
func (g *Grid) virtual(ph placeholder) (Placed, bool) {
	im := g.scr().images.find(ph.id)
	if im == nil {
		return Placed{}, false
	}
	for _, p := range im.Placements {
		inside := image.Pt(ph.col, ph.row).In(p.Area)
		if p.Virtual && inside && (ph.placement == 0 || p.ID == ph.placement) {
			return Placed{p, ph.col, ph.row, im.Pix}, true
		}
	}
	return Placed{}, false
}
