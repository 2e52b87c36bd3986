package testterm

import (
	"fmt"
	"image"
	"image/color"
)

// Pixels gives back the picture that an area of half-block cells shows: two
// pixels a cell, one above the other. Cells of ▀ show the foreground above and
// the background below, ▄ the other way round, █ the foreground and a blank the
// background twice. Any other character is an error.
func (g *Grid) Pixels(area image.Rectangle) (*image.NRGBA, error) {
	if !area.In(image.Rect(0, 0, g.cols, g.rows)) {
		return nil, fmt.Errorf("the area %v is not on the screen", area)
	}
	im := image.NewNRGBA(image.Rect(0, 0, area.Dx(), 2*area.Dy()))
	for row := area.Min.Y; row < area.Max.Y; row++ {
		for col := area.Min.X; col < area.Max.X; col++ {
			c := g.Cell(col, row)
			fg, bg := c.FG, c.BG
			if c.Reverse {
				fg, bg = bg, fg
			}
			upper, lower := fg, bg
			switch c.Rune {
			case "▀":
			case "▄":
				upper, lower = bg, fg
			case "█":
				lower = fg
			case " ":
				upper = bg
			default:
				return nil, fmt.Errorf("cell %d,%d holds %q", col, row, c.Rune)
			}
			x, y := col-area.Min.X, 2*(row-area.Min.Y)
			im.Set(x, y, upper.RGBA())
			im.Set(x, y+1, lower.RGBA())
		}
	}
	return im, nil
}

// ColourAt returns the colour that the upper half of a cell shows: of the picture
// placed there, else of its half block.
func (g *Grid) ColourAt(col, row int) (color.RGBA, bool) {
	if p, ok := g.PlacementAt(col, row); ok {
		size, cells := p.Pix.Bounds().Size(), p.Area.Size()
		if cells.X == 0 || cells.Y == 0 {
			return color.RGBA{}, false
		}
		return color.RGBAModel.Convert(p.Pix.At((2*p.Col+1)*size.X/(2*cells.X), (4*p.Row+1)*size.Y/(4*cells.Y))).(color.RGBA), true
	}
	m, err := g.Pixels(image.Rect(col, row, col+1, row+1))
	if err != nil {
		return color.RGBA{}, false
	}
	return color.RGBAModel.Convert(m.At(0, 0)).(color.RGBA), true
}
