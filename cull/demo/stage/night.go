package stage

import (
	"math"
	"math/rand/v2"

	"garner/cull/demo/paint"
)

func spotLight() paint.Light {
	return paint.Light{
		X: -0.35, Y: -0.6, Z: 0.72, Key: paint.RGB{0.62, 0.5, 0.42}, Above: paint.RGB{0.1, 0.08, 0.14}, Below: paint.RGB{0.07, 0.04, 0.07},
		Rim: paint.RGB{2.6, 2.2, 3.4}, RimX: 0.75, RimY: -0.65,
	}
}

// floor is the dance floor: darkness, guests as silhouettes, beams in haze and
// their reflections.
func floor(c *paint.Canvas, r *rand.Rand, tint ...paint.RGB) {
	w, h := c.Width(), c.Height()
	c.Backdrop(paint.Stop{At: 0, Color: paint.Hex(0x0f0c18)}, paint.Stop{At: 0.6, Color: paint.Hex(0x2a1f34)}, paint.Stop{At: 0.72, Color: paint.Hex(0x241820)}, paint.Stop{At: 1, Color: paint.Hex(0x3a2620)})
	Bokeh(c, r, 46, 0, 60, w, h*0.5, 14, 1.1, paint.RGB{1, 0.66, 0.3}, paint.RGB{1, 0.8, 0.5}, tint[0], tint[1%len(tint)])
	dim := c.Light
	dark := c.Light
	dark.Key, dark.Rim = dark.Key.Mul(0.12), dark.Rim.Mul(0.7)
	c.Light = dark
	for i := range 14 {
		Guest(60+i+r.IntN(4)).Draw(c, Pose{X: w * (float32(i) + 0.3 + 0.4*r.Float32()) / 14, Y: h*0.82 + 30*r.Float32(), Head: 54, Turn: 0.8 * (r.Float32() - 0.5), Smile: 0.6})
	}
	c.Light = dim
	for i := range 5 {
		x := w * (0.1 + 0.2*float32(i))
		t := tint[i%len(tint)]
		Beam(c, x, -30, 26, x+220*(r.Float32()-0.5)*2, h*0.95, 300, t.Mul(0.16), 24)
		c.Glow(x, 4, 40, 30, t.Mul(5))
		c.Glow(x+100*(r.Float32()-0.5), h*0.93, 170, 40, t.Mul(0.3))
	}
}

// couple is the two in dance hold; turn goes round as they do.
func couple(c *paint.Canvas, x, y, head, phase, lean float32, a act) {
	s := wave(phase)
	near := float32(0.62)
	Shadow(c, x, y+8, head*1.7)
	Groom().Draw(c, Pose{X: x - near*head + 8*s, Y: y, Head: head, Lean: 0.03 + lean, Turn: 0.85, Tilt: 0.12, Stride: 0.5 * s, Lids: a.lids(), Smile: a.smile(0.5), Left: paint.Pt{X: -1.5, Y: -5.5 - 0.15*s}, Right: paint.Pt{X: 1.15, Y: -4.5}})
	Bride().Draw(c, Pose{X: x + near*head + 8*s, Y: y, Head: head, Lean: -0.03 + lean, Turn: -0.8, Tilt: -0.14, Sway: 0.45 * float32(math.Cos(float64(phase)*2*math.Pi)), Lids: a.lids(), Smile: a.smile(0.6), Left: paint.Pt{X: -1.0, Y: -5.5}, Right: paint.Pt{X: 1.1, Y: -5.0}, VeilBlow: -0.3 * s})
}

func firstDance() []composition {
	l := spotLight()
	gold, violet := paint.RGB{1, 0.7, 0.36}, paint.RGB{0.55, 0.4, 1}
	back := func(c *paint.Canvas, r *rand.Rand) { floor(c, r, gold, violet, gold) }
	return []composition{
		{light: l, depth: 7, iso: 5000, action: true, back: back, // turning
			front: func(c *paint.Canvas, a act) {
				couple(c, 740+70*a.pan+20*a.t, 925, 94, a.t*0.35+float32(a.seed%9)/9, 0.02*wave(a.t*0.4), a)
				Beam(c, 420, -30, 40, 760, 960, 420, paint.RGB{0.12, 0.09, 0.06}, 30)
			}},
		{light: l, depth: 12, iso: 5000, back: back, // close
			front: func(c *paint.Canvas, a act) {
				couple(c, 750+50*a.pan+14*a.t, 1520, 176, a.t*0.3, 0.015*wave(a.t*0.5), a)
			}},
		{upright: true, light: l, depth: 7, iso: 6400, action: true, // the whole turn, upright
			back: back,
			front: func(c *paint.Canvas, a act) {
				couple(c, 500+40*a.pan, 1330, 122, a.t*0.4+float32(a.seed%5)/5, 0.04*wave(a.t*0.4+0.2), a)
				Beam(c, 300, -30, 30, 520, 1380, 420, paint.RGB{0.1, 0.08, 0.07}, 30)
			}},
	}
}

func party() []composition {
	l := spotLight()
	pink, blue, green := paint.RGB{1, 0.25, 0.55}, paint.RGB{0.25, 0.45, 1}, paint.RGB{0.3, 0.9, 0.6}
	back := func(c *paint.Canvas, r *rand.Rand) { floor(c, r, pink, blue, green) }
	l.Rim = paint.RGB{4, 1.2, 3}
	crowd := func(c *paint.Canvas, a act, n int, head, y float32) {
		for i := range n {
			p := Guest(int(a.seed%30) + i*3)
			if i == n/2 {
				p = Bride()
			}
			ph := a.t*1.1 + float32(i)*0.37
			up := -6.6 - 0.9*max(wave(ph), -0.4)
			q := Pose{X: c.Width()*(float32(i)+0.5)/float32(n) + 20*wave(ph*0.5), Y: y - 26*max(wave(ph), 0) + 30*float32(i%2), Head: head, Lean: 0.07 * wave(ph*0.5), Turn: 0.6 * wave(ph*0.3), Tilt: 0.12 * wave(ph*0.5), Lids: a.lids(), Smile: a.smile(0.85), Stride: 0.4 * wave(ph), Sway: 0.3 * wave(ph*0.5), Right: paint.Pt{X: 1.15, Y: up}, Left: paint.Pt{X: -1.1, Y: -5.2 - 1.2*max(wave(ph+0.4), 0)}}
			p.Draw(c, q)
		}
		c.Haze(pink.Mix(blue, 0.4).Mul(0.25), 0.3, 0.02)
	}
	return []composition{
		{light: l, depth: 7, iso: 6400, action: true, back: back,
			front: func(c *paint.Canvas, a act) { crowd(c, a, 6, 112, 1090) }},
		{light: l, depth: 9, iso: 6400, action: true, back: back,
			front: func(c *paint.Canvas, a act) { crowd(c, a, 3, 160, 1390) }},
		{light: paint.Light{X: 0, Y: 0.1, Z: 1, Key: paint.RGB{0.75, 0.48, 0.24}, Above: paint.RGB{0.04, 0.05, 0.1}, Below: paint.RGB{0.14, 0.08, 0.03}, Rim: paint.RGB{3.4, 2, 0.8}, RimX: -0.9, RimY: -0.2}, depth: 7, iso: 6400, action: true, back: lane, front: sparklers},
	}
}

// lane is the way out through the night, guests with sparklers on both sides.
func lane(c *paint.Canvas, r *rand.Rand) {
	w, h := c.Width(), c.Height()
	c.Backdrop(paint.Stop{At: 0, Color: paint.Hex(0x0a1226)}, paint.Stop{At: 0.5, Color: paint.Hex(0x1c2338)}, paint.Stop{At: 0.6, Color: paint.Hex(0x2a221c)}, paint.Stop{At: 1, Color: paint.Hex(0x4a3722)})
	for range 90 {
		c.Glow(w*r.Float32(), h*0.4*r.Float32(), 1.6, 1.6, paint.RGB{1, 1, 1}.Mul(r.Float32()))
	}
	Bokeh(c, r, 20, w*0.3, h*0.3, w*0.7, h*0.5, 12, 0.9, paint.RGB{1, 0.7, 0.35})
	for i := range 4 {
		k := float32(1)
		for range i {
			k *= 1.38
		}
		for _, side := range []float32{-1, 1} {
			x := w/2 + side*150*k
			Guest(80+i*2+int(side)+r.IntN(5)).Draw(c, Pose{X: x, Y: h*0.5 + 110*k, Head: 32 * k, Turn: -side * 0.9, Smile: 0.7, Lids: 0.1, Flip: side > 0, Right: paint.Pt{X: 0.75, Y: -6.9}})
			spark(c, r, x-side*30*k, h*0.5+110*k-250*k, 22*k)
		}
	}
	c.Glow(w/2, h*0.9, 520, 120, paint.RGB{0.3, 0.18, 0.07})
}

func spark(c *paint.Canvas, r *rand.Rand, x, y, s float32) {
	c.Glow(x, y, s*3, s*3, paint.RGB{0.7, 0.4, 0.14})
	c.Glow(x, y, s*0.7, s*0.7, paint.RGB{5, 4, 2.4})
	for range 22 {
		a, d := r.Float64()*2*math.Pi, s*(0.6+1.5*r.Float32())
		ex, ey := x+d*float32(math.Cos(a)), y+d*float32(math.Sin(a))+d*0.2
		c.Fill(paint.Limb(x, y, 1.6, ex, ey, 0.7), paint.Paint{Color: paint.RGB{3, 2, 0.9}, Flat: true, Add: true, Alpha: 0.7})
	}
}

func sparklers(c *paint.Canvas, a act) {
	k, y := 88+14*a.t, 900+34*a.t
	s := wave(a.t*1.2 + 0.1)
	x := 750 + 40*a.pan
	Shadow(c, x, y+6, 190)
	Groom().Draw(c, Pose{X: x - 100, Y: y, Head: k, Turn: 0.5, Stride: 0.9 * s, Lids: a.lids(), Smile: a.smile(0.85), Right: paint.Pt{X: 1.0, Y: -3.8}, Left: paint.Pt{X: -1.7, Y: -7.2}})
	Bride().Draw(c, Pose{X: x + 100, Y: y, Head: k, Turn: -0.4, Tilt: -0.08, Sway: 0.3 * s, Lids: a.lids(), Smile: a.smile(0.95), Left: paint.Pt{X: -1.0, Y: -3.8}, Right: paint.Pt{X: 1.1, Y: -6.4}, VeilBlow: -0.4 + 0.2*s})
	r := rand.New(rand.NewPCG(a.seed, uint64(a.t*1000)))
	for _, side := range []float32{-1, 1} {
		spark(c, r, x+side*430, 330, 50)
	}
	spark(c, r, x-100-1.78*k, y-7.75*k, 24)
}
