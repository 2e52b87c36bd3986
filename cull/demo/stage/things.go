package stage

import (
	"math"
	"math/rand/v2"

	"garner/cull/demo/paint"
)

// Bouquet is a round bunch of flowers of radius r around a hand.
func Bouquet(c *paint.Canvas, at paint.Pt, r float32, seed uint64) {
	rnd := rand.New(rand.NewPCG(seed, 5))
	for i := range 9 {
		a := float64(i) * 0.7
		x, y := at.X+r*0.95*float32(math.Cos(a)), at.Y+r*0.95*float32(math.Sin(a))
		c.Fill(paint.Limb(at.X, at.Y, r*0.12, x, y, r*0.05), paint.Paint{Color: paint.Hex(0x55703c), Round: r * 0.08})
	}
	c.Fill(paint.Limb(at.X, at.Y, r*0.16, at.X+r*0.1, at.Y+r*1.25, r*0.1), paint.Paint{Color: paint.Hex(0x4a6236), Round: r * 0.1})
	colors := []paint.RGB{paint.Hex(0xf6e7dc), paint.Hex(0xeab9b0), paint.Hex(0xd98a86), paint.Hex(0xf4dcc0), paint.Hex(0xb8565f)}
	for i := range 15 {
		d := r * 0.75 * float32(math.Sqrt(float64(i)/15))
		a := float64(i) * 2.4
		Flower(c, at.X+d*float32(math.Cos(a)), at.Y+d*float32(math.Sin(a))*0.85, r*(0.24+0.1*rnd.Float32()), colors[rnd.IntN(len(colors))])
	}
}

// Flower is a rose seen from the front: a round head with petal edges.
func Flower(c *paint.Canvas, x, y, r float32, color paint.RGB) {
	c.Fill(paint.Ellipse(x, y, r, r*0.94), paint.Paint{Color: color, Round: r * 0.7})
	if r*c.Scale < 5 {
		return
	}
	c.Fill(paint.Smooth(x-r*0.6, y-r*0.1, x, y+r*0.5, x+r*0.6, y-r*0.1, x, y+r*0.3), paint.Paint{Color: color.Mul(0.62), Soft: r * 0.06, Alpha: 0.7})
	c.Fill(paint.Ellipse(x, y-r*0.15, r*0.36, r*0.3), paint.Paint{Color: color.Mul(0.8), Round: r * 0.25, Soft: r * 0.04})
}

// Candle is a lit candle with its glow; x, y is its foot.
func Candle(c *paint.Canvas, x, y, h, flicker float32) {
	w := h * 0.16
	c.Fill(paint.Box(x-w, y-h, 2*w, h), paint.Paint{Color: paint.Hex(0xf3e6cf), Round: w, Soft: w * 0.1})
	c.Glow(x, y-h*1.15, h*0.9, h*0.9, paint.RGB{0.5, 0.24, 0.07}.Mul(flicker))
	c.Fill(paint.Smooth(x, y-h*1.5, x+w*0.55, y-h*1.14, x, y-h, x-w*0.55, y-h*1.14), paint.Paint{Color: paint.RGB{4, 2.4, 0.9}, Flat: true, Soft: w * 0.2})
}

// Bokeh is a spray of out-of-focus lights: discs a little brighter at the rim.
func Bokeh(c *paint.Canvas, r *rand.Rand, n int, x0, y0, x1, y1, size, power float32, colors ...paint.RGB) {
	for range n {
		x, y := x0+(x1-x0)*r.Float32(), y0+(y1-y0)*r.Float32()
		s := size * (0.5 + r.Float32())
		v := colors[r.IntN(len(colors))].Mul(power * (0.25 + r.Float32()))
		c.Fill(paint.Ellipse(x, y, s, s), paint.Paint{Color: v.Mul(0.6), Flat: true, Add: true, Soft: s * 0.05})
		c.Fill(paint.Ellipse(x, y, s, s).Add(paint.Ellipse(x, y, -s*0.88, s*0.88)), paint.Paint{Color: v.Mul(0.5), Flat: true, Add: true, Soft: s * 0.05})
	}
}

// Beam is a shaft of light from a to b, wa wide at its start and wb at its end.
func Beam(c *paint.Canvas, ax, ay, wa, bx, by, wb float32, light paint.RGB, soft float32) {
	c.Fill(paint.Poly(ax-wa/2, ay, ax+wa/2, ay, bx+wb/2, by, bx-wb/2, by), paint.Paint{Color: light, Flat: true, Add: true, Soft: soft})
}

// Tree is a trunk and a crown of leaf clumps, lit by the canvas's light; x, y
// is its foot.
func Tree(c *paint.Canvas, r *rand.Rand, x, y, h float32, leaf paint.RGB) {
	c.Fill(paint.Limb(x, y, h*0.035, x+h*0.02, y-h*0.55, h*0.018), paint.Paint{Color: paint.Hex(0x4b3a2a), Round: h * 0.02})
	for i := range 26 {
		t := float32(i) / 26
		a := r.Float64() * 2 * math.Pi
		d := h * 0.26 * r.Float32()
		cx, cy := x+d*float32(math.Cos(a))*1.2, y-h*0.5-h*0.4*t*0.9+d*0.5*float32(math.Sin(a))
		s := h * (0.08 + 0.07*r.Float32())
		Clump(c, r, cx, cy, s, leaf.Mul(0.65+0.6*r.Float32()))
	}
}

// Clump is a ragged ball of leaves.
func Clump(c *paint.Canvas, r *rand.Rand, x, y, s float32, color paint.RGB) {
	xy := make([]float32, 0, 22)
	for i := range 11 {
		a := float64(i) * 2 * math.Pi / 11
		d := s * (0.78 + 0.4*r.Float32())
		xy = append(xy, x+d*float32(math.Cos(a)), y+d*0.8*float32(math.Sin(a)))
	}
	c.Fill(paint.Smooth(xy...), paint.Paint{Color: color, Round: s * 0.55, Soft: s * 0.05})
}

// Shadow is the soft contact shadow under somebody.
func Shadow(c *paint.Canvas, x, y, w float32) {
	c.Fill(paint.Ellipse(x, y, w, w*0.16), paint.Paint{Color: paint.RGB{}, Flat: true, Alpha: 0.4, Soft: w * 0.12})
}

// foreground is leaves and flowers right before the lens, far out of focus, in
// the lower corners.
func foreground(c *paint.Canvas, seed uint64, colors ...paint.RGB) {
	r := rand.New(rand.NewPCG(seed, 77))
	w, h := c.Width(), c.Height()
	for i := range 8 {
		x := 210 * r.Float32()
		if i%2 == 1 {
			x = w - x
		}
		y := h - 30 - 150*r.Float32()*(1-min(x, w-x)/260)
		s := 60 + 50*r.Float32()
		c.Fill(paint.Ellipse(x, y+40, s, s*0.85), paint.Paint{Color: colors[i%len(colors)], Round: s * 0.5, Soft: 22, Alpha: 0.85})
	}
}

// confetti is petals in the air around x, y at time t; the same seed throws the
// same petals.
func confetti(c *paint.Canvas, seed uint64, x, y, t float32) {
	r := rand.New(rand.NewPCG(seed, 31))
	colors := []paint.RGB{paint.Hex(0xf7d7dc), paint.Hex(0xf4f0e6), paint.Hex(0xe79aa6), paint.Hex(0xf3d28a), paint.Hex(0xb9d3e8)}
	for range 150 {
		// Thrown up, then sinking; a few are near the lens and blurred.
		px := x + 1300*(r.Float32()-0.5) + 120*t*(r.Float32()-0.5)
		py := y - 430 + 760*r.Float32()*r.Float32() + (60+150*r.Float32())*t
		s, soft := 7+6*r.Float32(), float32(0.8)
		if r.IntN(9) == 0 {
			s, soft = s*3, 9
		}
		a := r.Float32()*6 + t*5*(r.Float32()-0.5)
		thin := 0.35 + 0.6*r.Float32()
		c.Fill(paint.Ellipse(0, 0, 1, thin).On(paint.Place(px, py, s, a, false)), paint.Paint{Color: colors[r.IntN(len(colors))], Round: s * 0.4, Soft: soft, Alpha: 0.95})
	}
}
