package preview

import (
	"bytes"
	"context"
	"image"
	"testing"

	"garner/preview/exif"
	"garner/preview/jpeg"
	"garner/preview/raw"
)

// FuzzRender takes any bytes for a file, and any place in it for a preview. It
// must give a picture no larger than asked for, or an error, and read nothing
// outside the preview.
func FuzzRender(f *testing.F) {
	file, previews := container(picture(f, 64, 40), picture(f, 33, 20))
	for _, p := range previews {
		f.Add(file, p.Offset, p.Length, 64, 40, 6, 20)
		f.Add(file, p.Offset, p.Length/2, 64, 40, 1, 0)
	}
	f.Add(file, int64(-1), int64(1)<<62, -5, 1<<30, 9, -1)
	f.Fuzz(func(t *testing.T, b []byte, offset, length int64, w, h, orientation, longEdge int) {
		if at := bytes.Index(b, []byte{0xFF, 0xC0}); len(b) > 1<<16 || at >= 0 && len(b) > at+9 && (b[at+5] > 1 || b[at+7] > 1) {
			t.Skip("too large to be quick")
		}
		r := &recorder{ReaderAt: bytes.NewReader(b)}
		p := raw.Preview{Offset: offset, Length: length, Width: w, Height: h, Whole: true}
		got, err := Render(t.Context(), r, []raw.Preview{p}, View{Orientation: orientation, LongEdge: longEdge, Width: h, Height: w})
		if (got == nil) == (err == nil) {
			t.Fatalf("picture %v, error %v", got != nil, err)
		}
		if r.bytes > 0 && (r.from < offset || r.to > offset+length) {
			t.Fatalf("read from %d to %d, the preview is %d bytes at %d", r.from, r.to, length, offset)
		}
		if err != nil {
			return
		}
		if !got.Valid() || longEdge > 0 && max(got.Width, got.Height) > longEdge {
			t.Fatalf("%dx%d, valid %v, asked for %d", got.Width, got.Height, got.Valid(), longEdge)
		}
	})
}

// FuzzOpen opens any bytes and shows what is found in them.
func FuzzOpen(f *testing.F) {
	f.Add(picture(f, 48, 32))
	file, _ := container(picture(f, 48, 32))
	f.Add(file)
	f.Add([]byte("II*\x00\x08\x00\x00\x00"))
	f.Fuzz(func(t *testing.T, b []byte) {
		file, err := Open(bytes.NewReader(b), int64(len(b)))
		if (file == nil) == (err == nil) {
			t.Fatalf("file %v, error %v", file != nil, err)
		}
		if err != nil || len(b) > 1<<16 {
			return
		}
		for _, p := range file.Previews {
			if p.Width*p.Height > 1<<18 {
				t.Skip("too large to be quick")
			}
		}
		ctx, cancel := context.WithCancel(t.Context())
		defer cancel()
		if got, err := file.Render(ctx, 32); err == nil && (!got.Valid() || max(got.Width, got.Height) > 32) {
			t.Fatalf("%dx%d, valid %v", got.Width, got.Height, got.Valid())
		}
	})
}

// FuzzDetail opens any bytes at 1:1 and takes a part: it is exactly as large as
// the rectangle has in the picture, and the focus lies in the picture.
func FuzzDetail(f *testing.F) {
	f.Add(coloured(f, 60, 44), 6, 5, 7, 40, 30)
	f.Add(coloured(f, 300, 200), 3, 5, 7, 400, 300)
	f.Add(picture(f, 48, 32), 1, -5, 7, 3000, 1)
	f.Add(picture(f, 200, 200)[:3000], 8, 0, 0, 500, 500)
	f.Fuzz(func(t *testing.T, b []byte, orientation, x, y, w, h int) {
		c, err := jpeg.Config(bytes.NewReader(b), 0, int64(len(b)))
		if len(b) > 1<<14 || err == nil && c.Width*c.Height > 1<<16 {
			t.Skip("too large to be quick")
		}
		p := raw.Preview{Length: int64(len(b)), Width: c.Width, Height: c.Height, Whole: true}
		d, err := OpenDetail(t.Context(), bytes.NewReader(b), []raw.Preview{p}, View{Orientation: orientation, Width: w, Height: h}, &exif.Area{X: x, Y: y, Given: true})
		if (d == nil) == (err == nil) {
			t.Fatalf("detail %v, error %v", d != nil, err)
		}
		if err != nil {
			return
		}
		all := image.Rect(0, 0, d.Width, d.Height)
		if !d.Focus.In(all) {
			t.Fatalf("focus %v in %v", d.Focus, all)
		}
		r := image.Rect(x, y, x+w%4096, y+h%4096)
		m, err := d.Crop(t.Context(), r)
		if want := r.Intersect(all); (err == nil) == want.Empty() || err == nil && (!m.Valid() || m.Width != want.Dx() || m.Height != want.Dy()) {
			t.Fatalf("%v in %v: %v", r, all, err)
		}
	})
}
