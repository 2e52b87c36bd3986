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
	grey := func(int, int) byte { return 128 }
	out := painted(n, n, 1, 1, grey, grey, grey)
	row, whole := make([]float32, n), grid{sx: 1, sy: 1}
	w, h := small.ChromaSize()
	for _, c := range []struct {
		dst []byte
		src plane
	}{
		{out.Y, whole.plane(small.Y, small.Width, small.Height, small.YStride, 1, 1)},
		{out.Cb, whole.plane(small.Cb, w, h, small.CStride, small.SubX, small.SubY)},
		{out.Cr, whole.plane(small.Cr, w, h, small.CStride, small.SubX, small.SubY)},
	} {
		for y := range n {
			c.src.row(row, back, y)
			for x, v := range row {
				p := back.of(Point{float64(x) + 0.5, float64(y) + 0.5})
				if p.X >= 0 && p.Y >= 0 && p.X < float64(small.Width) && p.Y < float64(small.Height) {
					c.dst[y*n+x] = byte(v)
				}
			}
		}
	}
	put := move{A: scale * math.Cos(angle), B: scale * math.Sin(angle)}
	mid := put.of(Point{float64(m.Width) / 2, float64(m.Height) / 2})
	put.X, put.Y = float64(n)/2-mid.X, float64(n)/2-mid.Y
	return out, put
}
