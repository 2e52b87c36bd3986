package paint

import (
	"image"
	"image/draw"
	"math"

	"golang.org/x/image/vector"
)

// Light is what falls on every shape: a key light from one direction, and soft
// light from above and below. Rim is light from behind that edges a shape.
type Light struct {
	X, Y, Z           float32 // towards the key light: right, down, to the viewer
	Key, Above, Below RGB
	Rim               RGB
	RimX, RimY        float32 // from which side the rim comes
}

// Paint is a surface.
type Paint struct {
	Color RGB
	Foot  *RGB    // with a vertical gradient: the colour at the shape's lower end
	Round float32 // how far the roundness reaches in from the edge, units; 0 = flat
	Soft  float32 // blur of the edge, units
	Alpha float32 // 0 means 1, opaque
	Gloss float32 // strength of a highlight
	Flat  bool    // no shading: the colour is the light itself
	Add   bool    // adds light instead of covering (beams, reflections)
}

// Fill draws a path. The path's roundness is taken from its own silhouette: the
// blurred silhouette is a height field, its slope the surface's direction.
func (c *Canvas) Fill(p Path, pt Paint) {
	k := c.Scale
	x0, y0, x1, y1 := float32(math.MaxFloat32), float32(math.MaxFloat32), float32(-math.MaxFloat32), float32(-math.MaxFloat32)
	for _, v := range p.pts {
		x0, x1 = min(x0, v.X*k), max(x1, v.X*k)
		y0, y1 = min(y0, v.Y*k), max(y1, v.Y*k)
	}
	soft := int(pt.Soft*k + 0.5)
	pad := 2*soft + 2
	// A shape far outside is clipped, but keeps enough of itself for its blur.
	round := int(pt.Round*k + 0.5)
	keep := pad + 2*round
	left, top := max(int(x0)-pad, -keep), max(int(y0)-pad, -keep)
	right, bottom := min(int(x1)+pad+1, c.W+keep), min(int(y1)+pad+1, c.H+keep)
	w, h := right-left, bottom-top
	if w <= 2*pad-2 || h <= 2*pad-2 || right <= 0 || bottom <= 0 || left >= c.W || top >= c.H {
		return
	}
	mask := c.raster(p, left, top, w, h)
	line := grow(&c.work.line, 8*max(w, h, 3*max(c.W, c.H)))
	if soft > 0 {
		boxMask(mask, line, w, h, soft, false)
		boxMask(mask, line, w, h, soft, false)
	}
	var rel relief
	if round > 0 && !pt.Flat {
		rel = c.relief(mask, line, w, h, round)
	}
	c.shade(mask, rel, left, top, w, h, y0, y1, pt)
}

// raster gives the coverage of the path on a window of w×h pixels.
func (c *Canvas) raster(p Path, left, top, w, h int) []float32 {
	var z vector.Rasterizer
	z.Reset(w, h)
	z.DrawOp = draw.Src
	i := 0
	pt := func() (float32, float32) {
		v := p.pts[i]
		i++
		return v.X*c.Scale - float32(left), v.Y*c.Scale - float32(top)
	}
	for n, kind := range p.kinds {
		switch kind {
		case 'm':
			if n > 0 {
				z.ClosePath()
			}
			x, y := pt()
			z.MoveTo(x, y)
		case 'l':
			x, y := pt()
			z.LineTo(x, y)
		case 'c':
			x1, y1 := pt()
			x2, y2 := pt()
			x, y := pt()
			z.CubeTo(x1, y1, x2, y2, x, y)
		}
	}
	z.ClosePath()
	a := image.NewAlpha(image.Rect(0, 0, w, h))
	z.Draw(a, a.Bounds(), image.Opaque, image.Point{})
	mask := grow(&c.work.mask, w*h)
	for j, v := range a.Pix {
		mask[j] = float32(v) / 255
	}
	return mask
}

func (c *Canvas) shade(mask []float32, rel relief, left, top, w, h int, y0, y1 float32, pt Paint) {
	alpha := pt.Alpha
	if alpha == 0 {
		alpha = 1
	}
	// Without roundness the surface faces the viewer.
	flat := func(color RGB) RGB {
		if pt.Flat {
			return color
		}
		return color.Times(light(c.Light, 0, 0, 1))
	}
	v, last := flat(pt.Color), -1
	var row []RGB
	for j := max(0, -top); j < min(h, c.H-top); j++ {
		color := pt.Color
		if pt.Foot != nil {
			foot := min(max((float32(top+j)-y0)/max(y1-y0, 1), 0), 1)
			color = color.Mix(*pt.Foot, foot)
			v = flat(color)
		}
		if rel.height != nil && j/rel.step != last {
			last = j / rel.step
			row = c.relieved(rel, last, color, pt.Gloss)
		}
		out := c.Pix[3*c.W*(top+j):]
		for i := max(0, -left); i < min(w, c.W-left); i++ {
			m := mask[j*w+i] * alpha
			if m < 0.003 {
				continue
			}
			if row != nil {
				v = row[i/rel.step]
			}
			p := out[3*(left+i) : 3*(left+i)+3]
			if pt.Add {
				p[0], p[1], p[2] = p[0]+v[0]*m, p[1]+v[1]*m, p[2]+v[2]*m
				continue
			}
			p[0] += (v[0] - p[0]) * m
			p[1] += (v[1] - p[1]) * m
			p[2] += (v[2] - p[2]) * m
		}
	}
}
