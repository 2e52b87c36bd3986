package sixel

import (
	"bytes"
	"image"
	"image/draw"
	"image/jpeg"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"garner/testdata/testneed"
)

// photos are the sample photographs, of people.
func photos(t testing.TB) map[string]Picture {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join(testneed.Samples(t), "photos", "*.jpg"))
	if err != nil || len(paths) == 0 {
		t.Fatalf("no photographs (%v)", err)
	}
	out := map[string]Picture{}
	for _, path := range paths {
		f, err := os.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		m, err := jpeg.Decode(f)
		_ = f.Close()
		if err != nil {
			t.Fatal(err)
		}
		rgba := image.NewRGBA(image.Rect(0, 0, m.Bounds().Dx(), m.Bounds().Dy()))
		draw.Draw(rgba, rgba.Rect, m, m.Bounds().Min, draw.Src)
		out[filepath.Base(path)] = of(rgba.Pix, rgba.Rect.Dx(), rgba.Rect.Dy())
	}
	return out
}

// What the encoder does to photographs. 256 colours must be good enough to judge
// a face by: brightness above 37 dB, of areas as the eye takes them in more.
func TestPhotographs(t *testing.T) {
	for name, p := range photos(t) {
		for _, o := range []Options{{Colours: 16}, {Colours: 256}, {Colours: 256, Flat: true}, {Colours: 1024}} {
			var e Encoder
			b := e.Append(nil, p, o)
			m, err := decode(b)
			if err != nil {
				t.Fatal(err)
			}
			covers(t, m, p)
			rgb, luma := psnr(m, p)
			t.Logf("%s %dx%d, %4d colours, flat %5v, noise %2d: %.1f dB, luma %.1f dB, %.2f bytes a pixel",
				name, p.Width, p.Height, o.Colours, o.Flat, e.noise.spread, rgb, luma, float64(len(b))/float64(p.Width*p.Height))
			if want := map[int]float64{16: 28, 256: 37, 1024: 40}[o.Colours]; luma < want {
				t.Errorf("luma %.1f dB, want %.0f", luma, want)
			}
		}
	}
}

// libsixel's sixel2png (Debian package libsixel-bin) sees the same picture as the
// strict decoder here.
func TestReferenceDecoder(t *testing.T) {
	tool := testneed.Tool(t, "sixel2png")
	for _, size := range [][2]int{{1, 1}, {7, 5}, {64, 36}, {301, 200}} {
		for _, o := range []Options{{Colours: 16}, {Colours: 256}, {Colours: 256, Flat: true}} {
			p := photoLike(size[0], size[1], 5)
			var e Encoder
			b := e.Append(nil, p, o)
			want, err := decode(b)
			if err != nil {
				t.Fatal(err)
			}
			cmd := exec.Command(tool, "-i", "-", "-o", "-")
			cmd.Stdin = bytes.NewReader(b)
			out, err := cmd.Output()
			if err != nil {
				t.Fatal(err)
			}
			m, err := png.Decode(bytes.NewReader(out))
			if err != nil {
				t.Fatal(err)
			}
			// It makes whole bands of the last one.
			if m.Bounds().Dx() != size[0] || m.Bounds().Dy() < size[1] || m.Bounds().Dy() > (size[1]+5)/6*6 {
				t.Fatalf("%v for %v", m.Bounds(), size)
			}
			got := image.NewNRGBA(want.Rect)
			draw.Draw(got, got.Rect, m, image.Point{}, draw.Src)
			for i, v := range want.Pix {
				// It cuts off where a percentage is no whole value.
				if d := int(v) - int(got.Pix[i]); d < -1 || d > 1 {
					t.Fatalf("%v, %+v: byte %d is %d, want %d", size, o, i, got.Pix[i], v)
				}
			}
		}
	}
}
