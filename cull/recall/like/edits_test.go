package like

import (
	"bytes"
	"image"
	"math"
	"math/rand/v2"
	"testing"

	"garner/preview/jpeg"
	"garner/preview/pix"
)

// This file does to pictures what happens to them before they come back.

// edit is one such thing.
type edit struct {
	name string
	do   func(m *jpeg.Image, r *rand.Rand) *jpeg.Image
}

var (
	crop80 = edit{"crop 80 %", func(m *jpeg.Image, r *rand.Rand) *jpeg.Image { return cropped(m, r, 0.8) }}
	crop60 = edit{"crop 60 %", func(m *jpeg.Image, r *rand.Rand) *jpeg.Image { return cropped(m, r, 0.6) }}
	crop50 = edit{"crop 50 %", func(m *jpeg.Image, r *rand.Rand) *jpeg.Image { return cropped(m, r, 0.5) }}
	small  = edit{"600 px", func(m *jpeg.Image, r *rand.Rand) *jpeg.Image { return sized(m, 600) }}
	coded  = edit{"quality 60", func(m *jpeg.Image, r *rand.Rand) *jpeg.Image { return coded60(m) }}
	lit    = edit{"+0.5 EV", func(m *jpeg.Image, r *rand.Rand) *jpeg.Image { return exposed(m, 0.5) }}
	dim    = edit{"-0.5 EV", func(m *jpeg.Image, r *rand.Rand) *jpeg.Image { return exposed(m, -0.5) }}
	grey   = edit{"black-and-white", func(m *jpeg.Image, r *rand.Rand) *jpeg.Image { return throughRed(m) }}
	stamp  = edit{"stamp", stamped}
	phone  = edit{"screenshot", onPhone}
)

func cropped(m *jpeg.Image, r *rand.Rand, share float64) *jpeg.Image {
	return part(m, r.Float64()*(1-share), r.Float64()*(1-share), share, share)
}

func part(m *jpeg.Image, x, y, w, h float64) *jpeg.Image {
	at := func(share float64, n int) int { return int(share*float64(n) + 0.5) }
	return clone(pix.Cut(m, image.Rect(at(x, m.Width), at(y, m.Height), at(x+w, m.Width), at(y+h, m.Height)), 1))
}

func clone(m *jpeg.Image) *jpeg.Image {
	out := *m
	out.Y, out.Cb, out.Cr = bytes.Clone(m.Y), bytes.Clone(m.Cb), bytes.Clone(m.Cr)
	return &out
}

func sized(m *jpeg.Image, edge int) *jpeg.Image {
	scale := float64(edge) / float64(max(m.Width, m.Height))
	return pix.Resize(m, int(scale*float64(m.Width)+0.5), int(scale*float64(m.Height)+0.5))
}

func coded60(m *jpeg.Image) *jpeg.Image { return recoded(m, 60) }

func recoded(m *jpeg.Image, quality int) *jpeg.Image {
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, quality); err != nil {
		panic(err)
	}
	out, err := jpeg.Decode(b.Bytes(), jpeg.Options{})
	if err != nil {
		panic(err)
	}
	return out
}

// exposed multiplies the light of the luma (sRGB, IEC 61966-2-1).
func exposed(m *jpeg.Image, ev float64) *jpeg.Image {
	var table [256]byte
	for i := range table {
		v := float64(i) / 255
		if v <= 0.04045 {
			v /= 12.92
		} else {
			v = math.Pow((v+0.055)/1.055, 2.4)
		}
		if v = min(v*math.Exp2(ev), 1); v <= 0.0031308 {
			v *= 12.92
		} else {
			v = 1.055*math.Pow(v, 1/2.4) - 0.055
		}
		table[i] = byte(255*v + 0.5)
	}
	m = clone(m)
	for i, v := range m.Y {
		m.Y[i] = table[v]
	}
	return m
}

// throughRed is black-and-white as behind a red filter: its luma is another than that
// of the colours.
func throughRed(m *jpeg.Image) *jpeg.Image {
	out := &jpeg.Image{}
	out.Reset(m.Width, m.Height, 1, 1, true)
	for y := range m.Height {
		for x := range m.Width {
			v := float64(m.Y[y*m.YStride+x])
			if !m.Grey() {
				v += 0.5 * 1.402 * (float64(m.Cr[y/m.SubY*m.CStride+x/m.SubX]) - 128)
			}
			out.Y[y*out.YStride+x] = byte(min(max(v, 0), 255))
		}
	}
	return out
}

// stamped has a studio's name in one corner: light letters on a dark field, a quarter of
// the width.
func stamped(m *jpeg.Image, r *rand.Rand) *jpeg.Image {
	m = clone(m)
	w, h := m.Width/4, m.Height/10
	x, y := m.Width/40, m.Height/40
	if r.IntN(2) == 1 {
		x = m.Width - w - x
	}
	if r.IntN(2) == 1 {
		y = m.Height - h - y
	}
	fill(m, x, y, w, h, 40)
	writing(m, r, x+w/16, y+h/4, w*7/8, h/2, 230)
	return m
}

func fill(m *jpeg.Image, x, y, w, h int, luma byte) {
	for v := max(y, 0); v < min(y+h, m.Height); v++ {
		for u := max(x, 0); u < min(x+w, m.Width); u++ {
			m.Y[v*m.YStride+u] = luma
			if !m.Grey() {
				m.Cb[v/m.SubY*m.CStride+u/m.SubX], m.Cr[v/m.SubY*m.CStride+u/m.SubX] = 128, 128
			}
		}
	}
}

// writing is a line of something like letters.
func writing(m *jpeg.Image, r *rand.Rand, x, y, w, h int, luma byte) {
	stroke := max(h/5, 1)
	for u := 0; u+4*stroke < w; u += 4 * stroke {
		if r.IntN(6) == 0 {
			continue
		}
		fill(m, x+u, y, stroke, h, luma)
		if r.IntN(2) == 0 {
			fill(m, x+u, y+r.IntN(h-stroke+1), 3*stroke, stroke, luma)
		}
	}
}

// onPhone is the picture as a telephone held upright shows it: over the whole width, on
// some flat tone, with the clock above, often a line below it, buttons at the lower end.
func onPhone(m *jpeg.Image, r *rand.Rand) *jpeg.Image {
	const w, h = 1080, 2340
	tone := []byte{0, 18, 128, 255, 244}[r.IntN(5)]
	ink := byte(235)
	if tone > 100 {
		ink = 30
	}
	out := &jpeg.Image{}
	out.Reset(w, h, 1, 1, true)
	fill(out, 0, 0, w, h, tone)
	p := pix.Resize(m, w, m.Height*w/m.Width)
	top := (h - p.Height) / 2
	for y := range p.Height {
		copy(out.Y[(top+y)*w:][:w], p.Y[y*p.YStride:])
	}
	writing(out, r, 60, 40, 150, 36, ink)
	writing(out, r, 820, 40, 200, 36, ink)
	if r.IntN(2) == 0 {
		writing(out, r, 60, top+p.Height+40, 700, 40, ink)
	}
	for i := range 4 {
		fill(out, 150+i*230, h-150, 70, 70, ink)
	}
	return out
}

func TestEditsChange(t *testing.T) {
	m := &jpeg.Image{}
	m.Reset(300, 200, 2, 2, false)
	r := rand.New(rand.NewPCG(1, 1))
	for _, plane := range [][]byte{m.Y, m.Cb, m.Cr} {
		for i := range plane {
			plane[i] = byte(r.IntN(256))
		}
	}
	for _, e := range []edit{crop80, small, coded, lit, dim, grey, stamp, phone} {
		out := e.do(m, r)
		if !out.Valid() || out.Width == m.Width && out.Height == m.Height && bytes.Equal(out.Y, m.Y) {
			t.Errorf("%s changes nothing", e.name)
		}
	}
}
