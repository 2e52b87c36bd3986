package face

import "math"

// Point is a place in a picture, in its pixels from the upper left corner: the middle
// of the first pixel is at 0.5, 0.5.
type Point struct{ X, Y float64 }

func (p Point) sub(q Point) Point        { return Point{p.X - q.X, p.Y - q.Y} }
func (p Point) length() float64          { return math.Hypot(p.X, p.Y) }
func (p Point) distance(q Point) float64 { return p.sub(q).length() }
func between(p, q Point) Point           { return Point{(p.X + q.X) / 2, (p.Y + q.Y) / 2} }

// within reports whether p is a place at all and no farther than reach from the
// origin along either axis.
func (p Point) within(reach float64) bool {
	return math.Abs(p.X) <= reach && math.Abs(p.Y) <= reach // false for what is no number
}

// move is a turn, a change of scale and a shift in one: a similarity. It takes
// (x, y) to (A·x − B·y + X, B·x + A·y + Y).
type move struct{ A, B, X, Y float64 }

func (m move) of(p Point) Point {
	return Point{m.A*p.X - m.B*p.Y + m.X, m.B*p.X + m.A*p.Y + m.Y}
}

// scale is how long something of length 1 becomes.
func (m move) scale() float64 { return math.Hypot(m.A, m.B) }

// square takes a square of the given side, upright and at the origin, to one of
// another size round a middle, turned clockwise by an angle in radians.
func square(side float64, middle Point, size, angle float64) move {
	sin, cos := math.Sincos(angle)
	m := move{A: cos * size / side, B: sin * size / side}
	half := m.of(Point{side / 2, side / 2})
	m.X, m.Y = middle.X-half.X, middle.Y-half.Y
	return m
}

// fit returns the move that takes the points of from as near to those of to as a move
// can, by the sum of the squared distances: the closed form in the plane of what
// Umeyama (1991) solves in any number of dimensions. It is false where the points
// say nothing of scale or angle.
func fit(from, to []Point) (move, bool) {
	var a, b Point
	n := float64(len(from))
	for i := range from {
		a.X, a.Y = a.X+from[i].X/n, a.Y+from[i].Y/n
		b.X, b.Y = b.X+to[i].X/n, b.Y+to[i].Y/n
	}
	var along, across, spread float64
	for i := range from {
		p, q := from[i].sub(a), to[i].sub(b)
		along += p.X*q.X + p.Y*q.Y
		across += p.X*q.Y - p.Y*q.X
		spread += p.X*p.X + p.Y*p.Y
	}
	m := move{A: along / spread, B: across / spread}
	at := m.of(a)
	m.X, m.Y = b.X-at.X, b.Y-at.Y
	ok := m.scale() > 1e-9 && m.scale() < 1e9 && !math.IsInf(m.X, 0) && !math.IsInf(m.Y, 0)
	return m, ok
}
