package jpeg

import (
	"errors"
	"fmt"
	"image"
	"image/color"
	"math"
	"testing"
)

func TestFullDecodeEqualsTheStandardLibrary(t *testing.T) {
	for _, name := range codings {
		t.Run(name, func(t *testing.T) {
			src := corpus(t, name)
			want := decoded(t, src)
			got, err := Decode(src, Options{})
			if err != nil {
				t.Fatal(err)
			}
			if got.Truncated || got.Rows != got.Height || !got.Valid() {
				t.Fatalf("truncated %v, rows %d of %d, valid %v", got.Truncated, got.Rows, got.Height, got.Valid())
			}
			if got.Width != want.Bounds().Dx() || got.Height != want.Bounds().Dy() {
				t.Fatalf("size %dx%d, want %v", got.Width, got.Height, want.Bounds())
			}
			// Two exact inverse transforms may differ by one in rounding, in each
			// plane. RGB and CMYK go through YCbCr, which costs up to two steps.
			tolerance := 4
			switch m := want.(type) {
			case *image.YCbCr, *image.Gray:
				ref := planes(m)
				samePlane(t, "Y", got.Y, got.YStride, ref.Y, ref.YStride, got.Width, got.Height, 1)
				w, h := got.ChromaSize()
				samePlane(t, "Cb", got.Cb, got.CStride, ref.Cb, ref.CStride, w, h, 1)
				samePlane(t, "Cr", got.Cr, got.CStride, ref.Cr, ref.CStride, w, h, 1)
			case *image.RGBA:
				tolerance = 3
			case *image.CMYK:
				tolerance = 2
			}
			for y := range got.Height {
				for x := range got.Width {
					r, g, b := rgbAt(got, x, y)
					w := color.RGBAModel.Convert(want.At(x, y)).(color.RGBA)
					if far(r, w.R, tolerance) || far(g, w.G, tolerance) || far(b, w.B, tolerance) {
						t.Fatalf("pixel %d,%d is %d %d %d, want %v", x, y, r, g, b, w)
					}
				}
			}
		})
	}
}

// samePlane holds two planes against each other.
func samePlane(t *testing.T, name string, got []byte, gs int, want []byte, ws, w, h int, tolerance int) {
	t.Helper()
	for y := range h {
		for x := range w {
			if far(got[y*gs+x], want[y*ws+x], tolerance) {
				t.Fatalf("%s at %d,%d is %d, want %d", name, x, y, got[y*gs+x], want[y*ws+x])
			}
		}
	}
}

func far(a, b uint8, tolerance int) bool {
	return int(a)-int(b) > tolerance || int(b)-int(a) > tolerance
}

// The definition of a scale: the mean of the samples of the full decode,
// worked out here in floating point, sample by sample. Rounding to whole
// samples alone costs 59 dB (a mean square of 1/12), and samples of the full
// decode are rounded and clamped before their mean is taken here.
func TestScaleIsTheBoxMeanOfTheFullDecode(t *testing.T) {
	sources := map[string][]byte{}
	for _, name := range codings {
		sources[name] = corpus(t, name)
	}
	for _, s := range []image.Point{{1, 1}, {7, 9}, {8, 8}, {17, 33}, {64, 16}, {101, 67}} {
		sources[fmt.Sprint(s)] = coded(t, scene(s.X, s.Y), 90)
	}
	for name, src := range sources {
		for _, n := range []int{2, 4, 8} {
			t.Run(fmt.Sprint(name, "/", n), func(t *testing.T) {
				full, err := Decode(src, Options{})
				if err != nil {
					t.Fatal(err)
				}
				got, err := Decode(src, Options{Scale: n})
				if err != nil {
					t.Fatal(err)
				}
				if got.Width != (full.Width+n-1)/n || got.Height != (full.Height+n-1)/n || got.Rows != got.Height {
					t.Fatalf("size %dx%d rows %d from %dx%d", got.Width, got.Height, got.Rows, full.Width, full.Height)
				}
				if !got.Valid() || got.SubX != full.SubX || got.SubY != full.SubY {
					t.Fatalf("planes do not fit: %+v", got.SubX)
				}
				checkMean(t, "Y", got.Y, got.YStride, got.Width, got.Height, full.Y, full.YStride, full.Width, full.Height, n, 55)
				if !full.Grey() {
					gw, gh := got.ChromaSize()
					fw, fh := full.ChromaSize()
					checkMean(t, "Cb", got.Cb, got.CStride, gw, gh, full.Cb, full.CStride, fw, fh, n, 55)
					checkMean(t, "Cr", got.Cr, got.CStride, gw, gh, full.Cr, full.CStride, fw, fh, n, 55)
				}
			})
		}
	}
}

func checkMean(t *testing.T, plane string, got []byte, gs, gw, gh int, full []byte, fs, fw, fh, n int, least float64) {
	t.Helper()
	square, count := 0.0, 0
	for y := range gh {
		for x := range gw {
			if n == 8 && ((x+1)*n > fw || (y+1)*n > fh) {
				continue // the mean of a block that reaches beyond the picture
			}
			sum, size := 0.0, 0.0
			for v := y * n; v < min(y*n+n, fh); v++ {
				for u := x * n; u < min(x*n+n, fw); u++ {
					sum, size = sum+float64(full[v*fs+u]), size+1
				}
			}
			d := float64(got[y*gs+x]) - sum/size
			square, count = square+d*d, count+1
			// An eighth is the mean before samples are clamped.
			if limit := map[bool]float64{false: 1.5, true: 8}[n == 8]; math.Abs(d) > limit {
				t.Errorf("%s at %d,%d is %d, want %.2f", plane, x, y, got[y*gs+x], sum/size)
			}
		}
	}
	// In a few samples rounding alone can be more than its mean square.
	if db := 10 * math.Log10(255*255*float64(count)/square); count >= 150 && db < least {
		t.Errorf("%s: %.1f dB of %d samples", plane, db, count)
	}
}

func TestIntoReusesPlanes(t *testing.T) {
	big, small := coded(t, scene(200, 120), 80), coded(t, scene(96, 64), 80)
	want, err := Decode(small, Options{Scale: 2})
	if err != nil {
		t.Fatal(err)
	}
	into := &Image{}
	if _, err := Decode(big, Options{Scale: 2, Into: into}); err != nil {
		t.Fatal(err)
	}
	first := &into.Y[0]
	got, err := Decode(small, Options{Scale: 2, Into: into})
	if err != nil {
		t.Fatal(err)
	}
	if got != into || &got.Y[0] != first {
		t.Error("the planes were not reused")
	}
	if string(got.Y) != string(want.Y) || string(got.Cb) != string(want.Cb) || got.Width != 48 || got.Height != 32 {
		t.Error("a reused image differs from a new one")
	}
}

func TestUnsupported(t *testing.T) {
	src := coded(t, scene(32, 32), 80)
	at := sofAt(t, src)
	for _, code := range []byte{0xC3, 0xC5, 0xC7, 0xC9, 0xCA, 0xCF} {
		b := append([]byte(nil), src...)
		b[at+1] = code
		var u UnsupportedError
		if m, err := Decode(b, Options{}); !errors.As(err, &u) || m != nil {
			t.Errorf("SOF%d: image %v, error %v", code-0xC0, m != nil, err)
		}
	}
	b := append([]byte(nil), src...)
	b[at+4] = 12
	var u UnsupportedError
	if m, err := Decode(b, Options{}); !errors.As(err, &u) || m != nil {
		t.Errorf("12 bits: image %v, error %v", m != nil, err)
	}
	if _, err := Decode(src, Options{Scale: 3}); !errors.As(err, &u) {
		t.Errorf("scale 3: %v", err)
	}
}

func sofAt(t testing.TB, src []byte) int {
	t.Helper()
	for i := range len(src) - 1 {
		if src[i] == 0xFF && src[i+1] >= 0xC0 && src[i+1] <= 0xC2 {
			return i
		}
	}
	t.Fatal("no frame header")
	return 0
}
