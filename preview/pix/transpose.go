package pix

import (
	"encoding/binary"
	"math/bits"
)

// This file moves samples eight at a time.

// reverse writes src to dst, which is as long, last sample first.
func reverse(dst, src []byte) {
	for len(src) >= 8 && len(dst) >= 8 {
		v := binary.LittleEndian.Uint64(src)
		binary.LittleEndian.PutUint64(dst[len(dst)-8:], bits.ReverseBytes64(v))
		src, dst = src[8:], dst[:len(dst)-8]
	}
	for i, v := range src {
		dst[len(dst)-1-i] = v
	}
}

// patch is the side of the squares in which a plane is transposed, so that the rows
// that are read and those that are written stay in the cache.
const patch = 64

// transpose writes columns as rows: sample x, y of src, which has w by h, to row x
// and column y of dst; flipX begins with the last column of src, flipY with its
// last row.
func transpose(dst []byte, dstStride int, src []byte, srcStride, w, h int, flipX, flipY bool) {
	if w < 8 || h < 8 {
		for y := range h {
			for x := range w {
				to, at := x, y
				if flipX {
					to = w - 1 - x
				}
				if flipY {
					at = h - 1 - y
				}
				dst[to*dstStride+at] = src[y*srcStride+x]
			}
		}
		return
	}
	down := dstStride
	if flipX {
		down = -dstStride
	}
	for y0 := 0; y0 < h; y0 += patch {
		for x0 := 0; x0 < w; x0 += patch {
			for y := y0; y < min(y0+patch, h); y += 8 {
				// The last squares overlap those before.
				y := min(y, h-8)
				from, step, at := y, srcStride, y
				if flipY {
					from, step, at = y+7, -srcStride, h-8-y
				}
				for n, x := min(patch, w-x0), x0; n > 0; {
					// As many as are whole, then one that ends with the row.
					k := max(n/8, 1)
					x = min(x, w-8)
					row := x
					if flipX {
						row = w - 1 - x
					}
					squares(dst, row*dstStride+at, down, src, from*srcStride+x, step, k)
					x, n = x+8*k, n-8*k
				}
			}
		}
	}
}

// squaresGo transposes n squares of eight by eight samples that lie side by side in
// src, the first with its corner at from and step from row to row; in dst they
// lie one below the other, from at on.
func squaresGo(dst []byte, at, down int, src []byte, from, step, n int) {
	for range n {
		var v [8]uint64
		for i := range v {
			v[i] = binary.LittleEndian.Uint64(src[from+i*step:])
		}
		// Halves, quarters and single samples change places across the diagonal.
		a, e := exchange(v[0], v[4], 32, 0x00000000ffffffff)
		b, f := exchange(v[1], v[5], 32, 0x00000000ffffffff)
		c, g := exchange(v[2], v[6], 32, 0x00000000ffffffff)
		d, h := exchange(v[3], v[7], 32, 0x00000000ffffffff)
		a, c = exchange(a, c, 16, 0x0000ffff0000ffff)
		b, d = exchange(b, d, 16, 0x0000ffff0000ffff)
		e, g = exchange(e, g, 16, 0x0000ffff0000ffff)
		f, h = exchange(f, h, 16, 0x0000ffff0000ffff)
		v[0], v[1] = exchange(a, b, 8, 0x00ff00ff00ff00ff)
		v[2], v[3] = exchange(c, d, 8, 0x00ff00ff00ff00ff)
		v[4], v[5] = exchange(e, f, 8, 0x00ff00ff00ff00ff)
		v[6], v[7] = exchange(g, h, 8, 0x00ff00ff00ff00ff)
		for i := range v {
			binary.LittleEndian.PutUint64(dst[at+i*down:], v[i])
		}
		from, at = from+8, at+8*down
	}
}

// exchange swaps the upper part of one word, as the mask says, with the lower part of
// another. It is small enough to be inlined with its constants.
func exchange(a, b uint64, shift uint, mask uint64) (uint64, uint64) {
	t := (a>>shift ^ b) & mask
	return a ^ t<<shift, b ^ t
}
