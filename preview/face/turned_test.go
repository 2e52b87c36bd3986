package face

import (
	"math"

	"garner/preview/jpeg"
	"garner/preview/pix"
)

// turned is a grey square of side n with m in its middle, its long edge brought to edge
// and turned clockwise, and the move from m to there.
func turned(m *jpeg.Image, n int, edge, degrees float64) (*jpeg.Image, move) {
	small := pix.Fit(m, int(edge))
	angle, scale := degrees*math.Pi/180, float64(small.Width)/float64(m.Width)
	back := square(float64(n), Point{float64(small.Width) / 2, float64(small.Height) / 2}, float64(n), -angle)
	s := sampler{sx: 1, sy: 1}
	s.planes(small)
	grey := func(int, int) byte { return 128 }
	out := painted(n, n, 1, 1, grey, grey, grey)
	for y := range n {
		for x := range n {
			p := back.of(Point{float64(x) + 0.5, float64(y) + 0.5})
			if p.X < 0 || p.Y < 0 || p.X >= float64(small.Width) || p.Y >= float64(small.Height) {
				continue
			}
			i := y*n + x
			out.Y[i], out.Cb[i], out.Cr[i] = byte(s.luma.at(p.X, p.Y)), byte(s.cb.at(p.X, p.Y)), byte(s.cr.at(p.X, p.Y))
		}
	}
	put := move{A: scale * math.Cos(angle), B: scale * math.Sin(angle)}
	mid := put.of(Point{float64(m.Width) / 2, float64(m.Height) / 2})
	put.X, put.Y = float64(n)/2-mid.X, float64(n)/2-mid.Y
	return out, put
}
