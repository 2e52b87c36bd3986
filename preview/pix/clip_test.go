package pix

import (
	"image/color"
	"math"
	"math/rand/v2"
	"testing"

	"garner/preview/jpeg"
)

// The shares and the rows are those of the pixels as the formulae of JFIF 1.02 convert
// them, rounded, in every subsampling, with odd sizes.
func TestClip(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	for _, sub := range [][2]int{{1, 1}, {2, 1}, {2, 2}, {1, 2}, {4, 1}, {0, 0}} {
		m := &jpeg.Image{}
		m.Reset(61, 43, max(sub[0], 1), max(sub[1], 1), sub[0] == 0)
		for i := range m.Y {
			m.Y[i] = []byte{0, 2, 5, 7, 120, 240, 251, 252, 253, 255}[r.IntN(10)]
		}
		for i := range m.Cb {
			m.Cb[i], m.Cr[i] = byte(128+r.NormFloat64()*8), byte(128+r.NormFloat64()*8)
		}
		var want Clipping
		n := float64(61 * 43)
		mask := make([]uint8, 61*43)
		for y := range 43 {
			for x := range 61 {
				luma, cb, cr := float64(m.Y[y*m.YStride+x]), 0., 0.
				if !m.Grey() {
					at := y/m.SubY*m.CStride + x/m.SubX
					cb, cr = float64(m.Cb[at])-128, float64(m.Cr[at])-128
				}
				red, green, blue := math.Round(luma+1.402*cr), math.Round(luma-0.344136*cb-0.714136*cr), math.Round(luma+1.772*cb)
				most, least := max(red, green, blue), min(red, green, blue)
				bits := uint8(0)
				if least >= 253 {
					want.All += 1 / n
					bits |= ClippedAll
				}
				if most >= 253 {
					want.Any += 1 / n
					bits |= ClippedAny
				}
				if most <= 5 {
					want.Shadow += 1 / n
					bits |= ClippedShadow
				}
				mask[y*61+x] = bits
			}
		}
		got := Clip(m)
		if math.Abs(got.All-want.All) > 1e-9 || math.Abs(got.Any-want.Any) > 1e-9 || math.Abs(got.Shadow-want.Shadow) > 1e-9 || want.All == 0 || want.Shadow == 0 || want.Any < want.All {
			t.Errorf("%v: %+v, want %+v", sub, got, want)
		}
		next := 0
		ClipRows(m, func(y int, row []uint8) {
			if y != next || len(row) != 61 {
				t.Fatalf("%v: row %d of %d pixels after %d", sub, y, len(row), next-1)
			}
			next++
			for x, bits := range row {
				if bits != mask[y*61+x] {
					t.Fatalf("%v: pixel %d,%d is %b, want %b", sub, x, y, bits, mask[y*61+x])
				}
			}
		})
		if next != 43 {
			t.Errorf("%v: %d rows", sub, next)
		}
	}
}

// Colours that are known: what a red rose, a white dress, a night and a missing part give.
func TestClipOfKnownColours(t *testing.T) {
	fill := func(r, g, b uint8) *jpeg.Image {
		m := &jpeg.Image{}
		m.Reset(20, 10, 1, 1, false)
		y, cb, cr := color.RGBToYCbCr(r, g, b)
		for i := range m.Y {
			m.Y[i], m.Cb[i], m.Cr[i] = y, cb, cr
		}
		return m
	}
	for _, c := range []struct {
		name string
		m    *jpeg.Image
		want Clipping
	}{
		{"white", fill(255, 255, 255), Clipping{1, 1, 0}},
		{"nearly white", fill(250, 250, 250), Clipping{}},
		{"a red that is clipped", fill(255, 60, 50), Clipping{0, 1, 0}},
		{"skin with its red clipped", fill(255, 210, 190), Clipping{0, 1, 0}},
		{"black", fill(0, 0, 0), Clipping{0, 0, 1}},
		{"dark", fill(9, 9, 9), Clipping{}},
		{"dark blue", fill(0, 0, 40), Clipping{}},
		{"nothing", &jpeg.Image{}, Clipping{}},
		{"no picture", nil, Clipping{}},
	} {
		if got := Clip(c.m); got != c.want {
			t.Errorf("%s: %+v", c.name, got)
		}
	}
	m := fill(255, 255, 255)
	for i := range m.Y[5*20:] { // rows that are missing are grey
		m.Y[5*20+i] = 128
	}
	m.Truncated, m.Rows = true, 5
	if got := Clip(m); got != (Clipping{1, 1, 0}) {
		t.Errorf("half of it missing: %+v", got)
	}
	ClipRows(m, func(y int, _ []uint8) {
		if y >= 5 {
			t.Errorf("row %d is missing", y)
		}
	})
}

func BenchmarkClip(b *testing.B) {
	m := noise(1620, 1080, 2, 2, false, 1)
	for b.Loop() {
		Clip(m)
	}
}
