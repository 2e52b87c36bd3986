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

// What is said of a pixel.
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
	grey := newClipLimits(0, 0)
	limits := make([]clipLimits, (m.Width+m.SubX-1)/m.SubX)
	for y := range rows {
		luma := m.Y[y*m.YStride:][:m.Width]
		if m.Grey() {
			for x, v := range luma {
				bits[x] = grey.bits(int16(v))
			}
			take(y, bits)
			continue
		}
		if y%m.SubY == 0 {
			cb, cr := m.Cb[y/m.SubY*m.CStride:], m.Cr[y/m.SubY*m.CStride:]
			for i := range limits {
				limits[i] = newClipLimits(int(cb[i])-128, int(cr[i])-128)
			}
		}
		if m.SubX == 2 { // nearly always
			for i, l := range limits[:m.Width/2] {
				bits[2*i], bits[2*i+1] = l.bits(int16(luma[2*i])), l.bits(int16(luma[2*i+1]))
			}
			if m.Width%2 == 1 {
				bits[m.Width-1] = limits[m.Width/2].bits(int16(luma[m.Width-1]))
			}
		} else {
			for x, v := range luma {
				bits[x] = limits[x/m.SubX].bits(int16(v))
			}
		}
		take(y, bits)
	}
}

// clipLimits are the values of luma that decide for a colour: from which on one channel
// is clipped, from which on all are, up to which it is black.
type clipLimits struct{ some, all, black int16 }

// newClipLimits takes full-range chroma round 0 (JFIF, BT.601).
func newClipLimits(cb, cr int) clipLimits {
	const half = 1 << 15 // 16 bits behind the point
	r, g, b := (91881*cr+half)>>16, (half-22554*cb-46802*cr)>>16, (116130*cb+half)>>16
	return clipLimits{int16(clippedFrom - max(r, g, b)), int16(clippedFrom - min(r, g, b)), int16(blackUpTo - max(r, g, b))}
}

// bits takes the signs of differences: what a pixel is could not be foretold by branches.
func (l clipLimits) bits(luma int16) uint8 {
	return uint8((l.all-1-luma)>>15)&ClippedAll | uint8((l.some-1-luma)>>15)&ClippedAny | uint8((luma-l.black-1)>>15)&ClippedShadow
}
