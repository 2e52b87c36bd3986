package timeline

import "image/color"

// paint is how a class of shapes looks. A pattern tells apart what the colour may
// not: hatch for what was dropped, outline for what is open.
type paint struct {
	fill    color.NRGBA
	stroke  color.NRGBA // of lines and outlines; the hatch's
	width   float64
	pattern pattern
	size    float64 // of text
	bold    bool
}

type pattern int

const (
	full pattern = iota
	hatch
	outline
)

func rgb(r, g, b uint8) color.NRGBA { return color.NRGBA{r, g, b, 255} }

// paints are dark on light paper. All text has a contrast of 4.5:1 and more.
func paints() [classes]paint {
	ink, quiet, teal, rust, amber := rgb(28, 32, 38), rgb(92, 99, 110), rgb(16, 100, 112), rgb(176, 84, 44), rgb(186, 118, 8)
	return [classes]paint{
		paper:      {fill: rgb(253, 252, 250)},
		bandEven:   {fill: rgb(243, 241, 236)},
		bandOdd:    {fill: rgb(232, 236, 238)},
		grid:       {stroke: rgb(206, 208, 210), width: 1},
		barKept:    {fill: teal},
		barDropped: {fill: rgb(250, 234, 224), stroke: rust, width: 1.1, pattern: hatch},
		barOpen:    {fill: rgb(255, 255, 255), stroke: rgb(138, 144, 152), width: 1, pattern: outline},
		lightRange: {fill: rgb(250, 224, 166)},
		lightLine:  {stroke: amber, width: 2.2},
		flashMark:  {fill: ink},
		bodyBar:    {fill: rgb(96, 110, 128)},
		textTitle:  {fill: ink, size: 24, bold: true},
		textPlain:  {fill: ink, size: 13.5},
		textQuiet:  {fill: quiet, size: 12.5},
	}
}
