package face

import (
	"context"
	"testing"
)

// What a network is given costs little beside the network. 1024 pixels of 4:2:0, one
// core.
func BenchmarkTake(b *testing.B) {
	m := painted(1024, 683, 2, 2, func(x, y int) byte { return byte(x ^ y) }, func(x, y int) byte { return byte(x) }, func(x, y int) byte { return byte(y) })
	p := parts(m.Width, m.Height)
	for _, c := range []struct {
		name string
		in   input
		to   move
	}{
		{"whole", finderInput, letterbox(p[0])},
		{"part", finderInput, letterbox(p[1])},
		{"mesh-100px", meshInput, square(meshSide, Point{500, 300}, 150, 0.2)},
		{"mesh-400px", meshInput, square(meshSide, Point{500, 300}, 600, 0.2)},
		{"chip-400px", chipInput, square(chipSide, Point{500, 300}, 600, 0.2)},
	} {
		b.Run(c.name, func(b *testing.B) {
			dst, t := make([]float32, c.in.side*c.in.side*3), new(taker)
			for b.Loop() {
				t.take(dst, c.in, m, c.to, black)
			}
		})
	}
}

// The networks with all round them, of a picture of 1024 x 683, on one core: what a
// frame costs and what each of its faces does.
func BenchmarkFace(b *testing.B) {
	r := New()
	m := painted(1024, 683, 2, 2, func(x, y int) byte { return byte(x ^ y) }, func(x, y int) byte { return byte(x) }, func(x, y int) byte { return byte(y) })
	f := at(400, 200, 200, 1).Found
	f.Points[0], f.Points[1] = Point{450, 270}, Point{550, 280}
	ctx := context.Background()
	e, err := r.Eyes(ctx, m, f)
	if err != nil {
		b.Fatal(err)
	}
	for i, p := range chipPoints {
		e.Chip[i] = Point{400 + 200*p.X, 200 + 200*p.Y}
	}
	b.Run("whole", func(b *testing.B) {
		net, err := r.nets.finder()
		if err != nil {
			b.Fatal(err)
		}
		for b.Loop() {
			if _, err := r.look(net, m, parts(m.Width, m.Height)[0]); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("find", func(b *testing.B) {
		for b.Loop() {
			if _, err := r.Find(ctx, m); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("eyes", func(b *testing.B) {
		for b.Loop() {
			if _, err := r.Eyes(ctx, m, f); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("template", func(b *testing.B) {
		for b.Loop() {
			if _, err := r.Template(ctx, m, e); err != nil {
				b.Fatal(err)
			}
		}
	})
}
