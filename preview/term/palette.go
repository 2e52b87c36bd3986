package term

import "math/bits"

// palette finds the nearest of the 240 colours that xterm's 256-colour palette
// fixes: a cube of six levels a channel and a ramp of 24 greys. The first 16
// belong to the user.
type palette struct {
	table [1 << 15]uint8 // nearest, by five bits a channel
	rgb   [256][3]int32  // what it looks like
}

// dither is what bringing a picture to a palette needs, used again.
type dither struct {
	pending [2][][3]int32 // what the row before and this one owe to the next pixels, in 16ths
	index   []uint8       // of the picture
}

// begin prepares for a row of pixels, or of cells, after nothing.
func (d *dither) begin(w int) {
	for i := range d.pending {
		d.pending[i] = append(d.pending[i][:0], make([][3]int32, w+2)...)
	}
}

// owe spreads what a place got too much or too little to its neighbours.
func owe(now, next [][3]int32, x, channel int, e int32) {
	now[x+2][channel] += 7 * e
	next[x][channel] += 3 * e
	next[x+1][channel] += 5 * e
	next[x+2][channel] += e
}

// cell is quantise for a cell in two colours; row after row.
func (d *dither) cell(p *palette, c *cell, row, col int) (quarters int, front, back int32) {
	now, next := d.pending[row&1], d.pending[1-row&1]
	if col == 0 {
		clear(next)
	}
	for i := range c {
		for k := range c[i] {
			c[i][k] = min(max(c[i][k]+(now[col+1][k]+8)>>4, 0), 255)
		}
	}
	quarters = c.split()
	nearest := func(s shade) int32 { return int32(p.table[s[0]>>3<<10|s[1]>>3<<5|s[2]>>3]) }
	front, back = nearest(c.mean(quarters)), nearest(c.mean(15-quarters))
	if front == back {
		quarters = 0
	}
	n, want := int32(bits.OnesCount(uint(quarters))), c.mean(15)
	for k, v := range want {
		owe(now, next, col, k, (v-(n*p.rgb[front][k]+(4-n)*p.rgb[back][k])/4)*3/4)
	}
	return quarters, front, back
}

// cubeLevel is a channel's value on the cube.
func cubeLevel(i int) int {
	if i == 0 {
		return 0
	}
	return 55 + 40*i
}

func newPalette() *palette {
	p := &palette{}
	for i := range 216 {
		p.rgb[16+i] = [3]int32{int32(cubeLevel(i / 36)), int32(cubeLevel(i / 6 % 6)), int32(cubeLevel(i % 6))}
	}
	for i := range 24 {
		v := int32(8 + 10*i)
		p.rgb[232+i] = [3]int32{v, v, v}
	}
	for i := range p.table {
		// The middle of what falls together under five bits.
		channel := func(shift int) int32 { return int32(i>>shift&31<<3 + 4) }
		p.table[i] = p.search(channel(10), channel(5), channel(0))
	}
	// The ends are colours of their own.
	p.table[0], p.table[len(p.table)-1] = 16, 231
	return p
}

// search finds the nearest colour. It is one of two: on the cube the nearest
// level of each channel, on the ramp the nearest grey.
func (p *palette) search(r, g, b int32) uint8 {
	level := func(v int32) int {
		best := 0
		for i := 1; i < 6; i++ {
			if abs(cubeLevel(i)-int(v)) < abs(cubeLevel(best)-int(v)) {
				best = i
			}
		}
		return best
	}
	cube := uint8(16 + 36*level(r) + 6*level(g) + level(b))
	// The grey that comes nearest under the weights of distance.
	v := (3*r + 6*g + 2*b) / 11
	grey := uint8(232 + min(max((v-3)/10, 0), 23))
	if p.distance(r, g, b, grey) < p.distance(r, g, b, cube) {
		return grey
	}
	return cube
}

// distance weighs the channels by what the eye makes of them.
func (p *palette) distance(r, g, b int32, c uint8) int32 {
	q := &p.rgb[c]
	r, g, b = r-q[0], g-q[1], b-q[2]
	return 3*r*r + 6*g*g + 2*b*b
}

// quantise gives each pixel of four bytes its colour of p. The result is valid
// until the next call. What a pixel gets too much
// or too little is taken from its neighbours (Floyd and Steinberg), since faces
// and skies have more shades than the palette; a quarter is let go, which keeps
// dark walls from sparkling.
func (d *dither) quantise(p *palette, pix []byte, w, h int) []uint8 {
	if cap(d.index) < w*h {
		d.index = make([]uint8, w*h)
	}
	d.index = d.index[:w*h]
	d.begin(w)
	for y := range h {
		now, next := d.pending[y&1], d.pending[1-y&1]
		clear(next)
		for x := range w {
			o := pix[(y*w+x)*4:][:4]
			var v [3]int32
			for k := range v {
				v[k] = min(max(int32(o[k])+(now[x+1][k]+8)>>4, 0), 255)
			}
			c := p.table[v[0]>>3<<10|v[1]>>3<<5|v[2]>>3]
			d.index[y*w+x] = c
			for k := range v {
				owe(now, next, x, k, (v[k]-p.rgb[c][k])*3/4)
			}
		}
	}
	return d.index
}

func abs(n int) int { return max(n, -n) }
