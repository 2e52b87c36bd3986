package icc

// This file is the way through tables: pixels go through each step some hundred at a
// time, channel by channel, in numbers of 32 bits. Products are rounded before they are
// added up, so that processors which can do both at once give the same bits.

// blockLen is the number of pixels that take a step together.
const blockLen = 256

// block has the pixels' channels one after the other.
type block [4][blockLen]float32

// chain is a lut made for speed.
type chain struct {
	channels int
	entry    [4]*light // the first curves, or the codes as they are
	links    []link
	out      [3][4]float32 // to the space's light
}

// link is one step of the chain.
type link struct {
	curves []line
	matrix *[3][4]float32
	cubed  bool // the matrix gives cube roots
	grid   *grid
}

// line is a curve as samples, from a number on so many to 1, with straight lines between
// them.
type line struct {
	from, perOne float32
	samples      []float32
}

// lineLen is how many samples stand for a formula.
const lineLen = 4097

// newChain prepares the steps of l, whose XYZ m takes to the space's light.
func newChain(l *lut, channels int, m *affine) *chain {
	c := &chain{channels: channels}
	steps, first := l.steps, make([]tone, channels)
	if len(steps[0].curves) > 0 {
		first, steps = steps[0].curves, steps[1:]
	}
	for i := range first {
		c.entry[i] = newLight(first, c.entry[:i])
	}
	r := spans{{0, 1}, {0, 1}, {0, 1}, {0, 1}} // what the numbers lie between
	for i, t := range first {
		r[i] = t.span(r[i])
	}
	for _, s := range steps {
		switch {
		case s.grid != nil:
			c.links, r = append(c.links, link{grid: s.grid}), spans{{0, 1}, {0, 1}, {0, 1}}
		case s.matrix != nil:
			c.links, r = append(c.links, link{matrix: s.matrix.short()}), s.matrix.spans(r)
		case !straight(s.curves, r):
			var lines []line
			for i, t := range s.curves {
				lines = append(lines, newLine(t, r[i]))
				r[i] = t.span(r[i])
			}
			c.links = append(c.links, link{curves: lines})
		}
	}
	out := *m
	switch l.pcs {
	case pcsLab, pcsLab2:
		roots := l.pcs.roots()
		c.links = append(c.links, link{matrix: roots.short(), cubed: true})
	case pcsXYZ:
		var scale affine
		for i, w := range d50() {
			scale[i][i] = xyzScale / w
		}
		out = m.after(&scale)
	}
	c.out = *out.short()
	return c
}

func (m *affine) short() *[3][4]float32 {
	s := new([3][4]float32)
	for r := range m {
		for c, v := range m[r] {
			s[r][c] = float32(v)
		}
	}
	return s
}

// spans are the least and the most that each channel may be.
type spans [4][2]float64

func (m *affine) spans(r spans) (out spans) {
	for k, row := range m {
		low, high := row[3], row[3]
		for c, v := range row[:3] {
			low += min(v*r[c][0], v*r[c][1])
			high += max(v*r[c][0], v*r[c][1])
		}
		out[k] = [2]float64{bound(low), bound(high)}
	}
	return out
}

// span is what the curve makes of a span, as nearly as its samples tell.
func (t tone) span(r [2]float64) [2]float64 {
	low, high := t.at(r[0]), t.at(r[1])
	for i := range lineLen {
		v := t.at(r[0] + (r[1]-r[0])*float64(i)/(lineLen-1))
		low, high = min(low, v), max(high, v)
	}
	return [2]float64{low, high}
}

// straight reports whether the curves change nothing.
func straight(curves []tone, r spans) bool {
	for k, t := range curves {
		if t.count() > lineLen {
			return false
		}
		for i := range lineLen {
			x := r[k][0] + (r[k][1]-r[k][0])*float64(i)/(lineLen-1)
			if d := t.at(x) - x; d < -1e-7 || d > 1e-7 {
				return false
			}
		}
	}
	return true
}

func newLine(t tone, r [2]float64) line {
	n := t.count()
	if n >= 2 || !t.open {
		r = [2]float64{0, 1}
	}
	if n < 2 {
		n = lineLen
	}
	wide := max(r[1]-r[0], 1e-6)
	l := line{float32(r[0]), float32(float64(n-1) / wide), make([]float32, n)}
	for i := range l.samples {
		l.samples[i] = float32(t.at(r[0] + wide*float64(i)/float64(n-1)))
	}
	return l
}

func (c *chain) linear(dst []float32, src []uint16) {
	var b block
	for len(src) > 0 {
		n := min(len(src)/c.channels, blockLen)
		c.load(&b, src[:n*c.channels])
		for i := range c.links {
			c.links[i].run(&b, n)
		}
		store(dst[:3*n], &b, &c.out)
		src, dst = src[n*c.channels:], dst[3*n:]
	}
}

func (c *chain) load(b *block, src []uint16) {
	if c.channels == 3 {
		r, g, bl := c.entry[0], c.entry[1], c.entry[2]
		for i := 0; len(src) >= 3 && i < blockLen; i++ {
			b[0][i], b[1][i], b[2][i] = r[src[0]], g[src[1]], bl[src[2]]
			src = src[3:]
		}
		return
	}
	for ch := range c.channels {
		t := c.entry[ch]
		for i, at := 0, ch; at < len(src); i, at = i+1, at+c.channels {
			b[ch][i] = t[src[at]]
		}
	}
}

func (l *link) run(b *block, n int) {
	switch {
	case l.grid != nil && l.grid.in == 4:
		l.grid.run4(b, n)
	case l.grid != nil:
		l.grid.run3(b, n)
	case l.matrix != nil:
		multiply(b, n, l.matrix)
		if l.cubed {
			for ch := range 3 {
				cubes(b[ch][:n])
			}
		}
	default:
		for ch := range l.curves {
			l.curves[ch].run(b[ch][:n])
		}
	}
}

// run replaces each number by the curve's.
func (l *line) run(v []float32) {
	s := l.samples
	last := len(s) - 2
	end := float32(last + 1)
	for i, x := range v {
		x = float32((x - l.from) * l.perOne)
		if !(x > 0) {
			x = 0
		}
		x = min(x, end)
		k := min(int(x), last)
		a, b := s[k], s[k+1]
		v[i] = a + float32((b-a)*(x-float32(k)))
	}
}

func multiply(b *block, n int, m *[3][4]float32) {
	x, y, z := b[0][:n], b[1][:n], b[2][:n]
	for i := range x {
		p, q, r := x[i], y[i], z[i]
		x[i] = float32(m[0][0]*p) + float32(m[0][1]*q) + float32(m[0][2]*r) + m[0][3]
		y[i] = float32(m[1][0]*p) + float32(m[1][1]*q) + float32(m[1][2]*r) + m[1][3]
		z[i] = float32(m[2][0]*p) + float32(m[2][1]*q) + float32(m[2][2]*r) + m[2][3]
	}
}

// cubes is cube for each number.
func cubes(v []float32) {
	for i, f := range v {
		if f <= cubeFrom {
			v[i] = cubeSlope * (f - cubeZero)
		} else {
			v[i] = f * f * f
		}
	}
}

func store(dst []float32, b *block, m *[3][4]float32) {
	for i := 0; len(dst) >= 3 && i < blockLen; i++ {
		p, q, r := b[0][i], b[1][i], b[2][i]
		dst[0] = float32(m[0][0]*p) + float32(m[0][1]*q) + float32(m[0][2]*r) + m[0][3]
		dst[1] = float32(m[1][0]*p) + float32(m[1][1]*q) + float32(m[1][2]*r) + m[1][3]
		dst[2] = float32(m[2][0]*p) + float32(m[2][1]*q) + float32(m[2][2]*r) + m[2][3]
		dst = dst[3:]
	}
}
