package paint

import "math"

// Pt is a point in units.
type Pt struct{ X, Y float32 }

// Map is an affine map: x' = A·x + C·y + E, y' = B·x + D·y + F.
type Map struct{ A, B, C, D, E, F float32 }

// Place maps local coordinates to the canvas: scaled by k (mirrored if flip),
// turned by angle radians clockwise, origin at x, y.
func Place(x, y, k, angle float32, flip bool) Map {
	s, c := math.Sincos(float64(angle))
	m := Map{k * float32(c), k * float32(s), -k * float32(s), k * float32(c), x, y}
	if flip {
		m.A, m.B = -m.A, -m.B
	}
	return m
}

// At applies the map.
func (m Map) At(p Pt) Pt { return Pt{m.A*p.X + m.C*p.Y + m.E, m.B*p.X + m.D*p.Y + m.F} }

// Then gives the map that applies n first and m after it.
func (m Map) Then(n Map) Map {
	o := m.At(Pt{n.E, n.F})
	return Map{
		m.A*n.A + m.C*n.B, m.B*n.A + m.D*n.B,
		m.A*n.C + m.C*n.D, m.B*n.C + m.D*n.D, o.X, o.Y,
	}
}

// Size is how much the map enlarges.
func (m Map) Size() float32 { return float32(math.Hypot(float64(m.A), float64(m.B))) }

// Path is a set of closed outlines; kinds: 'm' move, 'l' line, 'c' cubic.
type Path struct {
	kinds []byte
	pts   []Pt
}

// Add appends another path's outlines.
func (p Path) Add(q Path) Path {
	return Path{append(p.kinds[:len(p.kinds):len(p.kinds)], q.kinds...), append(p.pts[:len(p.pts):len(p.pts)], q.pts...)}
}

// On maps every point.
func (p Path) On(m Map) Path {
	q := Path{p.kinds, make([]Pt, len(p.pts))}
	for i, v := range p.pts {
		q.pts[i] = m.At(v)
	}
	return q
}

// Poly is a closed polygon of x, y pairs.
func Poly(xy ...float32) Path {
	var p Path
	for i := 0; i+1 < len(xy); i += 2 {
		k := byte('l')
		if i == 0 {
			k = 'm'
		}
		p.kinds = append(p.kinds, k)
		p.pts = append(p.pts, Pt{xy[i], xy[i+1]})
	}
	return p
}

// Box is an upright rectangle.
func Box(x, y, w, h float32) Path { return Poly(x, y, x+w, y, x+w, y+h, x, y+h) }

// Smooth is a closed curve through x, y pairs (Catmull–Rom).
func Smooth(xy ...float32) Path {
	n := len(xy) / 2
	v := func(i int) Pt { i = (i + n) % n; return Pt{xy[2*i], xy[2*i+1]} }
	p := Path{[]byte{'m'}, []Pt{v(0)}}
	for i := range n {
		a, b, c, d := v(i-1), v(i), v(i+1), v(i+2)
		p.kinds = append(p.kinds, 'c')
		p.pts = append(p.pts,
			Pt{b.X + (c.X-a.X)/6, b.Y + (c.Y-a.Y)/6},
			Pt{c.X - (d.X-b.X)/6, c.Y - (d.Y-b.Y)/6}, c)
	}
	return p
}

// Ellipse is an ellipse by its centre and half axes.
func Ellipse(x, y, rx, ry float32) Path {
	const k = 0.5523 // cubic approximation of a quarter circle
	return Path{[]byte("mcccc"), []Pt{
		{x + rx, y},
		{x + rx, y + k*ry}, {x + k*rx, y + ry}, {x, y + ry},
		{x - k*rx, y + ry}, {x - rx, y + k*ry}, {x - rx, y},
		{x - rx, y - k*ry}, {x - k*rx, y - ry}, {x, y - ry},
		{x + k*rx, y - ry}, {x + rx, y - k*ry}, {x + rx, y},
	}}
}

// Limb is a tapered stroke from a circle of radius ra to one of radius rb.
func Limb(ax, ay, ra, bx, by, rb float32) Path {
	dx, dy := bx-ax, by-ay
	n := float32(math.Hypot(float64(dx), float64(dy)))
	if n < 1e-4 {
		return Ellipse(ax, ay, ra, ra)
	}
	ux, uy := dx/n, dy/n
	nx, ny := -uy, ux
	return Smooth(
		ax+nx*ra, ay+ny*ra, (ax+bx)/2+nx*(ra+rb)/2, (ay+by)/2+ny*(ra+rb)/2, bx+nx*rb, by+ny*rb,
		bx+ux*rb, by+uy*rb,
		bx-nx*rb, by-ny*rb, (ax+bx)/2-nx*(ra+rb)/2, (ay+by)/2-ny*(ra+rb)/2, ax-nx*ra, ay-ny*ra,
		ax-ux*ra, ay-uy*ra)
}
