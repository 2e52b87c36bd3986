package sixel

import (
	"encoding/binary"
	"slices"
)

// table gives a pixel its colour by five bits a channel. Noise may have carried
// the channels below 0 and above 255: they are counted from -spread, which makes
// it six bits. What it is not asked for it does not look up.
type table struct {
	index  [1 << 18]uint32 // place of the colour's marks + 1, 0 = not known yet
	spread int32
	order  []entry // by weight
}

// entry is a colour of the palette, its channels doubled: the middle of eight
// values lies between two.
type entry struct {
	r, g, b int32
	weight  int32 // of all channels together
	index   uint32
}

func (t *table) reset(p *palette, spread, stride int) {
	clear(t.index[:])
	t.spread = int32(spread)
	t.order = t.order[:0]
	for i, c := range p.rgb {
		r, g, b := 2*c[0], 2*c[1], 2*c[2]
		t.order = append(t.order, entry{r, g, b, weigh(r, g, b), uint32(i * stride)})
	}
	slices.SortStableFunc(t.order, func(a, b entry) int { return int(a.weight - b.weight) })
}

func weigh(r, g, b int32) int32 { return weightR*r + weightG*g + weightB*b }

// colours looks up a row of pixels, two at a time.
func (t *table) colours(out []uint32, src []byte, noise *[4][2]uint64) {
	const (
		two = 1<<32 | 1
		low = 63 * two
	)
	index := &t.index
	for x := 0; x+1 < len(out) && len(src) >= 8; x += 2 {
		v, d := binary.LittleEndian.Uint64(src), &noise[x>>1&3]
		src = src[8:]
		// Red and blue in one, then green.
		rb, g := v&(0xff00ff*two)+d[0], v>>8&(0xff*two)+d[1]
		i := rb>>3&low | g>>3&low<<6 | rb>>19&low<<12
		a, b := index[i&(1<<18-1)], index[i>>32&(1<<18-1)]
		if a == 0 {
			a = t.find(uint32(i))
		}
		if b == 0 {
			b = t.find(uint32(i >> 32))
		}
		out[x], out[x+1] = a-1, b-1
	}
	if x := len(out) - 1; x&1 == 0 && len(src) >= 4 {
		v, d := uint64(binary.LittleEndian.Uint32(src)), &noise[x>>1&3]
		rb, g := v&0xff00ff+d[0], v>>8&0xff+d[1]
		i := (rb>>3&63 | g>>3&63<<6 | rb>>19&63<<12)
		out[x] = t.find(uint32(i)) - 1
	}
}

// find looks up the colour nearest to the middle of a place of the table.
func (t *table) find(i uint32) uint32 {
	middle := func(v uint32) int32 { return int32(v&63)<<4 + 7 - 2*t.spread }
	r, g, b := middle(i), middle(i>>6), middle(i>>12)
	w := weigh(r, g, b)
	at, _ := slices.BinarySearchFunc(t.order, w, func(e entry, w int32) int { return int(e.weight - w) })
	// The square of the difference of the weights, over 16, is never above the
	// distance (Cauchy and Schwarz): from where it is above the best one, no
	// colour comes nearer.
	best, found := int32(1<<30), uint32(0)
	try := func(e *entry) bool {
		if d := e.weight - w; d*d>>4 > best {
			return false
		}
		if d := e.distance(r, g, b); d < best {
			best, found = d, e.index
		}
		return true
	}
	up, down := at, at-1
	for up < len(t.order) || down >= 0 {
		if up < len(t.order) && try(&t.order[up]) {
			up++
		} else {
			up = len(t.order)
		}
		if down >= 0 && try(&t.order[down]) {
			down--
		} else {
			down = -1
		}
	}
	t.index[i&(1<<18-1)] = found + 1
	return found + 1
}

func (e *entry) distance(r, g, b int32) int32 {
	r, g, b = e.r-r, e.g-g, e.b-b
	return weightR*r*r + weightG*g*g + weightB*b*b
}
