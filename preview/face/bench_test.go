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

// The networks with all round them, on one core: what a frame of 1024 x 683 costs, with
// one run for the whole and as Find does it, and what a face does in it.
func BenchmarkFace(b *testing.B) {
	r, ctx := New(), context.Background()
	frame := painted(1024, 683, 2, 2, func(x, y int) byte { return byte(x + y) }, func(x, y int) byte { return byte(x) }, func(x, y int) byte { return byte(y) })
	net, err := r.nets.finder()
	if err != nil {
		b.Fatal(err)
	}
	m := drawn()
	found, err := r.Find(ctx, m)
	if err != nil || len(found) != 1 {
		b.Fatal(len(found), err)
	}
	e, err := r.Eyes(ctx, m, found[0])
	if err != nil {
		b.Fatal(err)
	}
	for _, c := range []struct {
		name string
		do   func() error
	}{
		{"whole", func() error { _, err := r.look(net, frame, parts(frame.Width, frame.Height)[0]); return err }},
		{"find", func() error { _, err := r.Find(ctx, frame); return err }},
		{"eyes", func() error { _, err := r.Eyes(ctx, m, found[0]); return err }},
		{"template", func() error { _, err := r.Template(ctx, m, e); return err }},
	} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				if err := c.do(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
