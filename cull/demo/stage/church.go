package stage

import (
	"math/rand/v2"

	"garner/cull/demo/paint"
)

func churchLight() paint.Light {
	return paint.Light{
		X: 0.5, Y: -0.62, Z: 0.6, Key: paint.RGB{0.72, 0.64, 0.52}, Above: paint.RGB{0.18, 0.17, 0.19}, Below: paint.RGB{0.14, 0.1, 0.07},
		Rim: paint.RGB{1.7, 1.5, 1.2}, RimX: 0.8, RimY: -0.6,
	}
}

// nave is the church from the door: vault, columns that recede, windows, the
// apse with its altar, shafts of light from the right.
func nave(c *paint.Canvas, r *rand.Rand) {
	w, h := c.Width(), c.Height()
	cx := w / 2
	stone := paint.Hex(0xb7a68d)
	c.Backdrop(paint.Stop{At: 0, Color: stone.Mul(0.16)}, paint.Stop{At: 0.45, Color: stone.Mul(0.34)}, paint.Stop{At: 1, Color: stone.Mul(0.2)})
	// Apse with three windows.
	hz := h * 0.52
	c.Fill(paint.Smooth(cx-190, hz+60, cx-190, hz-190, cx-120, hz-300, cx, hz-340, cx+120, hz-300, cx+190, hz-190, cx+190, hz+60), paint.Paint{Color: stone.Mul(0.7), Round: 60})
	for i, x := range []float32{-105, 0, 105} {
		window(c, cx+x, hz-150-30*float32(i%2), 54, 190+40*float32(i%2), 1.6, r)
	}
	c.Glow(cx, hz-130, 260, 240, paint.RGB{0.5, 0.44, 0.34})
	// Floor with the aisle.
	c.Fill(paint.Poly(cx-60, hz+64, cx+60, hz+64, w+160, h+10, -160, h+10), paint.Paint{Color: stone.Mul(0.45)})
	c.Fill(paint.Poly(cx-34, hz+64, cx+34, hz+64, cx+270, h+10, cx-270, h+10), paint.Paint{Color: paint.Hex(0x8e3b37).Mul(0.8)})
	// Columns and arches, far to near.
	for i := range 5 {
		s := 1.0
		for range i {
			s *= 1.5
		}
		k := float32(s)
		shade := 0.62 - 0.07*float32(i)
		for _, side := range []float32{-1, 1} {
			x := cx + side*(205*k+20)
			top, foot := hz-215*k, hz+58*k
			lit := stone.Mul(shade)
			if side > 0 {
				lit = lit.Mul(0.7)
			}
			if i < 4 {
				window(c, cx+side*(240*k+26), hz-120*k, 36*k*0.6, 130*k, 1.1, r)
			}
			c.Fill(paint.Box(x-13*k, top, 26*k, foot-top), paint.Paint{Color: lit, Round: 10 * k})
			c.Fill(paint.Box(x-19*k, top-10*k, 38*k, 16*k), paint.Paint{Color: lit.Mul(1.2), Round: 5 * k})
			c.Fill(paint.Box(x-18*k, foot-12*k, 36*k, 14*k), paint.Paint{Color: lit.Mul(1.1), Round: 5 * k})
		}
		arch := paint.Smooth(cx-224*k, hz-205*k, cx-150*k, hz-330*k, cx, hz-400*k, cx+150*k, hz-330*k, cx+224*k, hz-205*k, cx+196*k, hz-205*k, cx+128*k, hz-305*k, cx, hz-370*k, cx-128*k, hz-305*k, cx-196*k, hz-205*k)
		c.Fill(arch, paint.Paint{Color: stone.Mul(shade * 0.95), Round: 8 * k})
	}
}

// window is a pointed window of coloured panes.
func window(c *paint.Canvas, x, y, w, h, power float32, r *rand.Rand) {
	shape := func(g float32) paint.Path {
		return paint.Smooth(x-w/2-g, y+h/2+g, x-w/2-g, y-h*0.2, x-w*0.3-g*0.6, y-h*0.4-g*0.5, x, y-h/2-g, x+w*0.3+g*0.6, y-h*0.4-g*0.5, x+w/2+g, y-h*0.2, x+w/2+g, y+h/2+g)
	}
	c.Fill(shape(w*0.1), paint.Paint{Color: paint.Hex(0x5c5347), Round: w * 0.1})
	c.Fill(shape(0), paint.Paint{Color: paint.RGB{0.9, 0.85, 0.7}.Mul(power), Flat: true})
	panes := []paint.RGB{{0.3, 0.5, 1.4}, {1.5, 0.5, 0.3}, {1.5, 1.1, 0.3}, {0.4, 1.1, 0.6}, {1, 0.5, 1.1}}
	for i := range 18 {
		px, py := x-w*0.44+w*0.3*float32(i%3), y-h*0.22+h*0.118*float32(i/3)
		c.Fill(paint.Box(px, py, w*0.27, h*0.1), paint.Paint{Color: panes[r.IntN(5)].Mul(0.7 * power), Flat: true, Alpha: 0.75, Soft: w * 0.03})
	}
}

func shafts(c *paint.Canvas, power float32) {
	for i := range 4 {
		f := float32(i)
		Beam(c, 1540-120*f, -60, 70, 700-170*f, 1050, 230, paint.RGB{0.17, 0.145, 0.1}.Mul(power), 20)
	}
}

// pews are two blocks of guests seen from behind, with their benches.
func pews(c *paint.Canvas, rows int, first uint64) {
	w, h := c.Width(), c.Height()
	cx, hz := w/2, h*0.52
	g := int(first % 40)
	for row := range rows {
		k := float32(1)
		for range row {
			k *= 1.42
		}
		y := hz + 105*k
		for _, side := range []float32{-1, 1} {
			for i := range 5 {
				g++
				x := cx + side*(72*k+float32(i)*40*k+float32(g%3)*5*k)
				if x < -60 || x > w+60 {
					continue
				}
				Guest(g).Draw(c, Pose{X: x, Y: y + 118*k, Head: 27 * k, Back: true, Seated: true, Tilt: 0.1 * float32(g%3-1)})
			}
			x0, x1 := cx+side*58*k, cx+side*900*k
			c.Fill(paint.Box(min(x0, x1), y-26*k, max(x0, x1)-min(x0, x1), 70*k), paint.Paint{Color: paint.Hex(0x4a2f1c).Mul(0.75), Round: 8 * k})
			c.Fill(paint.Box(x0-7*k, y-34*k, 14*k, 84*k), paint.Paint{Color: paint.Hex(0x5c3b24), Round: 6 * k})
			Bouquet(c, paint.Pt{X: x0, Y: y - 26*k}, 15*k, uint64(row))
		}
	}
}

func ceremony() []composition {
	l := churchLight()
	close := func(c *paint.Canvas, r *rand.Rand) {
		nave(c, r)
		Bokeh(c, r, 26, 150, 330, 1350, 640, 15, 1.0, paint.RGB{1, 0.62, 0.22}, paint.RGB{1, 0.75, 0.4})
		shafts(c, 1.2)
	}
	return []composition{
		{light: l, far: true, depth: 0, iso: 3200, // the whole church
			back: func(c *paint.Canvas, r *rand.Rand) { nave(c, r); pews(c, 3, r.Uint64()) },
			front: func(c *paint.Canvas, a act) {
				x := 750 + 20*a.pan
				Bride().Draw(c, Pose{X: x - 26, Y: 640, Head: 20, Back: true, Sway: 0.2})
				Groom().Draw(c, Pose{X: x + 26, Y: 640, Head: 20, Back: true})
				priest := Guest(3)
				priest.Cloth = paint.Hex(0xe9e2d2)
				priest.Draw(c, Pose{X: x, Y: 596, Head: 17, Lids: a.lids(), Left: paint.Pt{X: -0.6 - 0.2*wave(a.t*0.4), Y: -4.9}, Right: paint.Pt{X: 0.6 + 0.2*wave(a.t*0.4), Y: -4.9}})
				shafts(c, 1)
			}},
		{light: l, depth: 7, iso: 2500, action: true, // down the aisle with her father
			back: func(c *paint.Canvas, r *rand.Rand) {
				nave(c, r)
				for i := range 4 {
					k := 1 + 0.5*float32(i)
					for _, side := range []float32{-1, 1} {
						Guest(i*2+int(side)+int(r.Uint64()%9)).Draw(c, Pose{X: 750 + side*(270+95*float32(i)*k*0.7), Y: 760 + 150*float32(i), Head: 52 * k, Turn: -side * 0.9, Smile: 0.6, Lids: 0.1})
					}
				}
				shafts(c, 1.2)
			},
			front: func(c *paint.Canvas, a act) {
				k := 106 + 20*a.t
				y := 900 + 46*a.t
				father := Guest(5)
				father.Wear, father.Cloth, father.Accent, father.HairColor, father.Hair, father.Glasses = Suit, paint.Hex(0x3b3d42), paint.Hex(0x7a8a9a), paint.Hex(0xb4b2ae), Short, true
				father.Draw(c, Pose{X: 845 + 40*a.pan, Y: y, Head: k, Turn: -0.3, Lids: a.lids(), Smile: a.smile(0.45), Stride: 0.7 * wave(a.t*1.1+0.1), Left: paint.Pt{X: -0.62, Y: -4.45}})
				Bride().Draw(c, Pose{X: 675 + 40*a.pan, Y: y + 6, Head: k, Turn: 0.15 * wave(a.t*0.5), Lids: a.lids(), Smile: a.smile(0.6), Sway: 0.18 * wave(a.t*1.1), Right: paint.Pt{X: 0.32, Y: -4.35}, Left: paint.Pt{X: -0.3, Y: -4.3}, Bouquet: true, VeilBlow: 0.15 * wave(a.t*0.6)})
			}},
		{light: l, depth: 12, iso: 2000, back: close, // the vows
			front: func(c *paint.Canvas, a act) {
				Groom().Draw(c, Pose{X: 560 + 40*a.pan, Y: 1530, Head: 182, Turn: 0.9, Tilt: 0.05 + 0.02*wave(a.t*0.5), Lids: a.lids(), Smile: a.smile(0.35), Mouth: 0.15 + 0.15*wave(a.t*1.4), Right: paint.Pt{X: 1.0, Y: -4.5}})
				Bride().Draw(c, Pose{X: 950 + 40*a.pan, Y: 1530, Head: 182, Turn: -0.9, Tilt: -0.07 + 0.02*wave(a.t*0.4), Lids: a.lids(), Smile: a.smile(0.55), Left: paint.Pt{X: -0.98, Y: -4.5}, Right: paint.Pt{X: -0.6, Y: -4.6}})
				foreground(c, 3, paint.Hex(0x6e4a34), paint.Hex(0xc8998a))
			}},
		{light: l, depth: 12, asleep: 2, iso: 2000, action: true, back: close, // the kiss
			front: func(c *paint.Canvas, a act) {
				near := min(0.4+a.t*1.5, 1)
				a.lids()
				Groom().Draw(c, Pose{X: 590 + 60*near + 40*a.pan, Y: 1575 + 20*near, Head: 190, Turn: 1, Tilt: 0.08 + 0.24*near, Lids: near, Smile: 0.2, Lean: 0.03 * near, Left: paint.Pt{X: -0.95, Y: -3.6}, Right: paint.Pt{X: 1.0, Y: -4.4}})
				a.lids()
				Bride().Draw(c, Pose{X: 975 - 60*near + 40*a.pan, Y: 1535 - 40*near, Head: 190, Turn: -1, Tilt: -0.08 - 0.22*near, Lids: near, Smile: 0.35, Lean: -0.04 * near, Left: paint.Pt{X: -0.95, Y: -5.35}, Right: paint.Pt{X: 0.9, Y: -3.9}})
			}},
		{light: l, depth: 6, iso: 3200, // faces in the pews
			back: func(c *paint.Canvas, r *rand.Rand) {
				nave(c, r)
				for i := range 7 {
					Guest(20+i).Draw(c, Pose{X: 130 + 210*float32(i), Y: 1010, Head: 74, Seated: true, Turn: 0.6, Smile: 0.3, Lids: 0.1})
				}
			},
			front: func(c *paint.Canvas, a act) {
				g := int(a.seed % 30)
				for i := range 5 {
					Guest(g+i).Draw(c, Pose{X: 170 + 290*float32(i) + 40*a.pan, Y: 1420 + 20*float32(i%2), Head: 132, Seated: true, Turn: 0.7, Tilt: 0.06 * wave(a.t*0.4+float32(i)), Lids: a.lids(), Smile: a.smile(0.35)})
				}
				c.Fill(paint.Box(-50, 925, 1650, 120), paint.Paint{Color: paint.Hex(0x4a2f1c), Round: 16})
			}},
		leaving(),
	}
}
