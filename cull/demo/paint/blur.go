package paint

// scratch keeps the buffers of one canvas from shape to shape.
type scratch struct {
	mask, height, line []float32
	row                []RGB
}

func grow(b *[]float32, n int) []float32 {
	if cap(*b) < n {
		*b = make([]float32, n)
	}
	return (*b)[:n]
}

// Blur softens the whole canvas, radius in units: two box passes in each
// direction, close to what a lens does to what is out of focus.
func (c *Canvas) Blur(radius float32) {
	r := int(radius*c.Scale + 0.5)
	if r < 1 {
		return
	}
	line := grow(&c.work.line, 3*max(c.W, c.H))
	for range 2 {
		for y := range c.H {
			boxLine(c.Pix[3*c.W*y:], line, c.W, 3, r)
		}
		for x := range c.W {
			boxLine(c.Pix[3*x:], line, c.H, 3*c.W, r)
		}
	}
}

// Smear blurs along one direction only, as a moving camera does; dx and dy are
// the length of the move in units.
func (c *Canvas) Smear(dx, dy float32) {
	const steps = 12
	src := make([]float32, len(c.Pix))
	copy(src, c.Pix)
	clear(c.Pix)
	for s := range steps {
		t := float32(s)/(steps-1) - 0.5
		ox, oy := int(dx*c.Scale*t), int(dy*c.Scale*t)
		for y := range c.H {
			sy := min(max(y+oy, 0), c.H-1)
			from, to := src[3*c.W*sy:3*c.W*(sy+1)], c.Pix[3*c.W*y:3*c.W*(y+1)]
			for x := range c.W {
				sx := 3 * min(max(x+ox, 0), c.W-1)
				to[3*x] += from[sx] / steps
				to[3*x+1] += from[sx+1] / steps
				to[3*x+2] += from[sx+2] / steps
			}
		}
	}
}

// boxLine averages n pixels of three values with their 2r neighbours; step is
// the distance between pixels. Borders repeat.
func boxLine(p, tmp []float32, n, step, r int) {
	for i := range n {
		copy(tmp[3*i:3*i+3], p[i*step:i*step+3])
	}
	k := 1 / float32(2*r+1)
	var a, b, d float32
	for i := -r; i <= r; i++ {
		j := 3 * min(max(i, 0), n-1)
		a, b, d = a+tmp[j], b+tmp[j+1], d+tmp[j+2]
	}
	for i := range n {
		q := p[i*step:]
		q[0], q[1], q[2] = a*k, b*k, d*k
		in, out := 3*min(i+r+1, n-1), 3*max(i-r, 0)
		a += tmp[in] - tmp[out]
		b += tmp[in+1] - tmp[out+1]
		d += tmp[in+2] - tmp[out+2]
	}
}

// boxMask blurs a one-value plane in place. Beyond its border the plane is zero,
// or, with extend, as it is at the border: for a plane that was cut off while it
// still had values there.
func boxMask(p, tmp []float32, w, h, r int, extend bool) {
	k := 1 / float32(2*r+1)
	for y := range h {
		row := p[y*w : (y+1)*w]
		copy(tmp, row)
		var first, last float32
		if extend {
			first, last = tmp[0], tmp[w-1]
		}
		s := float32(r) * first
		for i := range r {
			if i < w {
				s += tmp[i]
			} else {
				s += last
			}
		}
		for x := range row {
			if x+r < w {
				s += tmp[x+r]
			} else {
				s += last
			}
			row[x] = s * k
			if x-r >= 0 {
				s -= tmp[x-r]
			} else {
				s -= first
			}
		}
	}
	// Columns go in strips of eight, which keeps the reads in the cache.
	for x0 := 0; x0 < w; x0 += 8 {
		n := min(8, w-x0)
		var s, first, last [8]float32
		for y := range h {
			copy(tmp[8*y:8*y+n], p[y*w+x0:y*w+x0+n])
		}
		if extend {
			copy(first[:], tmp[:n])
			copy(last[:], tmp[8*(h-1):8*(h-1)+n])
		}
		at := func(y int) []float32 {
			switch {
			case y < 0:
				return first[:]
			case y >= h:
				return last[:]
			}
			return tmp[8*y : 8*y+8]
		}
		for y := -r; y < r; y++ {
			for i, v := range at(y)[:n] {
				s[i] += v
			}
		}
		for y := range h {
			in, out := at(y+r), at(y-r)
			for i := range n {
				s[i] += in[i]
				p[y*w+x0+i] = s[i] * k
				s[i] -= out[i]
			}
		}
	}
}
