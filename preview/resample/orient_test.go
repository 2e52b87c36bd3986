package resample

import (
	"bytes"
	"image"
	"math/rand/v2"
	"slices"
	"testing"

	"garner/preview/jpeg"
	"garner/preview/pix"
)

// Every orientation is what the package pix makes of it, whose own tests hold it
// against pictures turned by others; and turning undoes itself.
func TestPlace(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for range 50 {
		w, h := 1+r.IntN(20), 1+r.IntN(20)
		m := &jpeg.Image{Width: w, Height: h, YStride: w, Y: make([]byte, w*h), SubX: 1, SubY: 1, Rows: h}
		for i := range m.Y {
			m.Y[i] = byte(r.Uint32())
		}
		for turn := range 10 {
			got := make([]byte, w*h*channels)
			var out picture
			out.w, out.h = UprightSize(w, h, turn)
			tr, err := NewTurner(w, h, turn, out.gather(t))
			if err != nil {
				t.Fatal(err)
			}
			for y := range h {
				row, value := make([]byte, w*channels), make([]float32, w*channels)
				for i := range row {
					row[i] = m.Y[y*w+i/channels] + byte(i%channels)
					value[i] = float32(row[i]) / 255
				}
				Place(got, w, h, turn, y, row)
				if err := tr.Push(value); err != nil {
					t.Fatal(err)
				}
			}
			if err := tr.Close(); err != nil {
				t.Fatal(err)
			}
			want := pix.Orient(m, turn)
			if want.Width != out.w || want.Height != out.h {
				t.Fatalf("%d x %d turned %d is %d x %d", w, h, turn, out.w, out.h)
			}
			for i, v := range got {
				if v != want.Y[i/channels]+byte(i%channels) {
					t.Fatalf("%d x %d turned %d: byte %d", w, h, turn, i)
				}
			}
			back := make([]byte, len(out.v))
			Quantise(back, out.v)
			if !bytes.Equal(back, got) {
				t.Fatalf("%d x %d turned %d row by row is another picture", w, h, turn)
			}
		}
	}
	tr, _ := NewTurner(2, 2, 6, func(int, []float32) error { return nil })
	if tr.Push(make([]float32, 6)) != nil || tr.Close() != ErrRows || tr.Push(make([]float32, 6)) != ErrRows {
		t.Error("half a picture was turned")
	}
}

// A part of a turned picture is the turned part.
func TestStoredPart(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 8))
	for range 200 {
		w, h, turn := 1+r.IntN(20), 1+r.IntN(20), r.IntN(10)
		upW, upH := UprightSize(w, h, turn)
		p := newPicture(w, h, func(x, y, c int) float64 { return float64(y*w + x) })
		upright := turnedPicture(t, p, turn)
		x, y := r.IntN(upW), r.IntN(upH)
		part := upright.part(rectangle(x, y, 1+r.IntN(upW-x), 1+r.IntN(upH-y)))
		crop := stored(rectangle(x, y, part.w, part.h), w, h, turn)
		if got := turnedPicture(t, p.part(crop), turn); !slices.Equal(got.v, part.v) {
			t.Fatalf("%d x %d turned %d: %v", w, h, turn, crop)
		}
	}
}

// turnedPicture turns whole numbers below 1<<16 in two bytes.
func turnedPicture(t *testing.T, p picture, turn int) picture {
	t.Helper()
	out := make([]byte, p.w*p.h*channels)
	for y := range p.h {
		row := make([]byte, p.w*channels)
		for x := range p.w {
			v := int(p.row(y)[x*channels])
			row[x*channels], row[x*channels+1] = byte(v), byte(v>>8)
		}
		Place(out, p.w, p.h, turn, y, row)
	}
	w, h := UprightSize(p.w, p.h, turn)
	return newPicture(w, h, func(x, y, c int) float64 {
		at := (y*w + x) * channels
		return float64(int(out[at]) + int(out[at+1])<<8)
	})
}

func rectangle(x, y, w, h int) image.Rectangle { return image.Rect(x, y, x+w, y+h) }
