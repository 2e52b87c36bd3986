package faces

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/color"
	stdjpeg "image/jpeg"
	"image/png"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"garner/cull/people"
	"garner/testdata/testneed"
)

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// The sheet of portraits that comes with dlib (boost software licence) has 24 faces: all are
// found, from left to right, described only where that is asked for, and in a PNG of the
// same pixels, which is decoded in another way, nearly as in the JPEG. Whom they are like is
// a test of package recall.
func TestPortraits(t *testing.T) {
	sheet := testneed.Photo(t, "dlib/bald_guys.jpg", "e0c40697dbd9a07684274f71760bc5161468e926ba75ff90d48b168019402e8b")
	dir := t.TempDir()
	path := filepath.Join(dir, "sheet.jpg")
	must(t, os.WriteFile(path, sheet, 0o666))
	r := NewReader()
	plain, err := r.Look(t.Context(), path, false)
	must(t, err)
	described, err := r.Look(t.Context(), path, true)
	must(t, err)
	if len(plain) != 24 || len(described) != 24 {
		t.Fatalf("%d and %d faces of 24", len(plain), len(described))
	}
	for i := range plain {
		if plain[i].About != nil {
			t.Fatalf("face %d is described, and nobody asked for it", i)
		}
		if described[i].About == nil || plain[i].At != described[i].At || i > 0 && middle(plain[i-1]) > middle(plain[i]) {
			t.Errorf("face %d: %v, %v", i, plain[i].At, described[i].At)
		}
	}

	// The same picture as a PNG, which is decoded in another way.
	m, err := stdjpeg.Decode(bytes.NewReader(sheet))
	must(t, err)
	var b bytes.Buffer
	must(t, png.Encode(&b, m))
	other := filepath.Join(dir, "sheet.png")
	must(t, os.WriteFile(other, b.Bytes(), 0o666))
	again, err := r.Look(t.Context(), other, true)
	must(t, err)
	if len(again) != 24 {
		t.Fatalf("%d faces of the PNG", len(again))
	}
	for i := range again {
		if d := people.Distance(again[i].About, described[i].About); d > 0.1 {
			t.Errorf("face %d of the PNG is %.2f from that of the JPEG", i, d)
		}
	}
}

func middle(f Face) float64 { return f.At.X + f.At.W/2 }

// Nearest forgets all that it was given.
func TestNearest(t *testing.T) {
	about := func(v float32) *people.Template { return &people.Template{0: v} }
	list := []Face{{Width: 1, About: about(3)}, {Width: 2}, {Width: 3, About: about(1.5)}, {Width: 4, About: about(-9)}}
	kept := []*people.Template{list[0].About, list[2].About, list[3].About}
	near, d, ok := Nearest(list, about(1))
	if !ok || near.Width != 3 || d != 0.5 || near.About != nil {
		t.Errorf("%+v, %v, %v", near, d, ok)
	}
	for i, k := range kept {
		if *k != (people.Template{}) {
			t.Errorf("template %d is still there", i)
		}
	}
	if _, _, ok := Nearest([]Face{{Width: 2}}, about(1)); ok {
		t.Error("a face that is not described is near to one")
	}
}

// What is no picture, and what shows nobody.
func TestNoFaces(t *testing.T) {
	dir := t.TempDir()
	m := image.NewRGBA(image.Rect(0, 0, 300, 200))
	for i := range m.Pix {
		m.Pix[i] = byte(i * i >> 7)
	}
	m.Set(3, 3, color.White)
	var jpg, pic bytes.Buffer
	must(t, stdjpeg.Encode(&jpg, m, nil))
	must(t, png.Encode(&pic, m))
	for name, text := range map[string][]byte{"a.jpg": jpg.Bytes(), "b.png": pic.Bytes()} {
		must(t, os.WriteFile(filepath.Join(dir, name), text, 0o666))
		if list, err := NewReader().Look(t.Context(), filepath.Join(dir, name), true); err != nil || len(list) > 0 {
			t.Errorf("%s: %v, %v", name, list, err)
		}
	}
	// A TIFF, as a raw file is one, whose only JPEG is broken.
	raw := append([]byte("II*\x00\x08\x00\x00\x00\x02\x00\x01\x02\x04\x00\x01\x00\x00\x00\x26\x00\x00\x00\x02\x02\x04\x00\x01\x00\x00\x00\x00\x04\x00\x00\x00\x00\x00\x00"), jpg.Bytes()[:200]...)
	raw = append(raw, make([]byte, 0x400)...)
	must(t, os.WriteFile(filepath.Join(dir, "d.dng"), raw, 0o666))
	must(t, os.WriteFile(filepath.Join(dir, "c.txt"), []byte("no picture"), 0o666))
	must(t, os.Mkdir(filepath.Join(dir, "folder"), 0o777))
	var reasons []string
	for _, name := range []string{"c.txt", "d.dng", "folder", "none"} {
		list, err := NewReader().Look(t.Context(), filepath.Join(dir, name), true)
		if err == nil || len(list) > 0 || errors.Is(err, ErrNetworks) {
			t.Errorf("%s: %v, %v", name, list, err)
		}
		reasons = append(reasons, fmt.Sprint(err))
	}
	if !slices.Equal(reasons[2:], []string{"it is no file", "no such file or directory"}) {
		t.Errorf("%q", reasons)
	}
	gone, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := NewReader().Look(gone, filepath.Join(dir, "a.jpg"), true); !errors.Is(err, context.Canceled) {
		t.Errorf("called off: %v", err)
	}
}
