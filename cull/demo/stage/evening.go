package stage

import (
	"math/rand/v2"

	"garner/cull/demo/paint"
)

func candleLight() paint.Light {
	return paint.Light{
		X: -0.2, Y: 0.25, Z: 0.9, Key: paint.RGB{0.66, 0.44, 0.25}, Above: paint.RGB{0.13, 0.11, 0.12}, Below: paint.RGB{0.3, 0.17, 0.07},
		Rim: paint.RGB{2, 1.3, 0.7}, RimX: 0.6, RimY: -0.8,
	}
}

// barn is the hall of the dinner: beams, strings of bulbs, darkness behind.
func barn(c *paint.Canvas, r *rand.Rand) {
	w, h := c.Width(), c.Height()
	c.Backdrop(paint.Stop{At: 0, Color: paint.Hex(0x2b1d15).Mul(0.7)}, paint.Stop{At: 0.55, Color: paint.Hex(0x6b4a2e).Mul(0.6)}, paint.Stop{At: 1, Color: paint.Hex(0x2a1a12)})
	for i := range 7 {
		x := w * float32(i) / 6
		c.Fill(paint.Box(x-14, 0, 28, h*0.62), paint.Paint{Color: paint.Hex(0x3b2617), Round: 10})
		c.Fill(paint.Limb(x, 230, 12, x+w/12, 20, 10), paint.Paint{Color: paint.Hex(0x3b2617), Round: 8})
	}
	for range 4 {
		x := w * (0.1 + 0.8*r.Float32())
		c.Fill(paint.Box(x, h*0.26, 110, 170), paint.Paint{Color: paint.Hex(0x22324e).Mul(0.9), Flat: true})
	}
	for line := range 4 {
		y, sag := 40+70*float32(line), 70+40*r.Float32()
		for i := range 15 {
			t := float32(i) / 14
			bx, by := w*(1.1*t-0.05)+float32(line*37%90), y+sag*4*t*(1-t)
			c.Glow(bx, by, 26, 26, paint.RGB{0.5, 0.3, 0.12})
			c.Fill(paint.Ellipse(bx, by, 8, 9), paint.Paint{Color: paint.RGB{5, 3.3, 1.6}, Flat: true, Soft: 2})
		}
	}
	for i := range 11 {
		Guest(40+i+r.IntN(3)).Draw(c, Pose{X: w * (float32(i) + 0.5) / 11, Y: h*0.86 + 20*float32(i%2), Head: 46, Seated: true, Turn: 0.8 * wave(float32(i)*0.31), Smile: 0.5, Lids: 0.1})
	}
	c.Fill(paint.Box(-20, h*0.7, w+40, 60), paint.Paint{Color: paint.Hex(0xe8dcc8).Mul(0.8), Round: 16})
	for i := range 12 {
		Candle(c, w*(float32(i)+0.3*r.Float32())/12, h*0.7, 44, 1)
	}
}

// table is the near edge of a long table with its candles, flowers and glasses.
func table(c *paint.Canvas, a act, y float32) {
	w := c.Width()
	cloth := paint.Hex(0xefe6d8)
	c.Fill(paint.Poly(-40, y, w+40, y, w+240, y+600, -240, y+600), paint.Paint{Color: cloth.Mul(0.75), Round: 30})
	r := rand.New(rand.NewPCG(a.seed, 21))
	for i := range 8 {
		x := w*(float32(i)+0.5)/8 + 30*(r.Float32()-0.5)
		switch i % 3 {
		case 0:
			Candle(c, x, y+44, 110, 0.9+0.15*wave(a.t*3.1+float32(i)))
			Candle(c, x+44, y+56, 80, 0.9+0.15*wave(a.t*2.7+float32(i)))
		case 1:
			for k := range 11 {
				Flower(c, x+90*(r.Float32()-0.5), y+6+46*(r.Float32()-0.6), 17+7*r.Float32(), []paint.RGB{paint.Hex(0xf1ddd0), paint.Hex(0xdf9f96), paint.Hex(0xb65a5e), paint.Hex(0x6f8a5a)}[k%4])
			}
		default:
			wineGlass(c, x, y+40, 110)
			wineGlass(c, x+60, y+58, 104)
		}
	}
}

func wineGlass(c *paint.Canvas, x, y, h float32) {
	c.Fill(paint.Smooth(x-h*0.17, y-h, x+h*0.17, y-h, x+h*0.22, y-h*0.7, x, y-h*0.42, x-h*0.22, y-h*0.7), paint.Paint{Color: paint.Hex(0xd8dce0), Alpha: 0.3, Round: h * 0.06, Gloss: 3})
	c.Fill(paint.Smooth(x-h*0.2, y-h*0.74, x+h*0.2, y-h*0.74, x+h*0.16, y-h*0.6, x, y-h*0.44, x-h*0.16, y-h*0.6), paint.Paint{Color: paint.Hex(0x6e1c28), Alpha: 0.85, Round: h * 0.08, Gloss: 2})
	c.Fill(paint.Box(x-h*0.015, y-h*0.44, h*0.03, h*0.42), paint.Paint{Color: paint.Hex(0xd8dce0), Alpha: 0.6})
	c.Fill(paint.Ellipse(x, y, h*0.16, h*0.035), paint.Paint{Color: paint.Hex(0xd8dce0), Alpha: 0.5, Gloss: 2, Round: 3})
}

func dinner() []composition {
	l := candleLight()
	seated := func(c *paint.Canvas, a act, ps []Person, head, y, smile float32) {
		n := float32(len(ps))
		for i, p := range ps {
			x := c.Width()*(float32(i)+0.5)/n + 40*a.pan
			q := Pose{X: x, Y: y + 14*float32(i%2), Head: head, Seated: true, Turn: 0.8 * wave(float32(i)*0.4+0.1+a.t*0.08), Tilt: 0.07 * wave(a.t*0.5+float32(i)*0.3), Lids: a.lids(), Smile: a.smile(smile)}
			if i%2 == 1 {
				q.Right, q.Glass = paint.Pt{X: 0.8, Y: -5.2 - 0.15*wave(a.t*0.6)}, true
			}
			p.Draw(c, q)
		}
	}
	return []composition{
		{light: l, depth: 8, iso: 3200, back: barn, // along the table
			front: func(c *paint.Canvas, a act) {
				g := int(a.seed%24) + 10
				seated(c, a, []Person{Guest(g), Guest(g + 1), Guest(g + 2), Guest(g + 3), Guest(g + 4)}, 118, 1265, 0.55)
				table(c, a, 790)
			}},
		{light: l, depth: 20, iso: 1600, back: barn, // the table alone
			front: func(c *paint.Canvas, a act) {
				c.Fill(paint.Poly(-40, 640, 1540, 640, 1900, 1400, -400, 1400), paint.Paint{Color: paint.Hex(0xefe6d8).Mul(0.72), Round: 60})
				r := rand.New(rand.NewPCG(a.seed, 4))
				for k := range 34 {
					x, y := 480+480*r.Float32(), 700+100*(r.Float32()-0.5)
					Clump(c, r, x+20, y+30, 26, paint.Hex(0x4f6a3e))
					Flower(c, x, y, 34+20*r.Float32(), []paint.RGB{paint.Hex(0xf3e4d8), paint.Hex(0xe2a79c), paint.Hex(0xb65a5e), paint.Hex(0xf0cfa0)}[k%4])
				}
				for i, x := range []float32{330, 420, 1090, 1180} {
					Candle(c, x, 800+20*float32(i%2), 190-30*float32(i%2), 1+0.1*wave(a.t*3+float32(i)))
				}
				wineGlass(c, 200, 880, 260)
				wineGlass(c, 1320, 880, 260)
				c.Fill(paint.Ellipse(730, 900, 210, 50), paint.Paint{Color: paint.Hex(0xf6f2ea), Round: 20, Gloss: 1})
				c.Fill(paint.Ellipse(730, 896, 150, 33), paint.Paint{Color: paint.Hex(0xe6dfd2), Round: 8})
				Flower(c, 730, 880, 30, paint.Hex(0xdf9f96))
			}},
		{upright: true, light: l, depth: 10, iso: 2000, back: barn, // the cake
			front: func(c *paint.Canvas, a act) {
				c.Fill(paint.Poly(-40, 1150, 1040, 1150, 1200, 1600, -200, 1600), paint.Paint{Color: paint.Hex(0xefe6d8).Mul(0.72), Round: 40})
				for i := range 4 {
					w, y := 300-58*float32(i), 1120-150*float32(i)
					c.Fill(paint.Smooth(500-w, y-140, 500, y-128, 500+w, y-140, 500+w, y, 500, y+34, 500-w, y), paint.Paint{Color: paint.Hex(0xf7efe4), Round: 46})
					c.Fill(paint.Ellipse(500, y-140, w, 26), paint.Paint{Color: paint.Hex(0xfbf6ee), Round: 10})
					for k := range 5 {
						Flower(c, 500+w*(0.75-0.42*float32(k)), y-6+18*wave(float32(k)*0.3), 26+6*float32(k%2), []paint.RGB{paint.Hex(0xe7b3a8), paint.Hex(0xb65a5e), paint.Hex(0xf4dcc8)}[(k+i)%3])
					}
				}
				Bouquet(c, paint.Pt{X: 500, Y: 520}, 76, 9)
				Candle(c, 140, 1240, 170, 1+0.1*wave(a.t*3))
				Candle(c, 870, 1250, 140, 1+0.1*wave(a.t*2.6))
			}},
	}
}

func speeches() []composition {
	l := candleLight()
	l.X, l.Y = 0.5, -0.4
	return []composition{
		{light: l, depth: 9, iso: 4000, action: true, back: barn, // the best man
			front: func(c *paint.Canvas, a act) {
				p := Guest(13)
				p.Wear, p.Cloth, p.Accent, p.Hair = Suit, paint.Hex(0x4a5a50), paint.Hex(0xb08a3a), Curly
				p.Draw(c, Pose{X: 720 + 60*a.pan, Y: 1360, Head: 146, Turn: 0.5 + 0.4*wave(a.t*0.4), Tilt: 0.06 * wave(a.t*0.7), Lids: a.lids(), Smile: a.smile(0.5), Mouth: 0.35 + 0.35*wave(a.t*1.9), Left: paint.Pt{X: -0.28, Y: -5.5}, Right: paint.Pt{X: 1.15, Y: -5.3 - 0.25*wave(a.t*0.5)}, Glass: true})
				x, y := 720+60*a.pan-0.22*146, 1360-5.72*146*p.Tall
				c.Fill(paint.Limb(x, y+60, 9, x+4, y, 11), paint.Paint{Color: paint.Hex(0x222226), Round: 8, Gloss: 1})
				c.Fill(paint.Ellipse(x+5, y-8, 21, 24), paint.Paint{Color: paint.Hex(0x55565c), Round: 12, Gloss: 1})
				table(c, a, 900)
			}},
		{light: l, depth: 9, iso: 4000, action: true, back: barn, // the couple listens
			front: func(c *paint.Canvas, a act) {
				Groom().Draw(c, Pose{X: 570 + 50*a.pan, Y: 1400, Head: 150, Seated: true, Turn: 0.45, Tilt: 0.08 * wave(a.t*0.6), Lids: a.lids(), Smile: a.smile(0.7), Right: paint.Pt{X: 0.9, Y: -4.3}})
				Bride().Draw(c, Pose{X: 890 + 50*a.pan, Y: 1400, Head: 150, Seated: true, Turn: 0.5, Tilt: -0.1 + 0.08*wave(a.t*0.6+0.3), Lids: a.lids(), Smile: a.smile(0.9), Left: paint.Pt{X: -0.2, Y: -5.3 - 0.3*max(wave(a.t*0.5), 0)}})
				table(c, a, 840)
			}},
		{light: l, depth: 8, iso: 5000, action: true, back: barn, // the guests laugh
			front: func(c *paint.Canvas, a act) {
				g := int(a.seed%20) + 3
				for i := range 4 {
					Guest(g+i).Draw(c, Pose{X: 220 + 350*float32(i) + 40*a.pan, Y: 1390 - 20*float32(i%2), Head: 138, Seated: true, Turn: 0.7, Tilt: 0.12 * wave(a.t*0.7+float32(i)*0.37), Lean: 0.02 * wave(a.t*0.7+float32(i)), Lids: a.lids(), Smile: a.smile(0.85)})
				}
				table(c, a, 880)
			}},
	}
}
