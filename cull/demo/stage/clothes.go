package stage

import "garner/cull/demo/paint"

var white = paint.RGB{0.82, 0.8, 0.77}

func (f *figure) body() {
	switch f.p.Wear {
	case Suit:
		f.suit()
	case Gown:
		f.gown()
	case Dress:
		f.dress()
	case Shirt:
		f.shirt()
	}
}

// torso is the outline of an upper body from the neck to y = hem.
func (f *figure) torso(waist, hip, hem float32) paint.Path {
	s := f.shoulder()
	return paint.Smooth(
		-0.2, -6.14, 0, -6.08, 0.2, -6.14,
		s*0.62, -5.98, s, -5.74, s*0.99, -5.4,
		waist*1.06, -4.9, waist, -4.45, hip, (hem-4.45)/2, hip*1.02, hem, 0, hem+0.06, -hip*1.02, hem, -hip, (hem-4.45)/2, -waist, -4.45, -waist*1.06, -4.9,
		-s*0.99, -5.4, -s, -5.74, -s*0.62, -5.98)
}

func (f *figure) suit() {
	w := f.p.Wide
	f.fill(f.torso(0.66*w, 0.68*w, -3.15), f.p.Cloth, 0.42, 0)
	dark := f.p.Cloth.Mul(0.45)
	if f.q.Back {
		f.fill(paint.Poly(-0.012, -4.3, 0.012, -4.3, 0.02, -3.1, -0.02, -3.1), dark, 0, 0.01)
		f.fill(paint.Smooth(-0.3, -6.1, 0, -6.2, 0.3, -6.1, 0.26, -5.98, 0, -5.95, -0.26, -5.98), f.p.Cloth.Mul(1.3), 0.08, 0)
		return
	}
	t := f.q.Turn * 0.08
	f.fill(paint.Poly(-0.26, -6.16, 0.26, -6.16, 0.3, -5.7, t+0.02, -4.7, t-0.02, -4.7, -0.3, -5.7), white, 0.12, 0)
	// Tie, then the lapels that cover its sides.
	f.fill(paint.Poly(t-0.08, -6.02, t+0.08, -6.02, t+0.05, -5.9, t+0.1, -5.2, t, -4.85, t-0.1, -5.2, t-0.05, -5.9), f.p.Accent, 0.08, 0)
	for _, side := range []float32{-1, 1} {
		f.fill(paint.Poly(side*0.22, -6.2, side*0.5, -6.02, side*0.52, -5.62, side*0.4, -5.55, side*0.46, -5.42, t, -4.55, t-side*0.02, -4.72, side*0.24, -5.6), f.p.Cloth.Mul(1.25), 0.07, 0.004)
		f.fill(paint.Poly(side*0.21, -6.18, side*0.1, -6.06, side*0.2, -5.86, side*0.3, -6.02), white.Mul(1.05), 0.03, 0)
	}
	f.fill(paint.Poly(t-0.008, -4.6, t+0.008, -4.6, t+0.1, -3.12, t+0.07, -3.12), dark, 0, 0.008)
	f.fill(paint.Ellipse(t+0.05, -4.42, 0.035, 0.035), dark, 0.02, 0)
	f.fill(paint.Poly(0.42, -5.32, 0.62, -5.36, 0.62, -5.24, 0.42, -5.2), white, 0, 0.006)
}

func (f *figure) shirt() {
	w := f.p.Wide
	f.fill(f.torso(0.66*w, 0.66*w, -3.5), f.p.Cloth, 0.42, 0)
	if f.q.Back {
		return
	}
	f.fill(paint.Poly(-0.16, -6.15, 0.16, -6.15, 0, -5.62), f.p.Skin.Mul(0.9), 0.06, 0.005)
	for _, side := range []float32{-1, 1} {
		f.fill(paint.Poly(side*0.2, -6.2, side*0.08, -5.95, side*0.24, -5.72, side*0.36, -6.06), f.p.Cloth.Mul(1.12), 0.05, 0)
		f.fill(paint.Poly(side*0.36, -5.9, side*0.43, -5.9, side*0.4, -3.6, side*0.34, -3.6), f.p.Accent, 0.03, 0.003)
	}
}

func (f *figure) gown() {
	w, sw := f.p.Wide, f.q.Sway
	c := f.p.Cloth
	foot := c.Mul(0.92)
	if !f.q.Seated {
		// The skirt, then folds that fan out of the waist and darker depths
		// between them.
		f.paint(paint.Smooth(-0.5*w, -4.5, 0, -4.62, 0.5*w, -4.5, 0.86, -3.4, 1.32+sw*0.5, -1.6, 1.72+sw, -0.02, 0.9+sw, 0.12, sw, 0.16, -0.9+sw, 0.12, -1.72+sw, -0.02, -1.32+sw*0.5, -1.6, -0.86, -3.4), paint.Paint{Color: c, Foot: &foot, Round: 0.75})
		for i, x := range []float32{-1.25, -0.78, -0.3, 0.22, 0.68, 1.18} {
			d := float32(0.05 + 0.02*float32(i%3))
			f.paint(paint.Smooth(x*0.28, -4.1, x*0.28+0.03, -4.1, x*0.8+d+sw*0.5, -1.6, x+d*2+sw, 0, x-d+sw, 0.02, x*0.8-d*0.6+sw*0.5, -1.6), paint.Paint{Color: c.Mul(0.62), Alpha: 0.42, Round: 0.05, Soft: 0.035})
		}
	}
	f.lap()
	f.fill(f.torso(0.5*w, 0.5*w, -4.4), c, 0.34, 0)
	// Bare neck and shoulders above a curved neckline; lace is a lighter edge.
	if !f.q.Back {
		f.fill(paint.Smooth(-0.2, -6.2, 0.2, -6.2, 0.4, -6.02, 0.56, -5.85, 0.36, -5.6, 0, -5.42, -0.36, -5.6, -0.56, -5.85, -0.4, -6.02), f.p.Skin, 0.2, 0.008)
		f.paint(paint.Smooth(-0.05, -5.4, 0.05, -5.4, 0.03, -4.6, -0.03, -4.6), paint.Paint{Color: c.Mul(0.6), Alpha: 0.3, Soft: 0.03})
	} else {
		f.fill(paint.Smooth(-0.2, -6.2, 0.2, -6.2, 0.42, -5.9, 0.3, -5.3, 0, -4.9, -0.3, -5.3, -0.42, -5.9), f.p.Skin, 0.2, 0.01)
		for i := range 6 {
			f.fill(paint.Ellipse(0, -4.85+0.13*float32(i), 0.028, 0.028), c.Mul(0.7), 0.02, 0)
		}
	}
	f.fill(paint.Smooth(-0.48*w, -4.56, 0, -4.48, 0.48*w, -4.56, 0.48*w, -4.42, 0, -4.32, -0.48*w, -4.42), c.Mul(0.72).Mix(f.p.Accent, 0.25), 0.05, 0.006)
}

// lap is what a table's edge leaves to be seen of a skirt.
func (f *figure) lap() {
	if f.q.Seated {
		w := f.p.Wide
		f.fill(paint.Smooth(-0.48*w, -4.55, 0, -4.6, 0.48*w, -4.55, 0.62*w, -3.9, 0.6*w, -3, -0.6*w, -3, -0.62*w, -3.9), f.p.Cloth.Mul(0.9), 0.3, 0)
	}
}

func (f *figure) dress() {
	w, sw := f.p.Wide, f.q.Sway
	c := f.p.Cloth
	foot := c.Mul(0.7)
	if !f.q.Seated {
		f.paint(paint.Smooth(-0.5*w, -4.5, 0, -4.6, 0.5*w, -4.5, 0.66*w, -3.7, 0.82*w+sw*0.4, -2.5, 0.94*w+sw, -1.35, 0.4+sw, -1.24, -0.4+sw, -1.24, -0.94*w+sw, -1.35, -0.82*w+sw*0.4, -2.5, -0.66*w, -3.7), paint.Paint{Color: c, Foot: &foot, Round: 0.5})
		for _, x := range []float32{-0.55, -0.15, 0.3, 0.62} {
			f.paint(paint.Smooth(x*0.5, -4, x*0.5+0.03, -4, x*0.9+0.05+sw*0.6, -2.4, x*1.1+0.08+sw, -1.3, x*1.1-0.03+sw, -1.3, x*0.9-0.02+sw*0.6, -2.4), paint.Paint{Color: c.Mul(0.5), Alpha: 0.45, Soft: 0.03})
		}
	}
	f.lap()
	f.fill(f.torso(0.5*w, 0.5*w, -4.4), c, 0.34, 0)
	if !f.q.Back {
		f.fill(paint.Smooth(-0.18, -6.2, 0.18, -6.2, 0.3, -6.02, 0.22, -5.75, 0, -5.52, -0.22, -5.75, -0.3, -6.02), f.p.Skin, 0.15, 0.008)
	}
	f.fill(paint.Smooth(-0.47*w, -4.56, 0, -4.5, 0.47*w, -4.56, 0.47*w, -4.44, 0, -4.38, -0.47*w, -4.44), f.p.Accent, 0.04, 0.006)
}

// veil is a translucent sheet from the crown of the head; when it blows it goes
// out to the figure's left.
func (f *figure) veil() {
	b := f.q.VeilBlow
	p := paint.Smooth(-0.1, -7.34, 0.3, -7.2, 0.5, -6.4, 0.85, -5, 1.0-b*0.2, -3.2, 0.6-b, -2.6, -0.5-b*1.6, -2.7-b*0.5, -1.0-b*1.9, -3.4-b*0.8, -0.8-b, -5-b*0.3, -0.46, -6.5, -0.32, -7.15)
	f.paint(p, paint.Paint{Color: white.Mul(1.1), Round: 0.3, Alpha: 0.5, Soft: 0.02})
	for i := range 4 {
		x := -0.5 + 0.32*float32(i)
		f.paint(paint.Smooth(x*0.4, -7, x*0.4+0.04, -7, x+0.07-b, -4.6, x*1.4+0.1-b*1.6, -2.9, x*1.4-0.02-b*1.6, -2.9, x-b, -4.6), paint.Paint{Color: white.Mul(1.2), Alpha: 0.25, Soft: 0.03})
	}
}
