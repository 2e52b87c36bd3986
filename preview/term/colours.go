package term

import "encoding/binary"

// The weights of JFIF's YCbCr (BT.601, full range) to RGB, in 8192nds.
const (
	crRed   = 11485 // 1.402
	cbGreen = 2819  // 0.344136, taken away
	crGreen = 5850  // 0.714136, taken away
	cbBlue  = 14516 // 1.772
)

// tables hold what each sample of a plane gives to the three channels. The
// channels lie side by side in one number and are added at once, red lowest, each
// in a lane of 21 bits: seven of fraction, eight of value, and two above them
// that say so if the value is too large or too small.
type tables struct {
	y      [256]uint64 // with half a step for rounding, and the bias
	cb, cr [256]uint64
	dim    bool // all are halved
}

const (
	lane     = 21
	fraction = 7
	lanes    = 1 | 1<<lane | 1<<(2*lane)
	bias     = 0x100 * lanes // above every negative sum
	outside  = 0x300 * lanes
)

func newTables(l Look) *tables {
	t := &tables{dim: l.Dim}
	double := int64(2)
	if l.Dim {
		double = 1
	}
	for i := range 256 {
		c := int64(i - 128)
		t.y[i] = uint64(int64(i)<<6*double)*lanes + bias<<fraction + lanes<<(fraction-1)
		t.cb[i] = uint64(double * (-weigh(c, cbGreen)<<lane + weigh(c, cbBlue)<<(2*lane)))
		t.cr[i] = uint64(double * (weigh(c, crRed) - weigh(c, crGreen)<<lane))
	}
	return t
}

// weigh returns 64ths of what a sample of chroma gives, rounded as vector
// instructions round.
func weigh(c, weight int64) int64 { return (c<<8*weight + 1<<14) >> 15 }

func (t *tables) grey(dst, luma []byte) {
	for x, v := range luma {
		binary.LittleEndian.PutUint32(dst[4*x:], uint32(pixel(t.y[v])))
	}
}

func (t *tables) colour(dst, luma, cb, cr []byte, subX int) {
	if subX != 2 {
		for x, v := range luma {
			binary.LittleEndian.PutUint32(dst[4*x:], uint32(pixel(t.y[v]+t.cb[cb[x/subX]]+t.cr[cr[x/subX]])))
		}
		return
	}
	n := t.pairs(dst, luma, cb, cr)
	t.pairsGo(dst[4*n:], luma[n:], cb[n/2:], cr[n/2:])
}

// pairsGo is colour for the usual subsampling, two pixels a step.
func (t *tables) pairsGo(dst, luma, cb, cr []byte) {
	n := len(luma) / 2
	cr = cr[:len(cb)]
	for k, u := range cb[:n] {
		c := t.cb[u] + t.cr[cr[k]]
		l := luma[2*k : 2*k+2 : 2*k+2]
		binary.LittleEndian.PutUint64(dst[8*k:], pixel(t.y[l[0]]+c)|pixel(t.y[l[1]]+c)<<32)
	}
	if len(luma)%2 == 1 {
		binary.LittleEndian.PutUint32(dst[8*n:], uint32(pixel(t.y[luma[2*n]]+t.cb[cb[n]]+t.cr[cr[n]])))
	}
}

// pixel puts a pixel together in the order of its bytes.
func pixel(sum uint64) uint64 {
	sum >>= fraction
	if sum&outside != bias { // rare
		sum = clamp(sum) | clamp(sum>>lane)<<lane | clamp(sum>>(2*lane))<<(2*lane)
	}
	return sum&0xff | sum>>(lane-8)&0xff00 | sum>>(2*lane-16)&0xff0000 | 0xff<<24
}

// clamp brings the lowest lane, biased, to a byte.
func clamp(v uint64) uint64 { return min(max(v&0x3ff, 0x100), 0x1ff) - 0x100 }
