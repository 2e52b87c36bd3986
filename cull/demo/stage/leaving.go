package stage

import (
	"math/rand/v2"

	"garner/cull/demo/paint"
)

// portal is the church's front in the afternoon sun: wall, door, steps, guests
// on both sides.
func portal(c *paint.Canvas, r *rand.Rand) {
	w, h := c.Width(), c.Height()
	stone := paint.Hex(0xd8c6a4)
	c.Backdrop(paint.Stop{At: 0, Color: stone.Mul(0.8)}, paint.Stop{At: 0.7, Color: stone.Mul(0.72)}, paint.Stop{At: 1, Color: stone.Mul(0.6)})
	for row := range 9 {
		for i := range 11 {
			x := w*float32(i)/10 - 60*float32(row%2) - 40
			c.Fill(paint.Box(x, 88*float32(row), w/10-6, 82), paint.Paint{Color: stone.Mul(0.66 + 0.2*r.Float32()), Round: 8})
		}
	}
	// Four arches step into the wall, each darker, around the open door.
	cx := w / 2
	for i := range 5 {
		k := 1 - 0.1*float32(i)
		color := stone.Mul(0.85 - 0.13*float32(i))
		if i == 4 {
			color = paint.Hex(0x241a14)
		}
		x, top := 250*k, 780-700*k
		c.Fill(paint.Smooth(cx-x, 790, cx-x, top+210*k, cx-x*0.72, top+60*k, cx, top, cx+x*0.72, top+60*k, cx+x, top+210*k, cx+x, 790), paint.Paint{Color: color, Round: 18})
	}
	c.Glow(cx, 620, 90, 130, paint.RGB{0.28, 0.17, 0.08})
	for i := range 4 {
		y := 770 + 34*float32(i)
		c.Fill(paint.Box(cx-380-60*float32(i), y, 760+120*float32(i), 40), paint.Paint{Color: stone.Mul(0.92 - 0.05*float32(i)), Round: 6})
	}
	c.Fill(paint.Box(-50, 890, w+100, h), paint.Paint{Color: paint.Hex(0xb8a98e), Flat: true})
	for i := range 4 {
		for _, side := range []float32{-1, 1} {
			g := Guest(i*2 + int(side) + 31 + r.IntN(6))
			x := cx + side*(330+150*float32(i))
			g.Draw(c, Pose{X: x, Y: 930 + 34*float32(i), Head: 76 + 8*float32(i), Turn: -side * 0.8, Smile: 0.8, Mouth: 0.3, Lids: 0.15, Flip: side > 0, Right: paint.Pt{X: 1.7, Y: -7.3}})
		}
	}
}

// leaving is the two coming out of the church through a rain of petals.
func leaving() composition {
	l := paint.Light{
		X: -0.5, Y: -0.66, Z: 0.56, Key: paint.RGB{1, 0.92, 0.78}, Above: paint.RGB{0.28, 0.33, 0.42}, Below: paint.RGB{0.2, 0.17, 0.12},
		Rim: paint.RGB{1.5, 1.3, 1}, RimX: 0.8, RimY: -0.5,
	}
	return composition{light: l, depth: 6, iso: 250, action: true, back: portal, front: func(c *paint.Canvas, a act) {
		k, y, s := 98+12*a.t, 950+26*a.t, wave(a.t*1.1+0.15)
		x := 750 + 40*a.pan
		Shadow(c, x, y+6, 210)
		Groom().Draw(c, Pose{X: x - 110, Y: y, Head: k, Turn: 0.4, Tilt: 0.06 * s, Stride: 0.8 * s, Lids: a.lids(), Smile: a.smile(0.85), Right: paint.Pt{X: 1.05, Y: -3.7}, Left: paint.Pt{X: -1.65, Y: -6.9 - 0.3*s}})
		Bride().Draw(c, Pose{X: x + 110, Y: y, Head: k, Turn: -0.4, Tilt: -0.06 * s, Sway: 0.25 * s, Lids: a.lids(), Smile: a.smile(0.95), Left: paint.Pt{X: -1.05, Y: -3.7}, Right: paint.Pt{X: 0.9, Y: -4.6}, Bouquet: true, VeilBlow: -0.2 + 0.2*s})
		confetti(c, a.seed, x, 520, a.t)
	}}
}
