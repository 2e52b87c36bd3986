package pix

import "garner/preview/jpeg"

// barLuma is the mean luma up to which a bar counts as black.
const barLuma = 24

// TrimBars returns m without the black bars that some bodies put round a
// thumbnail to bring it to 4:3. Width and height are those of the full picture
// in the same (stored) orientation. Only what the other shape explains is cut,
// and only if it is dark on both sides; else m comes back as it is. The result
// shares the planes of m.
func TrimBars(m *jpeg.Image, width, height int) *jpeg.Image {
	if width <= 0 || height <= 0 || m.Truncated {
		return m
	}
	w, h := m.Width, m.Height
	if narrow := int(int64(h) * int64(width) / int64(height)); narrow < w {
		w = narrow
	} else {
		h = int(int64(w) * int64(height) / int64(width))
	}
	// A percent is how far previews of one frame differ without any bars.
	if w < 16 || h < 16 || (m.Width-w)*100 <= m.Width && (m.Height-h)*100 <= m.Height {
		return m
	}
	x, y := roundUp((m.Width-w+1)/2, m.SubX), roundUp((m.Height-h+1)/2, m.SubY)
	if !dark(m, x, y) {
		return m
	}
	out := &jpeg.Image{Width: m.Width - 2*x, Height: m.Height - 2*y, YStride: m.YStride, CStride: m.CStride, SubX: m.SubX, SubY: m.SubY}
	out.Rows = out.Height
	out.Y = m.Y[y*m.YStride+x:]
	if !m.Grey() {
		at := y/m.SubY*m.CStride + x/m.SubX
		out.Cb, out.Cr = m.Cb[at:], m.Cr[at:]
	}
	return out
}

func roundUp(n, step int) int { return (n + step - 1) / step * step }

// dark reports whether the bars of x columns or y rows on either side are
// black. The sample next to the picture is left out: coding smears it.
func dark(m *jpeg.Image, x, y int) bool {
	mean := func(x0, y0, x1, y1 int) int {
		sum, n := 0, 0
		for v := y0; v < y1; v++ {
			for _, s := range m.Y[v*m.YStride+x0 : v*m.YStride+x1] {
				sum, n = sum+int(s), n+1
			}
		}
		return sum / max(n, 1)
	}
	if x > 0 {
		n := max(x-2, 1)
		if mean(0, 0, n, m.Height) > barLuma || mean(m.Width-n, 0, m.Width, m.Height) > barLuma {
			return false
		}
	}
	if y > 0 {
		n := max(y-2, 1)
		if mean(0, 0, m.Width, n) > barLuma || mean(0, m.Height-n, m.Width, m.Height) > barLuma {
			return false
		}
	}
	return true
}
