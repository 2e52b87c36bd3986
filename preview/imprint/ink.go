package imprint

import (
	"image"
	"image/draw"
	"math"

	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/vector"
)

// draw makes the text of an em of size pixels, which take across by down.
func (t *words) draw(size float64, across, down int, dark, plain bool) *Mark {
	m := &Mark{}
	radius := 0
	if !plain {
		radius = max(1, int(math.Round(outlineShare*size)))
		m.pad = 3 * radius
	}
	m.w, m.h = across+2*m.pad, down+2*m.pad
	mask := t.mask(size, m.w, m.h, float32(m.pad))
	outline := make([]byte, len(mask))
	if !plain {
		outline = softOutline(mask, m.w, radius, outlineStrength)
	}
	tone, around := byte(255), byte(0)
	if dark {
		tone, around = around, tone
	}
	m.pix = make([]byte, 4*len(mask))
	m.over(mask, outline, tone, around)
	return m
}

// How far an outline reaches, as share of the em, and how much of 256 it covers:
// chosen by eye, on white, black, mid-grey and on leaves.
const (
	outlineShare    = 0.05
	outlineStrength = 170
)

// mask is what the letters cover of each pixel.
func (t *words) mask(size float64, w, h int, pad float32) []byte {
	z := vector.NewRasterizer(w, h)
	s := float32(size)
	at := func(p [2]float32) (x, y float32) { return pad + float32(s*p[0]), pad + float32(s*p[1]) }
	open := false
	for i := range t.strokes {
		k := &t.strokes[i]
		ax, ay := at(k.p[0])
		bx, by := at(k.p[1])
		cx, cy := at(k.p[2])
		switch k.op {
		case sfnt.SegmentOpMoveTo:
			if open {
				z.ClosePath()
			}
			open = true
			z.MoveTo(ax, ay)
		case sfnt.SegmentOpLineTo:
			z.LineTo(ax, ay)
		case sfnt.SegmentOpQuadTo:
			z.QuadTo(ax, ay, bx, by)
		case sfnt.SegmentOpCubeTo:
			z.CubeTo(ax, ay, bx, by, cx, cy)
		}
	}
	if open {
		z.ClosePath()
	}
	to := image.NewAlpha(image.Rect(0, 0, w, h))
	z.DrawOp = draw.Src
	z.Draw(to, to.Rect, image.Opaque, image.Point{})
	return to.Pix
}
