package testterm

import (
	"image"
	"testing"
)

// BenchmarkPictureIn is the check of a whole screen of placeholders, which
// tests do after every key.
func BenchmarkPictureIn(b *testing.B) {
	g := New(200, 60)
	g.Write([]byte(chunks("i=42,f=24,s=30,v=40,q=2", rgb(ramp(30, 40))) + "\x1b_Ga=p,U=1,i=42,c=200,r=59,q=2\x1b\\" + cells(42, 200, 59)))
	for b.Loop() {
		if _, err := g.PictureIn(image.Rect(0, 0, 200, 59)); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkWrite is a frame of half blocks, every cell in its own colours.
func BenchmarkWrite(b *testing.B) {
	frame := []byte(halfBlocks(ramp(160, 104)))
	b.SetBytes(int64(len(frame)))
	g := New(160, 53)
	for b.Loop() {
		g.Write([]byte("\x1b[H"))
		g.Write(frame)
	}
}
