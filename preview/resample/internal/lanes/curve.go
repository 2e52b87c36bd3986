package lanes

import "math"

// A curve is a table of straight pieces, Pieces of them to each doubling of what it
// is asked for plus Bias: the pieces get finer towards 0 and begin there. The index of
// a piece stands in the bits of a float32: the exponent and the highest bits of the
// fraction.
const (
	Octaves = 16
	Pieces  = 128
	Bias    = 1.0 / (1 << Octaves)

	pieceBits  = 16 // below the index
	firstPiece = (127 - Octaves) << 23 >> pieceBits
	entries    = Octaves*Pieces + 1
)

// Curve maps 0..1 to values. Slope is for one of the bits below the index.
type Curve struct {
	base, slope [entries]float32
}

// NewCurve is the curve of a function between 0 and 1.
func NewCurve(f func(x float64) float64) *Curve {
	c := &Curve{}
	at := func(i int) float64 {
		start := float64(math.Float32frombits(uint32(i+firstPiece) << pieceBits))
		return f(min(start-Bias, 1))
	}
	for i := range c.base {
		here := at(i)
		c.base[i] = float32(here)
		if i < entries-1 {
			c.slope[i] = float32((at(i+1) - here) / (1 << pieceBits))
		}
	}
	// The last piece is as long as the bias: what is asked for ends at 1.
	last := float64(math.Float32bits(1+Bias) & (1<<pieceBits - 1))
	c.slope[entries-1] = float32((f(1) - at(entries-1)) / last)
	return c
}

// Apply writes what the curve makes of src to dst, which is as long or longer and
// may be the same. What lies outside of 0..1 is clipped, what is no number is 0.
func (c *Curve) Apply(dst, src []float32) {
	done := fastCurve(dst[:len(src)], src, c)
	c.plain(dst[done:len(src)], src[done:])
}

func (c *Curve) plain(dst, src []float32) {
	for i, x := range src {
		if !(x > 0) {
			x = 0
		}
		bits := math.Float32bits(min(x, 1) + Bias)
		p := bits>>pieceBits - firstPiece
		dst[i] = c.base[p] + c.slope[p]*float32(int32(bits&(1<<pieceBits-1)))
	}
}

// Quantise writes 0..1 as 0..255 to dst, which is as long as src or longer. What
// lies outside is clipped, what is no number is 0; halves go to the even code.
func Quantise(dst []byte, src []float32) {
	done := fastQuantise(dst[:len(src)], src)
	quantiseGo(dst[done:len(src)], src[done:])
}

func quantiseGo(dst []byte, src []float32) {
	for i, v := range src {
		v *= 255
		if !(v > 0) {
			v = 0
		}
		dst[i] = byte(math.RoundToEven(float64(min(v, 255))))
	}
}
