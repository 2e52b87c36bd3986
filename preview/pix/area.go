package pix

// This file shrinks one plane by area averaging: each sample of the result is
// the mean of the rectangle of the source that it covers, with the partly
// covered samples at its edges counted by their share.

// span is the run of source samples that one sample of the result covers along
// one axis. The weights add up to one, which is 1<<16, so that a flat plane
// keeps its value exactly.
type span struct {
	first   int
	weights []uint32
}

const one = 1 << 16

// spansOf maps the part of a plane of size samples that begins at start and is
// length samples long onto n samples.
func spansOf(n, size int, start, length float64) []span {
	out := make([]span, n)
	weights := make([]uint32, 0, int(length)+3*n)
	for i := range out {
		a := start + float64(i)*length/float64(n)
		b := min(start+float64(i+1)*length/float64(n), float64(size))
		first := min(int(a), size-1)
		last := min(max(int(b), first), size-1)
		if float64(last) >= b && last > first {
			last--
		}
		at := len(weights)
		weights = append(weights, make([]uint32, last-first+1)...)
		w := weights[at:len(weights):len(weights)]
		sum, largest := uint32(0), 0
		for k := range w {
			lo, hi := max(a, float64(first+k)), min(b, float64(first+k+1))
			w[k] = uint32(max(hi-lo, 0) / (b - a) * one)
			sum += w[k]
			if w[k] > w[largest] {
				largest = k
			}
		}
		w[largest] += one - sum // what rounding down lost; two's complement
		out[i] = span{first, w}
	}
	return out
}

// shrink writes the plane src, as the spans say, to dst.
func shrink(dst []byte, dstStride int, src []byte, srcStride int, across, down []span) {
	row := make([]uint32, len(across)) // one source row at the new width, 8.8 bits
	acc := make([]uint32, len(across))
	last := -1
	for y, v := range down {
		clear(acc)
		for k, weight := range v.weights {
			if weight == 0 {
				continue
			}
			if at := v.first + k; at != last { // neighbours share their edge row
				last = at
				squeeze(row, src[at*srcStride:], across)
			}
			for x, s := range row {
				acc[x] += s * weight
			}
		}
		out := dst[y*dstStride:][:len(acc)]
		for x, s := range acc {
			out[x] = uint8((s + 1<<23) >> 24)
		}
	}
}

// squeeze makes one row narrower. A sample has 8 bits and the weights add up to
// 1<<16; eight bits of fraction are kept, so that the sum over the rows just
// fits into 32 bits.
func squeeze(out []uint32, src []byte, across []span) {
	for x, s := range across {
		sum := uint32(0)
		from := src[s.first:][:len(s.weights)]
		for k, w := range s.weights {
			sum += uint32(from[k]) * w
		}
		out[x] = sum >> 8
	}
}
