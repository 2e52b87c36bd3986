package stage

import "garner/cull/demo/paint"

// hairBehind is the part of long hair that falls behind the shoulders.
func (f *figure) hairBehind() {
	c := f.p.HairColor
	x := 0.06 * f.q.Turn
	if f.p.Hair == Curly {
		f.fill(paint.Smooth(x, -7.6, x+0.55, -7.35, x+0.72, -6.8, x+0.62, -6.2, x, -6.0, x-0.62, -6.2, x-0.72, -6.8, x-0.55, -7.35), c, 0.25, 0.02)
		return
	}
	f.fill(paint.Smooth(x, -7.45, x+0.38, -7.25, x+0.46, -6.7, x+0.56, -5.9, x+0.5, -5.1, x, -5.0, x-0.5, -5.1, x-0.56, -5.9, x-0.46, -6.7, x-0.38, -7.25), c, 0.2, 0.012)
}

// hair is what frames the face; the origin is the head's centre.
func (f *figure) hair() {
	c := f.p.HairColor
	t := f.q.Turn
	s := 0.1 * t // the parting moves with the face
	glossy := paint.Paint{Color: c, Round: 0.16, Soft: 0.006, Gloss: 0.35}
	switch f.p.Hair {
	case Bald:
		for _, side := range []float32{-1, 1} {
			f.fill(paint.Smooth(side*0.33, -0.2, side*0.4, -0.05, side*0.37, 0.12, side*0.33, 0.0), c, 0.05, 0.01)
		}
	case Short:
		f.paint(paint.Smooth(-0.39, 0.04, -0.42, -0.22, -0.3, -0.52, 0, -0.62, 0.3, -0.53, 0.42, -0.22, 0.39, 0.04, 0.34, -0.12, 0.28+s, -0.26, 0.05+s, -0.3, -0.2+s, -0.25, -0.33+s*0.5, -0.14), glossy)
	case Bob:
		f.paint(paint.Smooth(-0.4, 0.4, -0.5, 0.1, -0.44, -0.35, -0.2, -0.6, 0.1, -0.62, 0.4, -0.42, 0.5, 0.05, 0.42, 0.42, 0.3, 0.36, 0.33, 0.05, 0.22+s, -0.22, -0.05+s, -0.33, -0.25+s, -0.15, -0.33, 0.08, -0.3, 0.36), glossy)
	case Long:
		f.paint(paint.Smooth(-0.44, 0.75, -0.52, 0.2, -0.44, -0.33, -0.2, -0.6, 0.1, -0.62, 0.4, -0.42, 0.5, 0.1, 0.46, 0.75, 0.35, 0.7, 0.345, 0.1, 0.22+s, -0.24, -0.02+s, -0.36, -0.24+s, -0.18, -0.35, 0.1, -0.34, 0.7), glossy)
	case Curly:
		for i, p := range []paint.Pt{{X: -0.36, Y: -0.2}, {X: -0.26, Y: -0.44}, {X: 0, Y: -0.52}, {X: 0.26, Y: -0.44}, {X: 0.36, Y: -0.2}, {X: -0.44, Y: 0.06}, {X: 0.44, Y: 0.06}, {X: -0.12, Y: -0.4}, {X: 0.14, Y: -0.4}} {
			r := 0.16 + 0.02*float32(i%3)
			f.fill(paint.Ellipse(p.X+s*0.3, p.Y, r, r), c.Mul(0.9+0.1*float32(i%3)), 0.1, 0.012)
		}
	case Bun:
		f.fill(paint.Ellipse(-0.02-t*0.18, -0.6, 0.24, 0.2), c.Mul(0.9), 0.12, 0.006)
		f.paint(paint.Smooth(-0.39, 0.1, -0.42, -0.2, -0.31, -0.47, 0, -0.57, 0.31, -0.47, 0.42, -0.2, 0.39, 0.1, 0.345, -0.06, 0.24+s, -0.27, 0.02+s, -0.36, -0.22+s, -0.26, -0.345, -0.06), glossy)
		if f.p.Veil {
			for i := range 5 {
				x := -0.26 + 0.13*float32(i)
				f.fill(paint.Ellipse(x+s, -0.42-0.06*float32(2-abs(i-2)), 0.055, 0.055), white, 0.04, 0)
			}
		}
	}
}

func (f *figure) backOfHead() {
	c := f.p.HairColor
	if f.p.Hair == Bald {
		c = f.p.Skin
	}
	if f.p.Hair == Long {
		f.fill(paint.Smooth(0, -0.6, 0.42, -0.35, 0.5, 0.2, 0.55, 1.2, 0, 1.5, -0.55, 1.2, -0.5, 0.2, -0.42, -0.35), c, 0.2, 0.01)
		return
	}
	for _, side := range []float32{-1, 1} {
		f.fill(paint.Ellipse(side*0.37, 0.06, 0.06, 0.11), f.p.Skin.Mul(0.8), 0.05, 0)
	}
	f.paint(paint.Smooth(0, -0.6, 0.33, -0.48, 0.42, -0.1, 0.35, 0.25, 0.16, 0.42, -0.16, 0.42, -0.35, 0.25, -0.42, -0.1, -0.33, -0.48), paint.Paint{Color: c, Round: 0.22, Soft: 0.008, Gloss: 0.25})
	if f.p.Hair == Bun {
		f.fill(paint.Ellipse(0, 0.02, 0.26, 0.24), c.Mul(1.15), 0.13, 0.006)
	}
}

func abs(v int) int { return max(v, -v) }
