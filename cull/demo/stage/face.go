package stage

import "garner/cull/demo/paint"

// near is the size of a head, in pixels, from which a face gets its details.
const near = 26

func (f *figure) neck() {
	d := f.p.Skin.Mul(0.72)
	f.fill(paint.Smooth(-0.19, -6.6, 0.19, -6.6, 0.19, -6.25, 0.3, -6.02, 0, -5.94, -0.3, -6.02, -0.19, -6.25), d, 0.12, 0.006)
}

// head draws in a frame of its own whose origin is the head's centre.
func (f *figure) head() {
	h := *f
	h.m = f.m.Then(paint.Place(0.06*f.q.Turn+f.q.Tilt*0.35, -6.84, 1.16, f.q.Tilt, false))
	h.k *= 1.16
	if f.q.Back {
		h.backOfHead()
		return
	}
	if at := h.m.At(paint.Pt{}); h.k/2 > f.c.Focus.R && at.X > 0 && at.Y > 0 && at.X < f.c.Width() && at.Y < f.c.Height() {
		f.c.Focus = paint.Spot{X: at.X, Y: at.Y, R: h.k / 2}
	}
	t := f.q.Turn
	skin := f.p.Skin
	// The ear on the side that the face turns away from is the one to be seen.
	for _, side := range []float32{-1, 1} {
		if side*t < 0.5 {
			h.fill(paint.Ellipse(side*(0.36-0.05*side*t)-t*0.08, 0.06, 0.06, 0.11), skin.Mul(0.86), 0.05, 0)
			if f.p.Earrings {
				h.paint(paint.Ellipse(side*(0.37-0.05*side*t)-t*0.08, 0.24, 0.028, 0.05), paint.Paint{Color: paint.Hex(0xe8dcc0), Round: 0.03, Gloss: 4})
			}
		}
	}
	h.fill(paint.Smooth(0, -0.5, 0.27, -0.4, 0.37, -0.12, 0.345+0.02*t, 0.14, 0.25+0.05*t, 0.37, 0.1+0.08*t, 0.5, -0.1+0.08*t, 0.5, -0.25+0.05*t, 0.37, -0.345+0.02*t, 0.14, -0.37, -0.12, -0.27, -0.4), skin, 0.26, 0)
	if h.k*h.c.Scale >= near {
		h.features()
	} else {
		h.farFeatures()
	}
	h.hair()
	if f.p.Glasses {
		h.glasses()
	}
}

// farFeatures is what is left of a face at a distance: two dark dots, a mouth.
func (f *figure) farFeatures() {
	t := f.q.Turn * 0.15
	dark := f.p.HairColor.Mul(0.5)
	for _, side := range []float32{-1, 1} {
		f.fill(paint.Ellipse(t+side*0.15, 0.03, 0.05, 0.05-0.03*f.q.Lids), dark, 0, 0.015)
	}
	f.fill(paint.Ellipse(t, 0.3, 0.09+0.04*f.q.Smile, 0.03+0.03*f.q.Mouth), f.p.Lips, 0, 0.02)
}

func (f *figure) features() {
	t, smile := f.q.Turn, f.q.Smile
	skin := f.p.Skin
	shadow := skin.Times(paint.RGB{0.62, 0.5, 0.46})
	blush := skin.Times(paint.RGB{1.05, 0.72, 0.68})
	x := t * 0.15
	for _, side := range []float32{-1, 1} {
		// A turned face narrows on its far side.
		w := 1 - 0.25*max(side*t, 0)
		cx := x + side*0.158*w
		f.paint(paint.Ellipse(cx+side*0.04, 0.19-0.03*smile, 0.1*w, 0.085), paint.Paint{Color: blush, Alpha: 0.5, Soft: 0.05})
		f.paint(paint.Ellipse(cx, 0.0, 0.11*w, 0.07), paint.Paint{Color: shadow, Alpha: 0.45, Soft: 0.035})
		f.eye(cx, w, side)
		by := -0.125 - 0.02*smile
		f.paint(paint.Smooth(cx-side*0.09*w, by-0.004, cx+side*0.02, by-0.03, cx+side*0.12*w, by+0.02, cx+side*0.122*w, by+0.026, cx+side*0.01, by-0.004, cx-side*0.088*w, by+0.022), paint.Paint{Color: f.p.HairColor.Mul(0.75), Soft: 0.006, Alpha: 0.85})
	}
	f.nose(x*1.35, t, shadow)
	f.mouth(x*1.15, smile)
	if f.p.Beard {
		f.beard(t)
	}
}

func (f *figure) eye(cx, w, side float32) {
	open := 1 - f.q.Lids
	// Laughing narrows the eyes.
	open *= 1 - 0.28*f.q.Smile*f.q.Smile
	y, rx := float32(0.03), 0.078*w
	lash := f.p.HairColor.Mul(0.3).Mix(paint.Hex(0x1a100c), 0.6)
	if open < 0.25 {
		lid := f.p.Skin.Mul(0.85)
		f.fill(paint.Ellipse(cx, y, rx*1.15, 0.042), lid, 0.03, 0.006)
		f.fill(paint.Smooth(cx-rx*1.1, y+0.012, cx, y+0.036, cx+rx*1.1, y+0.012, cx+rx*1.1, y+0.022, cx, y+0.056, cx-rx*1.1, y+0.022), lash, 0, 0.004)
		return
	}
	ry := 0.043 * open
	f.fill(paint.Smooth(cx-rx, y+0.008, cx-rx*0.3, y-ry, cx+rx*0.5, y-ry*0.9, cx+rx, y+0.004, cx+rx*0.4, y+ry*0.75, cx-rx*0.4, y+ry*0.75), paint.RGB{0.66, 0.64, 0.62}.Mix(f.p.Skin, 0.16), 0.02, 0.003)
	ix := cx + f.q.Turn*0.018
	f.fill(paint.Ellipse(ix, y, 0.037*w, min(0.038, ry)), f.p.Iris, 0, 0.003)
	f.fill(paint.Ellipse(ix, y, 0.018*w, min(0.019, ry)), paint.Hex(0x0a0807), 0, 0.002)
	f.paint(paint.Ellipse(ix+0.012, y-0.014*open, 0.009, 0.009), paint.Paint{Color: paint.RGB{0.9, 0.9, 0.9}, Soft: 0.001})
	// Upper lid with its lashes, thicker to the outside.
	f.fill(paint.Smooth(cx-side*rx, y+0.004, cx-side*rx*0.2, y-ry-0.004, cx+side*rx*0.6, y-ry*0.85-0.006, cx+side*rx*1.18, y-0.012, cx+side*rx*0.55, y-ry*0.55, cx-side*rx*0.3, y-ry+0.014), lash, 0, 0.003)
}

func (f *figure) nose(x, t float32, shadow paint.RGB) {
	d := -0.02 + 0.05*t
	f.paint(paint.Smooth(x-t*0.06-0.02, -0.04, x+d, 0.1, x+d+0.03, 0.19, x+d-0.02, 0.2, x-t*0.06-0.035, 0.08), paint.Paint{Color: shadow, Alpha: 0.32, Soft: 0.018})
	f.paint(paint.Ellipse(x, 0.2, 0.062, 0.03), paint.Paint{Color: shadow, Alpha: 0.45, Soft: 0.014})
	f.paint(paint.Ellipse(x, 0.165, 0.03, 0.034), paint.Paint{Color: f.p.Skin.Mul(1.25), Alpha: 0.4, Soft: 0.016})
	for _, side := range []float32{-1, 1} {
		f.paint(paint.Ellipse(x+side*0.032, 0.208, 0.014, 0.009), paint.Paint{Color: shadow.Mul(0.35), Alpha: 0.8, Soft: 0.004})
	}
}

func (f *figure) mouth(x, smile float32) {
	y, w := float32(0.335)-0.01*smile, 0.1+0.055*smile
	up := 0.05 * smile
	open := f.q.Mouth
	if smile > 0.6 {
		open = max(open, (smile-0.6)*1.4)
	}
	lips := f.p.Lips
	gap := 0.012 + 0.075*open
	f.fill(paint.Smooth(x-w, y-up, x-w*0.4, y-0.022-up*0.2, x, y-0.012, x+w*0.4, y-0.022-up*0.2, x+w, y-up, x+w*0.5, y+gap+0.018, x, y+gap+0.036, x-w*0.5, y+gap+0.018), lips, 0.03, 0.004)
	if open > 0.08 {
		f.fill(paint.Smooth(x-w*0.82, y-up*0.7, x, y+0.006, x+w*0.82, y-up*0.7, x+w*0.45, y+gap*0.8, x, y+gap, x-w*0.45, y+gap*0.8), paint.Hex(0x3a1010), 0, 0.003)
		th := min(gap*0.55, 0.04)
		f.fill(paint.Smooth(x-w*0.72, y-up*0.55, x, y+0.008, x+w*0.72, y-up*0.55, x+w*0.45, y+th*0.8, x, y+th+0.006, x-w*0.45, y+th*0.8), paint.RGB{0.78, 0.75, 0.7}, 0.012, 0.003)
	} else {
		f.fill(paint.Smooth(x-w, y-up, x, y+0.004, x+w, y-up, x, y+0.016), lips.Mul(0.35), 0, 0.003)
	}
	f.paint(paint.Ellipse(x, y+gap+0.075, 0.06, 0.016), paint.Paint{Color: f.p.Skin.Mul(0.6), Alpha: 0.35, Soft: 0.012})
	if smile > 0.3 {
		for _, side := range []float32{-1, 1} {
			f.paint(paint.Smooth(x+side*(w+0.02), y-0.13, x+side*(w+0.055), y-0.03, x+side*(w+0.035), y+0.03, x+side*(w+0.04), y-0.04), paint.Paint{Color: f.p.Skin.Mul(0.5), Alpha: 0.35 * smile, Soft: 0.012})
		}
	}
}

func (f *figure) beard(t float32) {
	c := f.p.HairColor
	x := t * 0.1
	f.paint(paint.Smooth(-0.32+x*0.3, 0.12, -0.25+x*0.3, 0.25, -0.14+x, 0.27, x, 0.285, 0.14+x, 0.27, 0.25+x*0.3, 0.25, 0.32+x*0.3, 0.12, 0.26+x*0.5, 0.36, 0.12+x*0.75, 0.51, -0.12+x*0.75, 0.51, -0.26+x*0.5, 0.36), paint.Paint{Color: c, Alpha: 0.82, Round: 0.06, Soft: 0.018})
	f.mouth(x*1.6, f.q.Smile)
}

func (f *figure) glasses() {
	x := f.q.Turn * 0.15
	for _, side := range []float32{-1, 1} {
		cx := x + side*0.165
		f.paint(paint.Ellipse(cx, 0.035, 0.125, 0.1).Add(paint.Ellipse(cx, 0.035, -0.108, 0.084)), paint.Paint{Color: paint.Hex(0x241a14), Soft: 0.003})
		f.paint(paint.Ellipse(cx-0.03, 0.0, 0.05, 0.03), paint.Paint{Color: paint.RGB{1, 1, 1}, Alpha: 0.16, Soft: 0.02})
	}
	f.fill(paint.Box(x-0.045, 0.01, 0.09, 0.016), paint.Hex(0x241a14), 0, 0.002)
}
