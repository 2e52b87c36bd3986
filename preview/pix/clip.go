package pix

import (
	"garner/preview/jpeg"
)

// Clipping is how much of a picture is at the ends of the scale, as shares of its
// pixels. A picture that was made smaller still tells: its pixels are means, so that
// what is clipped in it was clipped all over.
type Clipping struct {
	All    float64 // red, green and blue are clipped: nothing is left to be seen in it
	Any    float64 // at least one of them is
	Shadow float64 // as good as black
}

const (
	// clippedFrom is the code value from which a channel counts as clipped: coding as a
	// JPEG moves 255 by some values.
	clippedFrom = 253
	// blackUpTo is the value up to which a pixel whose channels all are counts as black:
	// 0.15 % of the light of white (IEC 61966-2-1), which no screen shows in a lit room.
	blackUpTo = 5
)

// What is said of a pixel, or of a cell.
const (
	ClippedAll    = 1 << iota // all channels are clipped
	ClippedAny                // at least one is
	ClippedShadow             // it is as good as black
)

// Clip measures a picture in sRGB. The rows that are missing from one are left out.
func Clip(m *jpeg.Image) Clipping {
	var all, some, dark, n int
	ClipRows(m, func(_ int, row []uint8) {
		for _, v := range row {
			all += int(v & ClippedAll)
			some += int(v & ClippedAny / ClippedAny)
			dark += int(v / ClippedShadow)
		}
		n += len(row)
	})
	share := func(k int) float64 { return float64(k) / float64(max(n, 1)) }
	return Clipping{share(all), share(some), share(dark)}
}

// ClipMask says for each of w by h cells of a picture in sRGB what is clipped in at
// least a quarter of its pixels, row by row. With the size of the picture each pixel
// is a cell. Nil where there is no picture, or less of it than cells.
func ClipMask(m *jpeg.Image, w, h int) []uint8 {
	if !m.Valid() || w <= 0 || h <= 0 || w > m.Width || h > m.Height {
		return nil
	}
	out := make([]uint8, w*h)
	counts := make([][3]int32, w)
	cell := 0
	flush := func(next int) {
		rows := int32(((cell+1)*m.Height+h-1)/h - (cell*m.Height+h-1)/h)
		for x, c := range counts {
			columns := int32(((x+1)*m.Width+w-1)/w - (x*m.Width+w-1)/w)
			for bit, k := range c {
				if 4*k >= rows*columns {
					out[cell*w+x] |= 1 << bit
				}
			}
		}
		clear(counts)
		cell = next
	}
	ClipRows(m, func(y int, row []uint8) {
		if at := y * h / m.Height; at != cell {
			flush(at)
		}
		for x, v := range row {
			if v != 0 {
				c := &counts[x*w/m.Width]
				c[0] += int32(v & 1)
				c[1] += int32(v >> 1 & 1)
				c[2] += int32(v >> 2)
			}
		}
	})
	flush(cell)
	return out
}

// ClipRows gives the bits of each pixel of a picture in sRGB, row by row, of the rows
// that are there. A row is valid until take returns.
func ClipRows(m *jpeg.Image, take func(y int, row []uint8)) {
	if !m.Valid() {
		return
	}
	rows := m.Height
	if m.Truncated && m.Rows > 0 {
		rows = min(rows, m.Rows)
	}
	bits := make([]uint8, m.Width)
	for y := range rows {
		luma := m.Y[y*m.YStride:][:m.Width]
		if m.Grey() {
			for x, v := range luma {
				bits[x] = clipBits(int(v), int(v), int(v))
			}
		} else {
			cb, cr := m.Cb[y/m.SubY*m.CStride:], m.Cr[y/m.SubY*m.CStride:]
			for x, v := range luma {
				bits[x] = clipColour(int(v), int(cb[x/m.SubX])-128, int(cr[x/m.SubX])-128)
			}
		}
		take(y, bits)
	}
}

// clipColour takes full-range YCbCr with chroma round 0 (JFIF, BT.601).
func clipColour(y, cb, cr int) uint8 {
	const half = 1 << 15 // 16 bits behind the point
	return clipBits(y+(91881*cr+half)>>16, y-(22554*cb+46802*cr+half)>>16, y+(116130*cb+half)>>16)
}

func clipBits(r, g, b int) (bits uint8) {
	if max(r, g, b) >= clippedFrom {
		bits = ClippedAny
		if min(r, g, b) >= clippedFrom {
			bits |= ClippedAll
		}
	}
	if max(r, g, b) <= blackUpTo {
		bits |= ClippedShadow
	}
	return bits
}
