package testjob

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"os"
	"path/filepath"
	"testing"
	"time"

	"garner/cull/job"
	"garner/cull/prepare"
	"garner/preview/build"
)

// Sorts is how many different pictures Many has; they take turns.
const Sorts = 8

// ManyColour is the colour in the middle of the picture of frame i, by which a
// test knows it on a screen.
func ManyColour(i int) color.RGBA {
	sort := i % Sorts
	return color.RGBA{uint8(40 + 170*(sort&1)), uint8(40 + 170*(sort>>1&1)), uint8(40 + 170*(sort>>2&1)), 255}
}

// Many returns a prepared job of so many frames, each a moment by itself, four
// minutes apart so that pictures that repeat are no look-alikes, with a picture of 1620x1080 in a TIFF-like raw. It is quick to
// make, since the pictures repeat: for long sittings, not for looking at.
func Many(t testing.TB, frames int) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "many")
	var pictures [Sorts][]byte
	for i := range pictures {
		pictures[i] = chequered(t, i)
	}
	start := time.Date(2026, 6, 13, 9, 0, 0, 0, time.UTC)
	for i := range frames {
		s := build.Shot{Make: "Testwerk", Model: "T1", Serial: "1001", Orientation: 1, Counter: int64(5000 + i), Width: 1620, Height: 1080,
			Seconds: build.Rational{Num: 1, Den: 250}, FNumber: build.Rational{Num: 4, Den: 1}, ISO: 400,
			Taken: build.Clock{Wall: start.Add(time.Duration(i) * 4 * time.Minute), Digits: 2}}
		raw, err := build.DNG(s, build.Pictures{Full: pictures[i%Sorts]}, binary.LittleEndian)
		if err != nil {
			t.Fatal(err)
		}
		name := filepath.Join(dir, "A", fmt.Sprintf("T%04d.DNG", i+1))
		if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, raw, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	j, err := job.Open(dir, job.Options{Who: "test"})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	if _, err := prepare.Run(context.Background(), j, prepare.Options{}); err != nil {
		t.Fatal(err)
	}
	return dir
}

// chequered is a field of squares in the greys of its own, with one large patch of
// its colour in the middle. Different greys keep them from being look-alikes.
func chequered(t testing.TB, sort int) []byte {
	t.Helper()
	m := image.NewRGBA(image.Rect(0, 0, 1620, 1080))
	patch := image.Rect(540, 360, 1080, 720)
	for y := range 1080 {
		for x := range 1620 {
			c := ManyColour(sort)
			if !(image.Point{X: x, Y: y}).In(patch) {
				v := uint8(x/(40+20*sort)*83 + y/(30+25*sort)*57 + x*y>>9)
				c = color.RGBA{v, v, v, 255}
			}
			m.SetRGBA(x, y, c)
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: 92}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}
