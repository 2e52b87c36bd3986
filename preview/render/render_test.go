package render

import (
	"bytes"
	"context"
	"errors"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"garner/preview/build"
	"garner/preview/finished"
	"garner/preview/imprint"
	"garner/preview/resample"
	"garner/testdata/testneed"
)

// scene is a picture with a colour in each corner and detail in between.
func scene(w, h int) *image.RGBA {
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			v := 127 + 60*math.Sin(float64(x)/9)*math.Cos(float64(y)/7)
			c := color.RGBA{uint8(v), uint8(v * 0.9), uint8(200 - v/2), 255}
			left, top := x < w/3, y < h/3
			right, bottom := x >= w-w/3, y >= h-h/3
			switch {
			case left && top:
				c = color.RGBA{220, 40, 40, 255}
			case right && top:
				c = color.RGBA{40, 200, 60, 255}
			case left && bottom:
				c = color.RGBA{40, 60, 220, 255}
			case right && bottom:
				c = color.RGBA{230, 220, 60, 255}
			}
			m.SetRGBA(x, y, c)
		}
	}
	return m
}

func jpegOf(t testing.TB, m image.Image, quality int) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: quality}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func pngOf(t testing.TB, m image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func open(t testing.TB, data []byte) *finished.Picture {
	t.Helper()
	p, err := finished.Open(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func decoded(t testing.TB, b []byte) image.Image {
	t.Helper()
	m, _, err := image.Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// psnr compares two pictures of one size over all channels.
func psnr(t testing.TB, a, b image.Image) float64 {
	t.Helper()
	if a.Bounds().Size() != b.Bounds().Size() {
		t.Fatalf("%v against %v", a.Bounds(), b.Bounds())
	}
	sum, n := 0.0, 0
	for y := range a.Bounds().Dy() {
		for x := range a.Bounds().Dx() {
			r, g, bl, _ := a.At(x, y).RGBA()
			r2, g2, b2, _ := b.At(x, y).RGBA()
			for _, d := range []int{int(r>>8) - int(r2>>8), int(g>>8) - int(g2>>8), int(bl>>8) - int(b2>>8)} {
				sum += float64(d * d)
				n++
			}
		}
	}
	if sum == 0 {
		return 99
	}
	return 10 * math.Log10(255*255*float64(n)/sum)
}

func threeSets() []Cut {
	return []Cut{
		{Quality: 95, PPI: 300},
		{Size: resample.Size{Kind: resample.LongEdge, W: 205}, Chroma: imprint.Half, Quality: 85, Sharpen: resample.Unsharp{Amount: 0.4, Radius: 0.6, Threshold: 1}},
		{Size: resample.Size{Kind: resample.Fit, W: 384, H: 216}, Quality: 90},
	}
}

// One decode makes all cuts, in every format; sizes are those of rounding to the
// nearest pixel.
func TestOneDecodeForAllCuts(t *testing.T) {
	m := scene(600, 400)
	for name, data := range map[string][]byte{"jpeg": jpegOf(t, m, 92), "png": pngOf(t, m)} {
		t.Run(name, func(t *testing.T) {
			decodes := 0
			r := &Renderer{Decoded: func() { decodes++ }}
			results, err := r.Render(context.Background(), open(t, data), threeSets())
			if err != nil {
				t.Fatal(err)
			}
			if decodes != 1 {
				t.Errorf("%d decodes", decodes)
			}
			for i, want := range []image.Point{{600, 400}, {205, 137}, {324, 216}} {
				res := results[i]
				if res.Err != nil {
					t.Fatal(res.Err)
				}
				if got := decoded(t, res.Bytes).Bounds().Size(); got != want || res.Width != want.X || res.Height != want.Y {
					t.Errorf("cut %d is %v, said to be %d by %d", i, got, res.Width, res.Height)
				}
			}
			if p := psnr(t, decoded(t, results[0].Bytes), decoded(t, data)); p < 38 {
				t.Errorf("all pixels: %.1f dB", p)
			}
		})
	}
}

// Planes that are to stay as they are do: what is lost is what quality 100 loses, while
// the way through light and back, with chroma interpolated and made small again, loses
// more.
func TestPlanesAreTakenAsTheyAre(t *testing.T) {
	data := jpegOf(t, scene(480, 320), 90)
	var r Renderer
	dark, err := imprint.NewStamper(imprint.Stamp{Text: ".", Size: 0.001, Margin: 0, Opacity: 0.01})
	if err != nil {
		t.Fatal(err)
	}
	results, err := r.Render(context.Background(), open(t, data), []Cut{{Quality: 100}, {Quality: 100, Chroma: imprint.Half, Stamper: dark}})
	if err != nil || results[0].Err != nil || results[1].Err != nil {
		t.Fatal(err, results[0].Err, results[1].Err)
	}
	asIs, around := psnr(t, decoded(t, results[0].Bytes), decoded(t, data)), psnr(t, decoded(t, results[1].Bytes), decoded(t, data))
	t.Logf("as they are %.1f dB, through light %.1f dB", asIs, around)
	if asIs < 50 || asIs <= around+3 {
		t.Errorf("planes as they are: %.1f dB; through light %.1f dB", asIs, around)
	}
}

// Every orientation comes out upright, at full size and smaller: Exif 2.3, tag 274.
func TestUpright(t *testing.T) {
	// The colours of the corners of the stored picture as they lie upright: top left,
	// top right, bottom left, bottom right.
	red, green, blue, yellow := [3]int{220, 40, 40}, [3]int{40, 200, 60}, [3]int{40, 60, 220}, [3]int{230, 220, 60}
	want := map[int][4][3]int{
		1: {red, green, blue, yellow}, 2: {green, red, yellow, blue}, 3: {yellow, blue, green, red}, 4: {blue, yellow, red, green},
		5: {red, blue, green, yellow}, 6: {blue, red, yellow, green}, 7: {yellow, green, blue, red}, 8: {green, yellow, red, blue},
	}
	full := jpegOf(t, scene(240, 160), 95)
	for o, corners := range want {
		data, err := build.JPEG(build.Shot{Make: "Lumora", Model: "Lumora Five", Orientation: o, Width: 240, Height: 160}, build.Pictures{Full: full, Thumb: jpegOf(t, scene(48, 32), 80)}, false)
		if err != nil {
			t.Fatal(err)
		}
		var r Renderer
		results, err := r.Render(context.Background(), open(t, data), []Cut{{Quality: 95}, {Size: resample.Size{Kind: resample.LongEdge, W: 120}, Quality: 95}})
		if err != nil {
			t.Fatal(err)
		}
		for i, res := range results {
			m := decoded(t, res.Bytes)
			w, h := m.Bounds().Dx(), m.Bounds().Dy()
			if (o >= 5) != (h > w) {
				t.Errorf("orientation %d, cut %d: %d by %d", o, i, w, h)
			}
			for k, at := range []image.Point{{w / 8, h / 8}, {w - w/8, h / 8}, {w / 8, h - h/8}, {w - w/8, h - h/8}} {
				r, g, b, _ := m.At(at.X, at.Y).RGBA()
				for c, v := range []uint32{r, g, b} {
					if d := int(v>>8) - corners[k][c]; d < -12 || d > 12 {
						t.Errorf("orientation %d, cut %d, corner %d: %d %d %d", o, i, k, r>>8, g>>8, b>>8)
						break
					}
				}
			}
		}
	}
}

// A photograph made small is what libvips makes of it in linear light with the same
// kernel (vipsthumbnail --linear).
func TestAgainstVips(t *testing.T) {
	vips := testneed.Tool(t, "vipsthumbnail")
	data, err := os.ReadFile(filepath.Join(testneed.Samples(t), "photos", "group1.jpg"))
	if err != nil {
		t.Fatal(err)
	}
	// Without its profile, which is sRGB: libvips 8.14 --linear takes another way with one.
	source, out := filepath.Join(t.TempDir(), "v.png"), filepath.Join(t.TempDir(), "small.png")
	part := decoded(t, data).(*image.YCbCr).SubImage(image.Rect(480, 320, 1440, 960))
	data = jpegOf(t, part, 95)
	if err := os.WriteFile(source, pngOf(t, decoded(t, data)), 0o600); err != nil {
		t.Fatal(err)
	}
	if text, err := exec.Command(vips, "--linear", "-s", "400x", "-o", out, source).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, text)
	}
	ref, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	var r Renderer
	results, err := r.Render(context.Background(), open(t, data), []Cut{{Size: resample.Size{Kind: resample.LongEdge, W: 400}, Quality: 100}})
	if err != nil || results[0].Err != nil {
		t.Fatal(err, results[0].Err)
	}
	p := psnr(t, decoded(t, results[0].Bytes), decoded(t, ref))
	t.Logf("%.1f dB", p)
	if p < 40 {
		t.Errorf("%.1f dB from what libvips makes", p)
	}
}

// What is wrong with one cut is its own; what is wrong with the picture ends all.
func TestFaults(t *testing.T) {
	data := jpegOf(t, scene(300, 200), 90)
	var r Renderer
	results, err := r.Render(context.Background(), open(t, data), []Cut{
		{Size: resample.Size{Kind: resample.Exact, W: 100, H: 100}, Quality: 90},
		{Size: resample.Size{Kind: resample.Exact, W: 100, H: 100, Crop: true}, Quality: 90},
		{Quality: 90, Limit: 2000},
	})
	if err != nil {
		t.Fatal(err)
	}
	var shape *resample.ShapeError
	var limit *imprint.LimitError
	if !errors.As(results[0].Err, &shape) || results[1].Err != nil || results[1].Width != 100 || !errors.As(results[2].Err, &limit) || results[2].Bytes != nil {
		t.Errorf("%v, %v, %v", results[0].Err, results[1].Err, results[2].Err)
	}
	cut := data[:len(data)*2/3]
	if _, err := r.Render(context.Background(), open(t, cut), threeSets()); err == nil || !strings.Contains(err.Error(), "cut off") {
		t.Errorf("a picture that is cut off: %v", err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := r.Render(ctx, open(t, data), threeSets()); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}

// The same input gives the same bytes, also where one Renderer is used side by side.
func TestSameBytes(t *testing.T) {
	data := jpegOf(t, scene(300, 200), 90)
	var r Renderer
	type made struct {
		results []Result
		err     error
	}
	ch := make(chan made)
	for range 3 {
		go func() {
			p, err := finished.Open(bytes.NewReader(data), int64(len(data)))
			if err != nil {
				ch <- made{nil, err}
				return
			}
			results, err := r.Render(context.Background(), p, threeSets())
			ch <- made{results, err}
		}()
	}
	var first []Result
	for range 3 {
		m := <-ch
		if m.err != nil {
			t.Fatal(m.err)
		}
		for i := range m.results {
			if first != nil && !bytes.Equal(first[i].Bytes, m.results[i].Bytes) {
				t.Errorf("cut %d differs", i)
			}
		}
		first = m.results
	}
}

// 1 by 1 pixel, and the longest panorama for its height.
func TestSmallAndLong(t *testing.T) {
	var r Renderer
	for _, size := range []image.Point{{1, 1}, {30000, 2}} {
		m := image.NewGray(image.Rect(0, 0, size.X, size.Y))
		for i := range m.Pix {
			m.Pix[i] = 100
		}
		results, err := r.Render(context.Background(), open(t, pngOf(t, m)), threeSets())
		if err != nil {
			t.Fatal(err)
		}
		for i, res := range results {
			if res.Err != nil {
				t.Errorf("%v, cut %d: %v", size, i, res.Err)
				continue
			}
			got := decoded(t, res.Bytes)
			if v, _, _, _ := got.At(0, 0).RGBA(); v>>8 < 99 || v>>8 > 101 {
				t.Errorf("%v, cut %d: %d", size, i, v>>8)
			}
		}
	}
}
