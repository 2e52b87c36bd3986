package demo

import (
	"bytes"
	"compress/flate"
	"context"
	"image/jpeg"
	"os"
	"path/filepath"
	"testing"

	"garner/preview/raw"
)

// A frame of full size weighs what one of a body with 24 megapixels does, holds a
// JPEG of all its pixels, and no packer can make it much smaller.
func TestFullSize(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "job")
	sum, err := Make(context.Background(), dir, Options{Frames: 2, FullSize: true})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range sum.Truth {
		b, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(f.Paths[0])))
		if err != nil {
			t.Fatal(err)
		}
		if len(b) < 23e6 || len(b) > 40e6 {
			t.Errorf("%s has %d bytes", f.Paths[0], len(b))
		}
		if packed := deflated(t, b); packed < len(b)*97/100 {
			t.Errorf("%s: %d bytes become %d", f.Paths[0], len(b), packed)
		}
		located, err := raw.Locate(bytes.NewReader(b), int64(len(b)))
		if err != nil || len(located.Previews) == 0 {
			t.Fatalf("%s: %v", f.Paths[0], err)
		}
		v := located.Previews[0]
		img, err := jpeg.Decode(bytes.NewReader(b[v.Offset : v.Offset+v.Length]))
		if err != nil || img.Bounds().Dx() != 6000 || img.Bounds().Dy() != 4000 {
			t.Errorf("%s: the largest picture is %dx%d, %v", f.Paths[0], v.Width, v.Height, err)
		}
		if v.Length < 3e6 || v.Length > 14e6 {
			t.Errorf("%s: its largest picture has %d bytes", f.Paths[0], v.Length)
		}
	}
	again := filepath.Join(t.TempDir(), "again")
	if _, err := Make(context.Background(), again, Options{Frames: 2, FullSize: true}); err != nil {
		t.Fatal(err)
	}
	one, two := tree(t, dir), tree(t, again)
	for name, sum := range one {
		if two[name] != sum {
			t.Errorf("%s differs between two runs", name)
		}
	}
	// A DNG's sensor area is rows of samples: its length is not free.
	s := &shot{kind: "DNG", seed: 5}
	if n := len(Options{FullSize: true}.format().sensorOf(s)); n != 24_000_000 {
		t.Errorf("a DNG of 24 megapixels has %d bytes of sensor data", n)
	}
	if n := len(Options{}.format().sensorOf(s)); n != 0 {
		t.Errorf("a frame of the usual demo has %d bytes of sensor data", n)
	}
}

func deflated(t *testing.T, b []byte) int {
	t.Helper()
	var out bytes.Buffer
	w, err := flate.NewWriter(&out, flate.BestSpeed)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := w.Write(b); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Len()
}
