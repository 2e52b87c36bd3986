package preview

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	stdjpeg "image/jpeg"
	"math/rand/v2"
	"os/exec"
	"sync"
	"testing"

	"garner/preview/exif"
	"garner/preview/jpeg"
	"garner/preview/pix"
	"garner/preview/raw"
	"garner/testdata/testneed"
)

// coloured is a JPEG with 4:2:0 chroma in which every place differs from its
// neighbours.
func coloured(t testing.TB, w, h int) []byte {
	t.Helper()
	m := image.NewYCbCr(image.Rect(0, 0, w, h), image.YCbCrSubsampleRatio420)
	for y := range h {
		for x := range w {
			m.Y[m.YOffset(x, y)] = uint8(60 + (x*5+y*3)%130)
			m.Cb[m.COffset(x, y)], m.Cr[m.COffset(x, y)] = uint8(80+x*90/w), uint8(80+y*90/h)
		}
	}
	var b bytes.Buffer
	if err := stdjpeg.Encode(&b, m, &stdjpeg.Options{Quality: 92}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func opened(t testing.TB, file []byte, previews []raw.Preview, v View, area *exif.Area) *Detail {
	t.Helper()
	d, err := OpenDetail(t.Context(), bytes.NewReader(file), previews, v, area)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// samePixels compares luma and the chroma over every luma sample.
func samePixels(a, b *jpeg.Image) error {
	if a.Width != b.Width || a.Height != b.Height || a.Grey() != b.Grey() {
		return fmt.Errorf("%dx%d and %dx%d", a.Width, a.Height, b.Width, b.Height)
	}
	for y := range a.Height {
		for x := range a.Width {
			if p, q := a.Y[y*a.YStride+x], b.Y[y*b.YStride+x]; p != q {
				return fmt.Errorf("luma %d and %d at %d,%d", p, q, x, y)
			}
			if a.Grey() {
				continue
			}
			p, q := y/a.SubY*a.CStride+x/a.SubX, y/b.SubY*b.CStride+x/b.SubX
			if a.Cb[p] != b.Cb[q] || a.Cr[p] != b.Cr[q] {
				return fmt.Errorf("chroma %d,%d and %d,%d at %d,%d", a.Cb[p], a.Cr[p], b.Cb[q], b.Cr[q], x, y)
			}
		}
	}
	return nil
}

// A part is what the whole upright picture shows there, in all orientations and
// with parts that begin anywhere.
func TestCropIsAPartOfTheWhole(t *testing.T) {
	seed := rand.Uint64()
	random := rand.New(rand.NewPCG(seed, 0))
	t.Logf("seed %d", seed)
	file, previews := container(coloured(t, 130, 94), coloured(t, 64, 48))
	whole, err := jpeg.Decode(file[previews[0].Offset:][:previews[0].Length], jpeg.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for k := 0; k <= 8; k++ {
		d := opened(t, file, previews, View{Orientation: k, Width: 260, Height: 188}, nil)
		w, h := 130, 94
		if k >= 5 {
			w, h = h, w
		}
		if d.Width != w || d.Height != h || d.SensorWidth != 2*w || d.SensorHeight != 2*h || d.Used != previews[0] || d.Truncated {
			t.Fatalf("orientation %d: %+v", k, d)
		}
		all, err := d.Crop(t.Context(), image.Rect(-9, -9, 999, 999))
		if err != nil {
			t.Fatal(err)
		}
		if err := samePixels(all, pix.Orient(whole, k)); err != nil {
			t.Errorf("orientation %d: the whole differs: %v", k, err)
		}
		for range 12 {
			x, y := random.IntN(w), random.IntN(h)
			r := image.Rect(x, y, x+1+random.IntN(w-x), y+1+random.IntN(h-y))
			got, err := d.Crop(t.Context(), r)
			if err != nil {
				t.Fatal(err)
			}
			if err := samePixels(got, pix.Cut(all, r, 1)); err != nil {
				t.Errorf("orientation %d, %v: %v", k, r, err)
			}
		}
	}
}

// The area counts pixels of the full picture as stored (CIPA DC-008, tag
// 0x9214); the focus counts upright pixels of the preview.
func TestFocusOfTheCamera(t *testing.T) {
	file, previews := container(picture(t, 300, 200))
	for _, c := range []struct {
		name          string
		orientation   int
		width, height int
		area          exif.Area
		want          image.Point
	}{
		{"as stored", 1, 6000, 4000, exif.Area{X: 1010, Y: 410, W: 200, H: 100}, image.Pt(50, 20)},
		{"a quarter turn clockwise", 6, 6000, 4000, exif.Area{X: 1010, Y: 410}, image.Pt(179, 50)},
		{"half a turn", 3, 6000, 4000, exif.Area{X: 1010, Y: 410}, image.Pt(249, 179)},
		{"the size is not known", 1, 0, 0, exif.Area{X: 17, Y: 130}, image.Pt(17, 130)},
		{"the preview is a part of the full height", 1, 6000, 5000, exif.Area{X: 3000, Y: 2500}, image.Pt(150, 100)},
	} {
		c.area.Given = true
		d := opened(t, file, previews, View{Orientation: c.orientation, Width: c.width, Height: c.height}, &c.area)
		if d.FocusFrom != FocusCamera || d.Focus != c.want {
			t.Errorf("%s: %v from %s, want %v", c.name, d.Focus, d.FocusFrom, c.want)
		}
	}
	for name, area := range map[string]*exif.Area{
		"none": nil, "not given": {X: 5, Y: 5}, "outside": {X: 6000, Y: 5, Given: true}, "negative": {X: -1, Y: 5, Given: true},
		"in what the preview leaves out": {X: 3000, Y: 5, Given: true}, "huge": {X: 1 << 40, Y: 1 << 40, Given: true},
	} {
		d := opened(t, file, previews, View{Width: 6000, Height: 5000}, area)
		if d.FocusFrom == FocusCamera || !d.Focus.In(image.Rect(0, 0, d.Width, d.Height)) {
			t.Errorf("%s: %v from %s", name, d.Focus, d.FocusFrom)
		}
	}
}

func TestDetailOfACutOffPreview(t *testing.T) {
	file, previews := container(coloured(t, 320, 240))
	previews[0].Whole = false
	for _, k := range []int{1, 3, 6} {
		d := opened(t, file[:len(file)*6/10], previews, View{Orientation: k}, nil)
		if !d.Truncated || len(d.Problems) != 1 || max(d.Width, d.Height) != 320 {
			t.Fatalf("orientation %d: %+v", k, d)
		}
		all, err := d.Crop(t.Context(), image.Rect(0, 0, d.Width, d.Height))
		if err != nil || !all.Truncated {
			t.Fatalf("orientation %d: %v, truncated %v", k, err, all.Truncated)
		}
		last := pix.Upright(image.Pt(300, 239), 320, 240, k)
		if v := all.Y[last.Y*all.YStride+last.X]; v != 128 {
			t.Errorf("orientation %d: the missing last row is %d, not grey", k, v)
		}
	}
}

// The bars of a thumbnail are not part of the picture.
func TestDetailWithoutBars(t *testing.T) {
	m := image.NewGray(image.Rect(0, 0, 160, 120))
	for y := 7; y < 113; y++ {
		for x := range 160 {
			m.Pix[y*m.Stride+x] = uint8(100 + (x*3+y*7)%90)
		}
	}
	var b bytes.Buffer
	if err := stdjpeg.Encode(&b, m, &stdjpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	file, previews := container(b.Bytes())
	d := opened(t, file, previews, View{Orientation: 6, Width: 6000, Height: 4000}, &exif.Area{X: 3000, Y: 2000, Given: true})
	if d.Width != 106 || d.Height != 160 || d.Focus.Sub(image.Pt(53, 80)).X > 1 || d.FocusFrom != FocusCamera {
		t.Fatalf("%dx%d, focus %v by %s", d.Width, d.Height, d.Focus, d.FocusFrom)
	}
	got, err := d.Crop(t.Context(), image.Rect(0, 0, 106, 160))
	if err != nil {
		t.Fatal(err)
	}
	for i, v := range got.Y {
		if v < 60 {
			t.Fatalf("a dark %d at %d,%d", v, i%got.YStride, i/got.YStride)
		}
	}
}

func TestDetailTakesWhatCanBeDecoded(t *testing.T) {
	file, previews := container(picture(t, 1200, 800), picture(t, 600, 400))
	clear(file[previews[0].Offset : previews[0].Offset+200])
	d := opened(t, file, previews, View{}, nil)
	if d.Width != 600 || len(d.Problems) != 1 || d.Problems[0].Code != "preview-broken" {
		t.Errorf("%dx%d, %v", d.Width, d.Height, d.Problems)
	}
	// Most of a damaged one is better than a smaller one, a strip of it is not.
	file, previews = container(picture(t, 1200, 800), picture(t, 600, 400))
	for _, c := range []struct {
		sixths int64
		width  int
	}{{5, 1200}, {2, 600}} {
		damaged := bytes.Clone(file)
		at := previews[0].Offset + previews[0].Length*c.sixths/6
		clear(damaged[at : at+600])
		copy(damaged[at:], "\xFF\xD9")
		d := opened(t, damaged, previews, View{}, nil)
		if d.Width != c.width || d.Truncated != (c.width == 1200) || len(d.Problems) != 1 || d.Problems[0].Code != "preview-damaged" {
			t.Errorf("%d sixths: %dx%d, %v", c.sixths, d.Width, d.Height, d.Problems)
		}
		if d := opened(t, damaged, previews[:1], View{}, nil); d.Width != 1200 || !d.Truncated || len(d.Problems) != 1 {
			t.Errorf("%d sixths alone: %dx%d, %v", c.sixths, d.Width, d.Height, d.Problems)
		}
	}
	if d.Bytes() < previews[1].Length {
		t.Errorf("holds %d bytes of a JPEG of %d", d.Bytes(), previews[1].Length)
	}
}

func TestDetailErrors(t *testing.T) {
	file, previews := container(picture(t, 600, 400))
	open := func(ctx context.Context, r *recorder, p []raw.Preview) error {
		d, err := OpenDetail(ctx, r, p, View{}, nil)
		if (d == nil) == (err == nil) {
			t.Errorf("detail %v, error %v", d != nil, err)
		}
		return err
	}
	if err := open(t.Context(), &recorder{ReaderAt: bytes.NewReader(file)}, nil); !errors.Is(err, ErrNoPicture) {
		t.Errorf("no previews: %v", err)
	}
	junk := bytes.Repeat([]byte("junk"), len(file)/4+1)
	if err := open(t.Context(), &recorder{ReaderAt: bytes.NewReader(junk)}, previews); !errors.Is(err, ErrNoPicture) {
		t.Errorf("junk: %v", err)
	}
	gone := errors.New("device gone")
	if err := open(t.Context(), &recorder{err: gone}, previews); !errors.Is(err, gone) || errors.Is(err, ErrNoPicture) {
		t.Errorf("device gone: %v", err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if err := open(ctx, &recorder{ReaderAt: bytes.NewReader(file)}, previews); !errors.Is(err, context.Canceled) {
		t.Errorf("called off: %v", err)
	}
	d := opened(t, file, previews, View{}, nil)
	if m, err := d.Crop(ctx, image.Rect(0, 0, 9, 9)); !errors.Is(err, context.Canceled) || m != nil {
		t.Errorf("a part called off: %v", err)
	}
	if m, err := d.Crop(t.Context(), image.Rect(600, 0, 700, 9)); err == nil || m != nil {
		t.Error("a part outside the picture")
	}
}

// Several goroutines may ask for parts at once.
func TestCropsSideBySide(t *testing.T) {
	file, previews := container(coloured(t, 320, 240))
	d := opened(t, file, previews, View{Orientation: 6}, nil)
	want, err := d.Crop(t.Context(), image.Rect(10, 20, 110, 90))
	if err != nil {
		t.Fatal(err)
	}
	var wg sync.WaitGroup
	for range 4 {
		wg.Go(func() {
			for range 8 {
				got, err := d.Crop(t.Context(), image.Rect(10, 20, 110, 90))
				if err != nil {
					t.Error(err)
					return
				}
				if err := samePixels(got, want); err != nil {
					t.Error(err)
				}
			}
		})
	}
	wg.Wait()
}

// A progressive JPEG has no index; its parts come from a decode that is kept.
func TestDetailOfAProgressivePreview(t *testing.T) {
	tool := testneed.Tool(t, "jpegtran")
	cmd := exec.Command(tool, "-progressive")
	cmd.Stdin = bytes.NewReader(coloured(t, 1300, 900))
	src, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	whole, err := jpeg.Decode(src, jpeg.Options{})
	if err != nil {
		t.Fatal(err)
	}
	file, previews := container(src)
	previews[0].Progressive = true
	d := opened(t, file, previews, View{Orientation: 6}, nil)
	before := d.Bytes()
	r := image.Rect(13, 500, 413, 777)
	got, err := d.Crop(t.Context(), r)
	if err != nil {
		t.Fatal(err)
	}
	if err := samePixels(got, pix.Cut(pix.Orient(whole, 6), r, 1)); err != nil {
		t.Error(err)
	}
	if d.Bytes() < before || d.Bytes() < 1300*900*3/2 {
		t.Errorf("%d bytes with the picture that is kept", d.Bytes())
	}
}
