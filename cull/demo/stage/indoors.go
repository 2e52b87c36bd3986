package stage

import (
	"math/rand/v2"

	"garner/cull/demo/paint"
)

// windowLight is a large window at the left on a grey day.
func windowLight() paint.Light {
	return paint.Light{
		X: -0.74, Y: -0.3, Z: 0.6, Key: paint.RGB{0.95, 0.93, 0.9}, Above: paint.RGB{0.2, 0.2, 0.21}, Below: paint.RGB{0.16, 0.13, 0.1},
		Rim: paint.RGB{1.6, 1.6, 1.6}, RimX: -0.9, RimY: -0.3,
	}
}

// room is a wall with a tall window at x, its curtains and a wooden floor.
func room(c *paint.Canvas, r *rand.Rand, x float32, wall paint.RGB) {
	w, h := c.Width(), c.Height()
	c.Backdrop(paint.Stop{At: 0, Color: wall.Mul(0.75)}, paint.Stop{At: 0.5, Color: wall}, paint.Stop{At: 1, Color: wall.Mul(0.6)})
	floor := h * 0.84
	c.Fill(paint.Box(-50, floor, w+100, h), paint.Paint{Color: paint.Hex(0x8a6a48).Mul(0.7), Flat: true})
	for i := range 9 {
		y := floor + float32(i*i)*2.4 + 4
		c.Fill(paint.Box(-50, y, w+100, 2+float32(i)*0.4), paint.Paint{Color: paint.Hex(0x4b3622), Flat: true, Alpha: 0.5})
	}
	c.Fill(paint.Box(-50, floor-16, w+100, 16), paint.Paint{Color: wall.Mul(1.3), Flat: true})
	// The window, brighter than anything, with its bars and the garden behind.
	ww, wt, wb := float32(330), h*0.08, h*0.74
	c.Fill(paint.Box(x-ww/2-16, wt-16, ww+32, wb-wt+32), paint.Paint{Color: paint.Hex(0xf0ece4), Flat: true})
	c.Fill(paint.Box(x-ww/2, wt, ww, wb-wt), paint.Paint{Color: paint.RGB{2.2, 2.3, 2.4}, Flat: true})
	for range 14 {
		c.Fill(paint.Ellipse(x-ww/2+ww*r.Float32(), wb-(wb-wt)*0.4*r.Float32(), 50, 40), paint.Paint{Color: paint.RGB{0.9, 1.2, 0.75}, Flat: true, Alpha: 0.35, Soft: 16})
	}
	for i := range 3 {
		c.Fill(paint.Box(x-ww/2+ww*float32(i)/2-5, wt, 10, wb-wt), paint.Paint{Color: paint.RGB{0.6, 0.58, 0.55}, Flat: true})
		c.Fill(paint.Box(x-ww/2, wt+(wb-wt)*float32(i+1)/4-4, ww, 8), paint.Paint{Color: paint.RGB{0.6, 0.58, 0.55}, Flat: true})
	}
	for _, side := range []float32{-1, 1} {
		for i := range 6 {
			fx := x + side*(ww/2-20+float32(i)*26)
			c.Fill(paint.Smooth(fx-15, wt-40, fx+15, wt-40, fx+20+side*8, h*0.5, fx+18, floor+8, fx-18, floor+8, fx-20+side*8, h*0.5), paint.Paint{Color: paint.Hex(0xe6dccb).Mul(1.1 - 0.1*float32(i)), Round: 14})
		}
	}
	c.Glow(x, h*0.4, 420, 480, paint.RGB{0.4, 0.42, 0.45})
	// Light on the floor.
	c.Fill(paint.Poly(x+60, floor, x+300, floor, x+760, h+20, x+340, h+20), paint.Paint{Color: paint.RGB{0.5, 0.48, 0.42}, Flat: true, Add: true, Soft: 22})
}

func frameOnWall(c *paint.Canvas, x, y, w, h float32) {
	c.Fill(paint.Box(x, y, w, h), paint.Paint{Color: paint.Hex(0x8d6d3c), Round: 6})
	c.Fill(paint.Box(x+12, y+12, w-24, h-24), paint.Paint{Color: paint.Hex(0xb9c2c0)})
	c.Fill(paint.Smooth(x+20, y+h*0.7, x+w*0.4, y+h*0.45, x+w*0.7, y+h*0.6, x+w-20, y+h*0.5, x+w-16, y+h-16, x+16, y+h-16), paint.Paint{Color: paint.Hex(0x6f8a6a), Soft: 4})
}

func preparations() []composition {
	wall := paint.Hex(0xc9b8a4).Mul(0.55)
	l := windowLight()
	return []composition{
		{light: l, depth: 9, iso: 800, // the bride by the window
			back: func(c *paint.Canvas, r *rand.Rand) {
				room(c, r, 330, wall)
				frameOnWall(c, 1130, 190, 240, 310)
			},
			front: func(c *paint.Canvas, a act) {
				s := 4 * wave(a.t*0.4)
				Bride().Draw(c, Pose{X: 840 + 60*a.pan + s, Y: 1760, Head: 205, Turn: -0.75 + 0.2*wave(a.t*0.3), Tilt: -0.05 + 0.04*wave(a.t*0.5), Lids: a.lids(), Smile: a.smile(0.4), Left: paint.Pt{X: -0.5, Y: -4.35}, Right: paint.Pt{X: 0.15, Y: -4.25}, Bouquet: true, VeilBlow: 0.1})
			}},
		{light: l, depth: 8, iso: 1000, action: true, // laughing with the bridesmaids
			back: func(c *paint.Canvas, r *rand.Rand) { room(c, r, 180, wall); frameOnWall(c, 1240, 170, 200, 260) },
			front: func(c *paint.Canvas, a act) {
				for i, x := range []float32{370, 1130, 1330} {
					Maid(i).Draw(c, Pose{X: x + 40*a.pan, Y: 1345 + 8*wave(a.t*0.8+float32(i)), Head: 152, Flip: i > 0, Turn: 0.5, Tilt: 0.08 * wave(a.t*0.7+float32(i)*0.4), Lids: a.lids(), Smile: a.smile(0.75), Right: paint.Pt{X: 0.75, Y: -5.4 - 0.25*wave(a.t*0.5+float32(i))}, Glass: true})
				}
				Bride().Draw(c, Pose{X: 745 + 30*a.pan, Y: 1330, Head: 158, Turn: 0.35 * wave(a.t*0.3+0.2), Tilt: 0.07 * wave(a.t*0.6), Lids: a.lids(), Smile: a.smile(0.8), Right: paint.Pt{X: 0.7, Y: -5.55}, Glass: true})
			}},
		{upright: true, light: l, depth: 3, iso: 640, // the dress on the window
			back: func(c *paint.Canvas, r *rand.Rand) {
				room(c, r, 470, wall)
			},
			front: func(c *paint.Canvas, a act) {
				k := paint.Hex(0xf2efe9).Mul(0.9)
				c.Fill(paint.Limb(500, 170, 5, 500, 240, 4), paint.Paint{Color: paint.Hex(0x6b5238), Round: 4})
				c.Fill(paint.Smooth(400, 286, 500, 232, 600, 286, 596, 296, 500, 250, 404, 296), paint.Paint{Color: paint.Hex(0x7a5c3c), Round: 5})
				s := 8 * wave(a.t*0.3)
				c.Fill(paint.Smooth(420, 290, 450, 350, 500, 380, 550, 350, 580, 290, 604, 400, 566, 560, 640, 800, 760+s, 1200, 800+s, 1330, 500+s, 1370, 200+s, 1330, 240+s, 1200, 360, 800, 434, 560, 396, 400), paint.Paint{Color: k, Round: 70})
				for i := range 9 {
					x := float32(i-4) * 0.25
					c.Fill(paint.Smooth(500+x*120, 580, 504+x*120, 580, 508+x*380, 950, 520+x*560+s, 1330, 490+x*560+s, 1330, 494+x*380, 950), paint.Paint{Color: k.Mul(0.5), Alpha: 0.4, Soft: 9})
				}
				c.Fill(paint.Smooth(436, 545, 500, 560, 564, 545, 564, 572, 500, 588, 436, 572), paint.Paint{Color: paint.Hex(0xd9b89a), Round: 9})
			}},
		{light: l, depth: 9, iso: 1000, // the groom and his tie
			back: func(c *paint.Canvas, r *rand.Rand) {
				room(c, r, 210, paint.Hex(0x8fa0a6).Mul(0.5))
				frameOnWall(c, 1120, 160, 280, 220)
			},
			front: func(c *paint.Canvas, a act) {
				Groom().Draw(c, Pose{X: 800 + 50*a.pan, Y: 1600, Head: 192, Turn: -0.5 + 0.15*wave(a.t*0.4), Tilt: 0.05, Lids: a.lids(), Smile: a.smile(0.3), Left: paint.Pt{X: -0.18, Y: -5.75 + 0.05*wave(a.t)}, Right: paint.Pt{X: 0.2, Y: -5.55}})
			}},
		{light: paint.Light{X: -0.5, Y: -0.6, Z: 0.6, Key: paint.RGB{0.9, 0.84, 0.74}, Above: paint.RGB{0.2, 0.2, 0.2}, Below: paint.RGB{0.1, 0.08, 0.06}}, depth: 30, iso: 400, back: ringsBack, front: rings},
	}
}

func ringsBack(c *paint.Canvas, r *rand.Rand) {
	c.Backdrop(paint.Stop{At: 0, Color: paint.Hex(0x59663f)}, paint.Stop{At: 0.4, Color: paint.Hex(0xb79a78)}, paint.Stop{At: 1, Color: paint.Hex(0x6b4a30)})
	for range 30 {
		Flower(c, 1500*r.Float32(), 40+300*r.Float32(), 50+50*r.Float32(), paint.Hex(0xe9c2b4))
	}
	Bokeh(c, r, 24, 0, 0, 1500, 380, 34, 0.5, paint.RGB{1, 0.8, 0.5}, paint.RGB{0.9, 0.95, 1})
}

// rings are two wedding rings on an old board, one leaning on the other.
func rings(c *paint.Canvas, a act) {
	gold := paint.Hex(0xd6a74c)
	for i := range 5 {
		y := 620 + float32(i*i)*22
		c.Fill(paint.Smooth(-80, y, 500, y-6, 1000, y+6, 1600, y-4, 1600, y+3, 1000, y+14, 500, y+4, -80, y+8), paint.Paint{Color: paint.Hex(0x3c2818), Alpha: 0.6, Soft: 3})
	}
	x := 700 + 60*a.pan
	for i, d := range []float32{0, 250} {
		rx, ry := float32(190), float32(96-20*i)
		c.Fill(paint.Ellipse(x+d+30, 690+ry*0.9, rx*1.1, 30), paint.Paint{Flat: true, Alpha: 0.5, Soft: 14})
		ring := paint.Ellipse(x+d, 640, rx, ry).Add(paint.Ellipse(x+d, 634, -rx+18, ry-17))
		c.Fill(ring.On(paint.Place(0, 0, 1, 0, false)), paint.Paint{Color: gold.Mul(0.65), Round: 10, Gloss: 3})
		band := paint.Smooth(x+d-rx, 640, x+d-rx*0.7, 640+ry*0.72, x+d, 640+ry, x+d+rx*0.7, 640+ry*0.72, x+d+rx, 640, x+d+rx*0.72, 668+ry*0.8, x+d, 676+ry, x+d-rx*0.72, 668+ry*0.8)
		c.Fill(band, paint.Paint{Color: gold, Round: 12, Gloss: 4})
		c.Glow(x+d-rx*0.5, 640+ry*0.9, 16, 9, paint.RGB{2, 1.8, 1.3})
	}
	c.Fill(paint.Smooth(x+170, 545, x+210, 545, x+222, 570, x+190, 606, x+158, 570), paint.Paint{Color: paint.RGB{0.9, 0.95, 1}, Round: 14, Gloss: 6})
	c.Glow(x+182, 562, 22, 22, paint.RGB{2, 2.1, 2.3})
}
