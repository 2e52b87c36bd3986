package sixel

// The weights of the channels in a distance, by what the eye makes of them; 16
// together.
const (
	weightR = 5
	weightG = 8
	weightB = 3
)

// box is colours that are to become one, and the best way to make two of them.
type box struct {
	colours []colour
	pixels  int64
	gain    float64 // what a cut takes away from the weighted squares of the errors
	axis    int     // the channel that it cuts
	level   uint8   // the last value of its lower half
}

// moment is the count of pixels and the sums of their channels.
type moment [4]int64

// force is the square of the sums over the count: what the squares of the errors
// lack of the squares of the values.
func (m *moment) force() float64 {
	r, g, b := float64(m[1]), float64(m[2]), float64(m[3])
	return (weightR*r*r + weightG*g*g + weightB*b*b) / float64(m[0])
}

func newBox(colours []colour) box {
	b := box{colours: colours}
	var at [3][32]moment
	var all moment
	for i := range colours {
		c := &colours[i]
		n := int64(c.n)
		r, g, b := n*int64(c.v[0]), n*int64(c.v[1]), n*int64(c.v[2])
		for axis, v := range c.v {
			m := &at[axis][v&31]
			m[0] += n
			m[1] += r
			m[2] += g
			m[3] += b
		}
		all[0] += n
		all[1] += r
		all[2] += g
		all[3] += b
	}
	b.pixels = all[0]
	whole := all.force()
	for axis := range at {
		var low moment
		for level := range 31 {
			m := &at[axis][level]
			if m[0] == 0 {
				continue
			}
			high := all
			for k := range low {
				low[k] += m[k]
				high[k] -= low[k]
			}
			if high[0] == 0 {
				break
			}
			if gain := low.force() + high.force() - whole; gain > b.gain {
				b.gain, b.axis, b.level = gain, axis, uint8(level)
			}
		}
	}
	return b
}

// cut puts the lower half's colours first and returns how many they are.
func (b *box) cut() int {
	n := 0
	for i, c := range b.colours {
		if c.v[b.axis] <= b.level {
			b.colours[i], b.colours[n] = b.colours[n], c
			n++
		}
	}
	return n
}
