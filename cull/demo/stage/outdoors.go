package stage

import (
	"math/rand/v2"

	"garner/cull/demo/paint"
)

// garden is a lawn in soft afternoon light, with a house and trees behind.
func garden(c *paint.Canvas, r *rand.Rand) {
	w, h := c.Width(), c.Height()
	c.Backdrop(paint.Stop{At: 0, Color: paint.Hex(0x86b4dc)}, paint.Stop{At: 0.42, Color: paint.Hex(0xe2e8e4)}, paint.Stop{At: 0.5, Color: paint.Hex(0xdfe4cc)}, paint.Stop{At: 1, Color: paint.Hex(0xb8c890)})
	for range 5 {
		x, y := w*r.Float32(), h*(0.06+0.2*r.Float32())
		for range 7 {
			c.Fill(paint.Ellipse(x+140*(r.Float32()-0.5), y+26*(r.Float32()-0.5), 70, 26), paint.Paint{Color: paint.RGB{1, 1, 1}, Flat: true, Alpha: 0.3, Soft: 16})
		}
	}
	hz := h * 0.56
	for i := range 14 {
		x := w * float32(i) / 13
		Clump(c, r, x, hz-70-40*r.Float32(), 110, paint.Hex(0x7f9a78).Mix(paint.Hex(0xc4d2cc), 0.35))
	}
	// The house.
	hx := w * 0.68
	c.Fill(paint.Box(hx-170, hz-250, 380, 250), paint.Paint{Color: paint.Hex(0xe4d6bd)})
	c.Fill(paint.Poly(hx-200, hz-250, hx+20, hz-360, hx+240, hz-250), paint.Paint{Color: paint.Hex(0x9a5a45)})
	for i := range 8 {
		c.Fill(paint.Box(hx-140+float32(i%4)*88, hz-220+float32(i/4)*110, 44, 66), paint.Paint{Color: paint.Hex(0x51636d)})
	}
	c.Fill(paint.Box(-40, hz-6, w+80, h), paint.Paint{Color: paint.Hex(0x8fae5c), Flat: true})
	for i := range 7 {
		c.Fill(paint.Box(-40, hz+float32(i*i)*9, w+80, 8+float32(i)*8), paint.Paint{Color: paint.Hex(0x7f9f4e), Flat: true, Alpha: 0.45, Soft: 5})
	}
	for i := range 9 {
		Clump(c, r, w*float32(i)/8, hz+8, 56, paint.Hex(0x4f7440))
	}
	Tree(c, r, w*0.1, hz+70, 620, paint.Hex(0x5e8a3e))
	Tree(c, r, w*0.94, hz+50, 500, paint.Hex(0x678f47))
	for range 40 {
		Flower(c, w*r.Float32(), hz+20+30*r.Float32(), 7+5*r.Float32(), []paint.RGB{paint.Hex(0xf0d0d8), paint.Hex(0xf3efe2), paint.Hex(0xd070a0)}[r.IntN(3)])
	}
}

func formals() []composition {
	l := paint.Light{
		X: -0.45, Y: -0.6, Z: 0.66, Key: paint.RGB{0.86, 0.82, 0.74}, Above: paint.RGB{0.34, 0.38, 0.45}, Below: paint.RGB{0.17, 0.19, 0.11},
		Rim: paint.RGB{1.3, 1.2, 1}, RimX: 0.8, RimY: -0.6,
	}
	line := func(c *paint.Canvas, a act, ps []Person, y, head, gap float32) {
		n := float32(len(ps))
		for i, p := range ps {
			x := 750 + 40*a.pan + (float32(i)-(n-1)/2)*gap
			Shadow(c, x, y+6, head*0.95)
			q := Pose{X: x, Y: y, Head: head, Turn: 0.25*wave(float32(i)*0.37+a.t*0.2) - 0.05, Tilt: 0.05 * wave(a.t*0.5+float32(i)*0.6), Lids: a.lids(), Smile: a.smile(0.55)}
			if p.Wear == Gown {
				q.Right, q.Left, q.Bouquet = paint.Pt{X: 0.3, Y: -4.3}, paint.Pt{X: -0.4, Y: -4.3}, true
			}
			p.Draw(c, q)
		}
	}
	elder := func(i int, white bool) Person {
		p := Guest(i)
		if white {
			p.HairColor = paint.Hex(0xb8b6b2)
		}
		return p
	}
	return []composition{
		{light: l, depth: 6, iso: 200, action: true, back: garden, // everybody
			front: func(c *paint.Canvas, a act) {
				g := 2 + int(a.seed%20)*2
				line(c, a, []Person{Guest(g), Guest(g + 1), elder(g+2, true), Guest(g + 3), Guest(g + 4), elder(g+5, true), Guest(g + 6)}, 800, 68, 155)
				line(c, a, []Person{Maid(0), elder(g+8, false), Bride(), Groom(), elder(g+9, true), Maid(1), Guest(g + 7), Maid(2)}, 885, 78, 165)
			}},
		{light: l, depth: 7, iso: 200, back: garden, // with the parents
			front: func(c *paint.Canvas, a act) {
				mother, father := elder(4, true), elder(7, true)
				mother.Wear, mother.Cloth = Dress, paint.Hex(0x7a6f9a)
				line(c, a, []Person{father, mother, Bride(), Groom(), elder(10, false), elder(9, true)}, 940, 102, 215)
			}},
		{light: l, depth: 8, iso: 200, back: garden, // bride and bridesmaids
			front: func(c *paint.Canvas, a act) {
				line(c, a, []Person{Maid(0), Bride(), Maid(1), Maid(2)}, 1060, 124, 270)
			}},
		{upright: true, light: l, depth: 8, iso: 200, back: garden, // the couple, formal
			front: func(c *paint.Canvas, a act) {
				for i, p := range []Person{Groom(), Bride()} {
					x := 360 + 270*float32(i) + 30*a.pan
					Shadow(c, x, 1426, 150)
					q := Pose{X: x, Y: 1415, Head: 148, Turn: 0.3 - 0.6*float32(i), Tilt: 0.05 * wave(a.t*0.5), Lids: a.lids(), Smile: a.smile(0.5)}
					if i == 1 {
						q.Right, q.Bouquet = paint.Pt{X: 0.28, Y: -4.3}, true
					}
					p.Draw(c, q)
				}
			}},
	}
}

// evening is the light of a low sun behind the couple.
func evening() paint.Light {
	return paint.Light{
		X: 0.35, Y: -0.35, Z: 0.85, Key: paint.RGB{0.5, 0.4, 0.28}, Above: paint.RGB{0.3, 0.26, 0.26}, Below: paint.RGB{0.26, 0.18, 0.09},
		Rim: paint.RGB{6, 3.8, 1.6}, RimX: 0.86, RimY: -0.5,
	}
}

// meadow is hills in layers of haze under a low sun at sx, sy.
func meadow(c *paint.Canvas, r *rand.Rand, sx, sy float32) {
	w, h := c.Width(), c.Height()
	c.Backdrop(paint.Stop{At: 0, Color: paint.Hex(0x7f93b8)}, paint.Stop{At: 0.25, Color: paint.Hex(0xd8b39a)}, paint.Stop{At: 0.5, Color: paint.Hex(0xffd08a).Mul(1.3)}, paint.Stop{At: 1, Color: paint.Hex(0xc89a50)})
	for i := range 6 {
		y := h * (0.07 + 0.055*float32(i))
		x := w * r.Float32()
		c.Fill(paint.Smooth(x-420, y, x-100, y-14, x+200, y-6, x+430, y+4, x+150, y+12, x-200, y+10), paint.Paint{Color: paint.Hex(0xffd9b0).Mul(1.3), Flat: true, Alpha: 0.4, Soft: 10})
	}
	c.Glow(sx, sy, 560, 430, paint.RGB{1.5, 0.85, 0.32})
	c.Glow(sx, sy, 150, 150, paint.RGB{3, 2.2, 1.1})
	c.Fill(paint.Ellipse(sx, sy, 44, 44), paint.Paint{Color: paint.RGB{9, 7.5, 5}, Flat: true, Soft: 4})
	for i := range 5 {
		f := float32(i) / 4
		y := h * (0.48 + 0.09*float32(i))
		color := paint.Hex(0xe2ad74).Mix(paint.Hex(0x4a4a24), f*f*0.3+f*0.6)
		ph := r.Float32()
		hill := func(x float32) float32 {
			t := (x + 150) / (w + 300)
			return y - 46*(1-f*0.6)*wave(t*1.68+ph) + 20*wave(t*2.6+float32(i)*0.3)
		}
		// Trees stand on the crest; the hill's own colour covers their feet.
		for range 7 - i {
			s := 16 + 24*f + 12*r.Float32()
			for x, n := w*r.Float32(), 2+r.IntN(4); n > 0; n-- {
				x += s * (0.7 + 0.5*r.Float32())
				k := s * (0.8 + 0.5*r.Float32())
				Clump(c, r, x, hill(x)-k*0.55, k, color.Mix(paint.Hex(0x4c5426), 0.5).Mul(0.8))
			}
		}
		var xy []float32
		for k := range 17 {
			x := -150 + (w+300)*float32(k)/16
			xy = append(xy, x, hill(x))
		}
		xy = append(xy, w+200, h+400, -200, h+400)
		lower := color.Mul(0.75)
		c.Fill(paint.Smooth(xy...), paint.Paint{Color: color, Foot: &lower, Flat: true})
	}
	grass(c, r, h*0.8, h*1.02, 260)
}

// grass is blades lit from behind.
func grass(c *paint.Canvas, r *rand.Rand, y0, y1 float32, n int) {
	w := c.Width()
	for i := range n {
		y := y0 + (y1-y0)*float32(i)/float32(n)
		x := w * r.Float32()
		k := 24 + 70*(y-y0)/(y1-y0)
		lean := k * 0.5 * (r.Float32() - 0.4)
		color := paint.Hex(0xe0b050).Mix(paint.Hex(0x6d7030), r.Float32())
		c.Fill(paint.Poly(x-k*0.03, y, x+k*0.03, y, x+lean, y-k*(0.7+0.5*r.Float32())), paint.Paint{Color: color, Flat: true, Alpha: 0.8})
	}
}

func portraits() []composition {
	l := evening()
	left := func(c *paint.Canvas, r *rand.Rand) { meadow(c, r, 1120, 360) }
	return []composition{
		{light: l, depth: 5, iso: 160, action: true, back: left, // hand in hand
			front: func(c *paint.Canvas, a act) {
				k, y := 82+7*a.t, 900+16*a.t
				s := wave(a.t * 1.0)
				x := 700 + 60*a.pan - 30*a.t
				Shadow(c, x-70, y+4, 110)
				Groom().Draw(c, Pose{X: x - 105, Y: y, Head: k, Turn: 0.7, Stride: 0.8 * s, Lids: a.lids(), Smile: a.smile(0.6), Right: paint.Pt{X: 1.06, Y: -3.7}, Left: paint.Pt{X: -0.95, Y: -3.3 - 0.1*s}})
				Bride().Draw(c, Pose{X: x + 105, Y: y, Head: k, Turn: -0.5, Tilt: -0.06, Sway: 0.25 * s, Lids: a.lids(), Smile: a.smile(0.75), Left: paint.Pt{X: -1.1, Y: -3.65}, Right: paint.Pt{X: 0.95, Y: -4.2}, Bouquet: true, VeilBlow: -0.5 + 0.25*wave(a.t*0.8)})
				grass(c, rand.New(rand.NewPCG(a.seed, 8)), 890, 1050, 160)
				flare(c, 1120, 360)
			}},
		{light: l, depth: 14, iso: 200, back: left, // forehead to forehead
			front: func(c *paint.Canvas, a act) {
				b := 6 * wave(a.t*0.5)
				Groom().Draw(c, Pose{X: 615 + 40*a.pan + b, Y: 1560, Head: 190, Turn: 0.95, Tilt: 0.2, Lids: max(a.lids(), 0.35), Smile: a.smile(0.4), Right: paint.Pt{X: 1.0, Y: -4.6}})
				Bride().Draw(c, Pose{X: 905 + 40*a.pan - b, Y: 1560, Head: 190, Turn: -0.95, Tilt: -0.2, Lids: max(a.lids(), 0.3), Smile: a.smile(0.5), Left: paint.Pt{X: -0.85, Y: -5.0}, VeilBlow: -0.35 + 0.1*wave(a.t*0.7)})
				foreground(c, a.seed, paint.Hex(0xd9a24a), paint.Hex(0x7a7a34), paint.Hex(0xe8c890))
				flare(c, 1120, 360)
			}},
		{light: paint.Light{Above: paint.RGB{0.05, 0.04, 0.05}, Below: paint.RGB{0.03, 0.02, 0.02}, Rim: paint.RGB{5, 2.8, 1}, RimX: 0.5, RimY: -0.8}, depth: 2, far: true, iso: 100, // against the sun
			back: func(c *paint.Canvas, r *rand.Rand) { meadow(c, r, 760, 420) },
			front: func(c *paint.Canvas, a act) {
				c.Fill(paint.Smooth(-200, 900, 300, 800, 750, 770, 1200, 815, 1700, 920, 1700, 1400, -200, 1400), paint.Paint{Color: paint.Hex(0x2a2412).Mul(0.6), Flat: true})
				s := 0.1 * wave(a.t*0.6)
				Groom().Draw(c, Pose{X: 705 + 30*a.pan, Y: 785, Head: 44, Turn: 0.9, Lids: a.lids(), Right: paint.Pt{X: 1.3, Y: -4.2 + s}})
				Bride().Draw(c, Pose{X: 795 + 30*a.pan, Y: 785, Head: 44, Turn: -0.9, Lids: a.lids(), Left: paint.Pt{X: -1.3, Y: -4.4 + s}, Right: paint.Pt{X: 1.2, Y: -5.2 + s}, Sway: 0.3, VeilBlow: -1 + 0.2*wave(a.t*0.7)})
				grass(c, rand.New(rand.NewPCG(a.seed, 8)), 800, 1010, 200)
			}},
		{upright: true, light: l, depth: 9, iso: 160, action: true, // the veil in the wind
			back: func(c *paint.Canvas, r *rand.Rand) { meadow(c, r, 780, 520) },
			front: func(c *paint.Canvas, a act) {
				Bride().Draw(c, Pose{X: 520 + 40*a.pan, Y: 1560, Head: 175, Turn: 0.5 + 0.1*wave(a.t*0.4), Tilt: 0.06 * wave(a.t*0.3), Lids: a.lids(), Smile: a.smile(0.55), Right: paint.Pt{X: 0.25, Y: -4.3}, Left: paint.Pt{X: -0.6, Y: -4.1}, Bouquet: true, Sway: -0.1, VeilBlow: 0.5 + 0.35*wave(a.t*0.9)})
				grass(c, rand.New(rand.NewPCG(a.seed, 8)), 1430, 1520, 90)
				flare(c, 780, 520)
			}},
	}
}

// flare is what a lens adds when the sun shines into it: a veil and ghosts on
// the line through the centre.
func flare(c *paint.Canvas, x, y float32) {
	cx, cy := c.Width()/2, c.Height()/2
	c.Glow(x, y, 620, 520, paint.RGB{0.22, 0.13, 0.05})
	for i, t := range []float32{0.5, 1.3, 1.6, 2.0} {
		s := 18 + 22*float32(i)
		c.Fill(paint.Ellipse(x+(cx-x)*t, y+(cy-y)*t, s, s), paint.Paint{Color: paint.RGB{0.09, 0.06, 0.03}, Flat: true, Add: true, Soft: 3})
	}
}
