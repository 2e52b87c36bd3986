package preview

import (
	"bytes"
	"context"
	"errors"
	"image"
	"image/color"
	stdjpeg "image/jpeg"
	"io"
	"runtime"
	"strings"
	"testing"

	"garner/preview/raw"
)

// picture is a JPEG whose left upper quarter is bright and the rest dark, with
// some noise, so that its turning can be seen.
func picture(t testing.TB, w, h int) []byte {
	t.Helper()
	m := image.NewGray(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			v := 40
			if x < w/2 && y < h/2 {
				v = 200
			}
			m.SetGray(x, y, color.Gray{Y: uint8(v + (x*7+y*13)%23)})
		}
	}
	var b bytes.Buffer
	if err := stdjpeg.Encode(&b, m, &stdjpeg.Options{Quality: 90}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// container puts JPEGs into one file, with something between them.
func container(jpegs ...[]byte) ([]byte, []raw.Preview) {
	file := []byte(strings.Repeat("header ", 100))
	var previews []raw.Preview
	for _, j := range jpegs {
		c, _ := stdjpeg.DecodeConfig(bytes.NewReader(j))
		previews = append(previews, raw.Preview{Offset: int64(len(file)), Length: int64(len(j)),
			Width: c.Width, Height: c.Height, Whole: true, Components: 1, Precision: 8})
		file = append(append(file, j...), strings.Repeat("gap ", 50)...)
	}
	return file, previews
}

// recorder notes what is read.
type recorder struct {
	io.ReaderAt
	from, to int64
	bytes    int
	err      error
}

func (r *recorder) ReadAt(p []byte, off int64) (int, error) {
	if r.err != nil {
		return 0, r.err
	}
	n, err := r.ReaderAt.ReadAt(p, off)
	if r.bytes == 0 {
		r.from = off
	}
	r.bytes, r.to = r.bytes+n, off+int64(n)
	return n, err
}

func TestRenderReadsOneJPEGOnly(t *testing.T) {
	file, previews := container(picture(t, 1200, 800), picture(t, 600, 400), picture(t, 150, 100))
	for i, longEdge := range []int{0, 400, 100} {
		r := &recorder{ReaderAt: bytes.NewReader(file)}
		got, err := Render(t.Context(), r, previews, View{LongEdge: longEdge})
		if err != nil {
			t.Fatal(err)
		}
		p := previews[i]
		if got.Used != p || r.from != p.Offset || r.to != p.Offset+p.Length || int64(r.bytes) != p.Length {
			t.Errorf("%d px: used %dx%d, read %d bytes at %d", longEdge, got.Used.Width, got.Used.Height, r.bytes, r.from)
		}
		want := longEdge
		if want == 0 {
			want = 1200
		}
		if got.Width != want || len(got.Problems) != 0 || got.Truncated {
			t.Errorf("%d px: %dx%d, %v", longEdge, got.Width, got.Height, got.Problems)
		}
	}
}

// The bright quarter is at the left top as stored; the Exif table says where it
// goes (TIFF 6.0 section 8, Orientation).
func TestRenderTurns(t *testing.T) {
	file, previews := container(picture(t, 600, 400))
	corner := map[int]string{0: "left top", 1: "left top", 2: "right top", 3: "right bottom", 4: "left bottom",
		5: "left top", 6: "right top", 7: "right bottom", 8: "left bottom"}
	for k, want := range corner {
		got, err := Render(t.Context(), bytes.NewReader(file), previews, View{Orientation: k, LongEdge: 120})
		if err != nil {
			t.Fatal(err)
		}
		if turned := k >= 5; (got.Height > got.Width) != turned || max(got.Width, got.Height) != 120 {
			t.Errorf("orientation %d: %dx%d", k, got.Width, got.Height)
		}
		bright := func(x, y int) bool { return got.Y[y*got.YStride+x] > 128 }
		l, r, u, d := got.Width/4, got.Width*3/4, got.Height/4, got.Height*3/4
		where := ""
		for name, b := range map[string]bool{"left top": bright(l, u), "right top": bright(r, u), "left bottom": bright(l, d), "right bottom": bright(r, d)} {
			if b {
				where += name
			}
		}
		if where != want {
			t.Errorf("orientation %d: bright at %q, want %q", k, where, want)
		}
	}
}

func TestRenderFallsBack(t *testing.T) {
	file, previews := container(picture(t, 1200, 800), picture(t, 600, 400), picture(t, 150, 100))
	broken := bytes.Clone(file)
	clear(broken[previews[1].Offset : previews[1].Offset+200])
	got, err := Render(t.Context(), bytes.NewReader(broken), previews, View{LongEdge: 400})
	if err != nil {
		t.Fatal(err)
	}
	if got.Used.Width != 1200 || got.Width != 400 || len(got.Problems) != 1 || got.Problems[0].Code != "preview-broken" {
		t.Errorf("used %d, %v", got.Used.Width, got.Problems)
	}

	// Damaged in the middle: a whole one is better, though it is smaller.
	damaged := bytes.Clone(file)
	at := previews[0].Offset + previews[0].Length/2
	for i := range 600 {
		damaged[at+int64(i)] = 0xFF
	}
	got, err = Render(t.Context(), bytes.NewReader(damaged), previews, View{LongEdge: 1000})
	if err != nil {
		t.Fatal(err)
	}
	if got.Used.Width != 600 || got.Truncated || len(got.Problems) != 1 || got.Problems[0].Code != "preview-damaged" {
		t.Errorf("used %d, truncated %v, %v", got.Used.Width, got.Truncated, got.Problems)
	}

	// Alone it is shown as far as it goes.
	got, err = Render(t.Context(), bytes.NewReader(damaged), previews[:1], View{LongEdge: 1000})
	if err != nil {
		t.Fatal(err)
	}
	if !got.Truncated || got.Rows < got.Height/4 || got.Rows > got.Height*3/4 || got.Width != 1000 {
		t.Errorf("truncated %v, rows %d of %d", got.Truncated, got.Rows, got.Height)
	}
}

func TestRenderCutOffFile(t *testing.T) {
	file, previews := container(picture(t, 600, 400))
	previews[0].Whole = false
	got, err := Render(t.Context(), bytes.NewReader(file[:len(file)/2]), previews, View{})
	if err != nil {
		t.Fatal(err)
	}
	if !got.Truncated || got.Rows < 100 || len(got.Problems) != 1 {
		t.Errorf("truncated %v, rows %d, %v", got.Truncated, got.Rows, got.Problems)
	}
	previews[0].Length = 1 << 40
	if got, err := Render(t.Context(), bytes.NewReader(file), previews, View{}); !errors.Is(err, ErrNoPicture) || got != nil {
		t.Errorf("a preview of a terabyte: %v", err)
	}
	previews[0].Length = MaxPreview
	if got, err := Render(t.Context(), bytes.NewReader(file), previews, View{}); err != nil || got.Width != 600 {
		t.Errorf("a preview that claims too much: %v", err)
	}
}

// What a preview claims must not decide how much is allocated for it.
func TestClaimsDoNotAllocate(t *testing.T) {
	file, previews := container(picture(t, 100, 80))
	previews[0].Length, previews[0].Whole = MaxPreview, false
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	if _, err := Render(t.Context(), bytes.NewReader(file), previews, View{}); err != nil {
		t.Fatal(err)
	}
	runtime.ReadMemStats(&after)
	if got := after.TotalAlloc - before.TotalAlloc; got > 8<<20 {
		t.Errorf("%d bytes for a file of %d", got, len(file))
	}
}

// A 4:3 thumbnail of a 3:2 frame, with black bars above and below.
func TestRenderCutsBars(t *testing.T) {
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
	for _, c := range []struct{ w, h, orientation, wantW, wantH int }{
		{6000, 4000, 1, 160, 106}, {6000, 4000, 6, 106, 160}, {4000, 3000, 1, 160, 120}, {0, 0, 1, 160, 120},
	} {
		got, err := Render(t.Context(), bytes.NewReader(file), previews, View{Width: c.w, Height: c.h, Orientation: c.orientation})
		if err != nil {
			t.Fatal(err)
		}
		if got.Width != c.wantW || got.Height != c.wantH {
			t.Errorf("of %dx%d, orientation %d: %dx%d, want %dx%d", c.w, c.h, c.orientation, got.Width, got.Height, c.wantW, c.wantH)
		}
	}
}

func TestRenderErrors(t *testing.T) {
	file, previews := container(picture(t, 600, 400), picture(t, 150, 100))
	if got, err := Render(t.Context(), bytes.NewReader(file), nil, View{}); !errors.Is(err, ErrNoPicture) || got != nil {
		t.Errorf("no previews: %v", err)
	}
	junk := bytes.Repeat([]byte("junk"), len(file)/4+1)
	if got, err := Render(t.Context(), bytes.NewReader(junk), previews, View{}); !errors.Is(err, ErrNoPicture) || got != nil {
		t.Errorf("junk: %v", err)
	}
	gone := errors.New("device gone")
	if got, err := Render(t.Context(), &recorder{err: gone}, previews, View{}); !errors.Is(err, gone) || errors.Is(err, ErrNoPicture) || got != nil {
		t.Errorf("device gone: %v", err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	r := &recorder{ReaderAt: bytes.NewReader(file)}
	if got, err := Render(ctx, r, previews, View{}); !errors.Is(err, context.Canceled) || got != nil || r.bytes != 0 {
		t.Errorf("called off: %v after %d bytes", err, r.bytes)
	}
}
