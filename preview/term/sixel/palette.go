package sixel

import (
	"cmp"
	"math"
	"slices"
)

// samples is about how many pixels the colours are chosen by: enough that a face
// in a group has its thousands.
const samples = 1 << 17

// palette is the colours of one picture.
type palette struct {
	rgb     [][3]int32 // as the terminal shows them
	percent [][3]uint8 // as they are written
	off     float64    // root mean square of what the samples are off, a channel

	count [1 << 15]uint32 // samples by five bits a channel
	seen  []colour        // those that there are
	boxes []box
	home  [1 << 15]uint16 // the box of each
	sums  []sum
}

// colour is one that the picture has, of five bits a channel, and how often.
type colour struct {
	v [3]uint8
	n uint32
}

func (c *colour) key() int { return int(c.v[0])<<10 | int(c.v[1])<<5 | int(c.v[2]) }

// sum is of pixels that get one colour.
type sum struct{ n, r, g, b, squares int64 }

// choose finds at most n colours. The picture's colours are cut into boxes,
// always the cut that takes most away from the squares of the errors (the
// criterion of X. Wu, "Efficient Statistical Computations for Optimal Color
// Quantization", Graphics Gems II, 1991); each box gives the mean of its pixels.
func (p *palette) choose(m *Picture, n int) {
	p.histogram(m)
	if len(p.seen) == 0 { // of holes
		p.seen = append(p.seen, colour{n: 1})
	}
	p.boxes = append(p.boxes[:0], newBox(p.seen))
	for len(p.boxes) < n {
		most := 0
		for i := range p.boxes {
			if p.boxes[i].gain > p.boxes[most].gain {
				most = i
			}
		}
		b := p.boxes[most]
		if b.gain <= 0 {
			break // there are no more colours
		}
		at := b.cut()
		p.boxes[most] = newBox(b.colours[:at])
		p.boxes = append(p.boxes, newBox(b.colours[at:]))
	}
	// Those that are needed most get the shortest numbers.
	slices.SortStableFunc(p.boxes, func(a, b box) int { return cmp.Compare(b.pixels, a.pixels) })
	for i := range p.boxes {
		for _, c := range p.boxes[i].colours {
			p.home[c.key()] = uint16(i)
		}
	}
	p.means(m)
}

// step is how many rows on, and columns on, the next sample lies.
func step(m *Picture) int {
	s := 1
	for m.Width/s*(m.Height/s) > samples {
		s++
	}
	return s
}

func (p *palette) histogram(m *Picture) {
	clear(p.count[:])
	s := step(m)
	for y := 0; y < m.Height; y += s {
		row := m.Pix[y*m.Stride:][:m.Width*4]
		for x := y / s % s * 4; x < len(row); x += s * 4 {
			q := row[x : x+4 : x+4]
			if m.Holes && q[3] == 0 {
				continue
			}
			p.count[int(q[0]>>3)<<10|int(q[1]>>3)<<5|int(q[2]>>3)]++
		}
	}
	p.seen = p.seen[:0]
	for i, n := range p.count {
		if n > 0 {
			p.seen = append(p.seen, colour{[3]uint8{uint8(i >> 10), uint8(i >> 5 & 31), uint8(i & 31)}, n})
		}
	}
}

// means gives each box its colour, from all bits of its samples.
func (p *palette) means(m *Picture) {
	p.sums = append(p.sums[:0], make([]sum, len(p.boxes))...)
	s := step(m)
	for y := 0; y < m.Height; y += s {
		row := m.Pix[y*m.Stride:][:m.Width*4]
		for x := y / s % s * 4; x < len(row); x += s * 4 {
			q := row[x : x+4 : x+4]
			if m.Holes && q[3] == 0 {
				continue
			}
			r, g, b := int64(q[0]), int64(q[1]), int64(q[2])
			t := &p.sums[p.home[r>>3<<10|g>>3<<5|b>>3]]
			t.n++
			t.r += r
			t.g += g
			t.b += b
			t.squares += r*r + g*g + b*b
		}
	}
	p.rgb, p.percent = p.rgb[:0], p.percent[:0]
	var off, n float64
	for _, t := range p.sums {
		t.n = max(t.n, 1)
		var rgb [3]int32
		var percent [3]uint8
		for i, v := range [3]int64{t.r, t.g, t.b} {
			// "Color Introducer": each channel is a whole percentage.
			percent[i] = uint8((v*200 + t.n*255) / (t.n * 510))
			rgb[i] = (int32(percent[i])*255 + 50) / 100
		}
		p.rgb, p.percent = append(p.rgb, rgb), append(p.percent, percent)
		r, g, b := float64(t.r), float64(t.g), float64(t.b)
		off += float64(t.squares) - (r*r+g*g+b*b)/float64(t.n)
		n += float64(t.n)
	}
	p.off = math.Sqrt(max(off, 0) / n / 3)
}

// spread is how far noise is to carry the channels before they are looked up:
// as far as the palette is coarser than the table with its five bits, which
// alone are 2.3 off. So a picture of few shades gets none, which takes a fifth
// off its bytes and nothing off its looks.
func (p *palette) spread() int {
	s := int(math.Round(p.off - 2.5))
	if s < 2 {
		return 0
	}
	return min(s, maxSpread)
}
