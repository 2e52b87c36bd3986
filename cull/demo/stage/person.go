// Package stage draws the invented wedding of the demo shoot: its people, its
// places and the things in them, with the shapes and light of package paint.
package stage

import (
	"math"

	"garner/cull/demo/paint"
)

// Hair is a hair style.
type Hair int

// The hair styles.
const (
	Short Hair = iota
	Bob
	Long
	Bun
	Curly
	Bald
)

// Wear is what a person has on.
type Wear int

// The clothes.
const (
	Suit Wear = iota
	Gown
	Dress
	Shirt
)

// Person is somebody who looks the same in every frame.
type Person struct {
	Skin, HairColor paint.RGB
	Hair            Hair
	Wear            Wear
	Cloth, Accent   paint.RGB // main cloth; tie, sash or trousers
	Lips            paint.RGB
	Iris            paint.RGB
	Tall            float32 // 1 is average
	Wide            float32 // 1 is average
	Beard, Glasses  bool
	Veil            bool
	Earrings        bool
}

// Pose is how a person stands in one frame. Lengths are heads: a person of
// average height is 7.4 heads, the feet are at 0, 0 and the head is around 0, -6.78.
type Pose struct {
	X, Y     float32 // feet, in canvas units
	Head     float32 // size of a head in canvas units
	Flip     bool
	Lean     float32 // of the whole body, radians
	Turn     float32 // of the face: -1 to its left, 1 to its right in the picture
	Tilt     float32 // of the head, radians
	Left     paint.Pt
	Right    paint.Pt // hands; the zero point hangs down
	Lids     float32  // 0 open, 1 closed
	Smile    float32  // 0 earnest, 1 laughing
	Mouth    float32  // open 0..1
	Stride   float32  // -1..1, legs apart
	Sway     float32  // of the skirt, in heads
	Back     bool     // seen from behind
	Seated   bool     // only what is above a table is drawn
	Bouquet  bool     // in the right hand
	Glass    bool     // in the right hand
	VeilBlow float32  // how far the veil flies out, in heads
	Soft     float32  // blur of every edge, canvas units
}

type figure struct {
	c *paint.Canvas
	m paint.Map
	p Person
	q Pose
	k float32 // canvas units of a head
}

// Draw draws the person.
func (p Person) Draw(c *paint.Canvas, q Pose) {
	k := q.Head * p.Tall
	f := figure{c: c, m: paint.Place(q.X, q.Y, k, q.Lean, q.Flip), p: p, q: q, k: k}
	if p.Wide == 0 {
		f.p.Wide = 1
	}
	if q.Left == (paint.Pt{}) {
		f.q.Left = paint.Pt{X: -0.9, Y: -3.12}
	}
	if q.Right == (paint.Pt{}) {
		f.q.Right = paint.Pt{X: 0.9, Y: -3.12}
	}
	if p.Veil && !q.Back {
		f.veil()
	}
	if (p.Hair == Long || p.Hair == Curly) && !q.Back {
		f.hairBehind()
	}
	if !q.Seated && p.Wear != Gown {
		f.legs()
	}
	f.arm(f.q.Left, -1)
	if f.q.Right.X > 0.55 {
		f.arm(f.q.Right, 1)
	}
	f.body()
	f.neck()
	f.head()
	if f.q.Right.X <= 0.55 {
		f.arm(f.q.Right, 1)
	}
	if p.Veil && q.Back {
		f.veil()
	}
	if q.Bouquet {
		Bouquet(c, f.m.At(f.q.Right), 0.55*k, 3)
	}
	if q.Glass {
		f.glass()
	}
}

// fill draws a path given in heads.
func (f *figure) fill(p paint.Path, color paint.RGB, round, soft float32) {
	f.c.Fill(p.On(f.m), paint.Paint{Color: color, Round: round * f.k, Soft: soft*f.k + f.q.Soft})
}

func (f *figure) paint(p paint.Path, pt paint.Paint) {
	pt.Round *= f.k
	pt.Soft = pt.Soft*f.k + f.q.Soft
	f.c.Fill(p.On(f.m), pt)
}

func (f *figure) shoulder() float32 {
	w := float32(0.74)
	if f.p.Wear == Suit || f.p.Wear == Shirt {
		w = 0.92
	}
	return w * f.p.Wide
}

// arm is an upper arm, a forearm and a hand; the elbow follows from their
// lengths.
func (f *figure) arm(hand paint.Pt, side float32) {
	const upper, lower = 1.32, 1.3
	sx, sy := side*f.shoulder()*0.86, float32(-5.62)
	dx, dy := hand.X-sx, hand.Y-sy
	d := float32(math.Hypot(float64(dx), float64(dy)))
	if d > upper+lower-0.02 {
		s := (upper + lower - 0.02) / d
		dx, dy, d = dx*s, dy*s, upper+lower-0.02
	}
	a := (upper*upper - lower*lower + d*d) / (2 * d)
	h := float32(math.Sqrt(float64(max(upper*upper-a*a, 0))))
	// Of the two elbows that fit, people have the lower and outer one.
	ex, ey := sx+dx*a/d-dy*h/d, sy+dy*a/d+dx*h/d
	if ox, oy := sx+dx*a/d+dy*h/d, sy+dy*a/d-dx*h/d; oy+0.6*side*ox > ey+0.6*side*ex {
		ex, ey = ox, oy
	}
	hx, hy := sx+dx, sy+dy
	sleeve, bare := f.p.Cloth, f.p.Skin
	r := 0.2 * f.p.Wide
	hr := 0.14 * f.p.Wide
	if f.p.Wear == Gown || f.p.Wear == Dress {
		sleeve, r, hr = bare, 0.155*f.p.Wide, 0.115*f.p.Wide
	}
	wx, wy := ex+(hx-ex)*0.9, ey+(hy-ey)*0.9
	// The hand: palm, and a thumb that keeps it from being a ball.
	f.fill(paint.Limb(wx, wy, 0.09, hx+(hx-ex)*0.14, hy+(hy-ey)*0.14, 0.085), bare, 0.1, 0)
	f.fill(paint.Limb(hx, hy, 0.05, hx-side*0.12+(hx-ex)*0.06, hy+(hy-ey)*0.08, 0.035), bare, 0.05, 0)
	if f.p.Wear == Suit {
		f.fill(paint.Limb(ex+(hx-ex)*0.8, ey+(hy-ey)*0.8, hr*0.95, wx, wy, hr*0.9), white, 0.1, 0)
	}
	f.fill(paint.Limb(ex, ey, r*0.86, wx-(hx-ex)*0.06, wy-(hy-ey)*0.06, hr), sleeve, 0.16, 0)
	f.fill(paint.Limb(sx, sy, r*1.12, ex, ey, r*0.88), sleeve, 0.2, 0)
	if f.p.Wear == Dress || f.p.Wear == Gown {
		f.fill(paint.Limb(sx, sy-0.04, r*1.22, sx+(ex-sx)*0.3, sy+(ey-sy)*0.3, r*1.25), f.p.Cloth, 0.16, 0.01)
	}
}

func (f *figure) legs() {
	s := f.q.Stride
	cloth, shoe, w := f.p.Accent, paint.Hex(0x1c1714), float32(0.3)
	if f.p.Wear == Suit {
		cloth = f.p.Cloth.Mul(0.8)
	}
	if f.p.Wear == Dress {
		cloth, w = f.p.Skin, 0.17
		shoe = f.p.Cloth.Mul(0.4)
	}
	w *= f.p.Wide
	for _, side := range []float32{-1, 1} {
		kx := side*0.27 + s*side*0.28
		fx := side*0.26 + s*side*0.42
		fy := -max(s*side, 0) * 0.16
		f.fill(paint.Smooth(fx-0.17, fy-0.16, fx+side*0.02, fy-0.26, fx+0.17, fy-0.15, fx+0.2+side*0.04, fy+0.02, fx, fy+0.08, fx-0.2+side*0.04, fy+0.02), shoe, 0.1, 0)
		f.fill(paint.Limb(kx, -1.95, w*0.82, fx, fy-0.22, w*0.62), cloth, 0.2, 0)
		f.fill(paint.Limb(side*0.26, -3.6, w*1.25, kx, -1.95, w*0.86), cloth, 0.25, 0)
	}
}

// glass is a flute held up in the right hand.
func (f *figure) glass() {
	x, y := f.q.Right.X+0.05, f.q.Right.Y
	f.paint(paint.Poly(x-0.1, y-0.75, x+0.1, y-0.75, x+0.06, y-0.15, x-0.06, y-0.15), paint.Paint{Color: paint.Hex(0xf3dc9a), Alpha: 0.75, Round: 0.06, Gloss: 3})
	f.paint(paint.Box(x-0.015, y-0.16, 0.03, 0.4), paint.Paint{Color: paint.Hex(0xeeeeee), Alpha: 0.7})
}
