package like

import (
	"context"
	"math/rand/v2"
	"slices"
	"sync"
	"testing"

	"garner/preview/jpeg"
)

// spots are a picture of its own: squares of many tones.
func spots(seed uint64) *jpeg.Image {
	r := rand.New(rand.NewPCG(seed, 5))
	m := &jpeg.Image{}
	m.Reset(256, 171, 1, 1, true)
	for range 150 {
		fill(m, r.IntN(256)-10, r.IntN(171)-10, 4+r.IntN(40), 4+r.IntN(40), byte(r.IntN(256)))
	}
	return m
}

// Of very many frames few are looked at, of each moment few, and more of those moments that
// the picture fits on.
func TestCloserIsBounded(t *testing.T) {
	p, err := NewPicture(spots(1))
	if err != nil {
		t.Fatal(err)
	}
	own, other := spots(1), spots(2)
	const moments = 100
	// The frames of a moment follow on one another; the picture shows those of the first one
	// and of two more.
	list := make([]*Match, 0, 5*moments)
	for range cap(list) {
		list = append(list, &Match{Bits: float64(len(list)) / 50, lies: lies{width: 1}})
	}
	for _, c := range []struct {
		name   string
		moment func(i int) any
		want   int // frames looked at
	}{
		{"bursts of five", func(i int) any { return i / 5 }, mostLooked + 3*2},
		{"one long burst", func(int) any { return 0 }, mostOfMoment + mostMore},
		{"each by itself", func(i int) any { return i }, mostLooked},
	} {
		for _, m := range list {
			m.Looked, m.Agrees = false, 0
		}
		var mu sync.Mutex
		var asked []int
		if err := p.Closer(t.Context(), list, c.moment, func(_ context.Context, i int) *jpeg.Image {
			mu.Lock()
			defer mu.Unlock()
			asked = append(asked, i)
			if k := c.moment(i); k == 0 || k == 14 || k == 15 {
				return own
			}
			return other
		}); err != nil {
			t.Fatal(err)
		}
		slices.Sort(asked)
		if len(asked) != c.want || len(slices.Compact(slices.Clone(asked))) != len(asked) {
			t.Errorf("%s: %d were looked at, want %d: %v", c.name, len(asked), c.want, asked)
		}
		for i, m := range list {
			if m.Looked != slices.Contains(asked, i) {
				t.Errorf("%s: %d is said to have been looked at: %v", c.name, i, m.Looked)
			}
		}
	}
}

// Frames of one place are compared where the picture fits best: one that it was laid badly on
// agrees as well as the same one that it was laid well on.
func TestCloserLaysOnceMore(t *testing.T) {
	p, err := NewPicture(spots(1))
	if err != nil {
		t.Fatal(err)
	}
	m := part(spots(1), 0, 0, 0.99, 0.99) // the picture reaches a little out of it
	list := []*Match{{lies: lies{width: 1}}, {lies: lies{x: 0.03, y: 0.02, width: 0.97}}}
	if err := p.Closer(t.Context(), list, func(i int) any { return i }, func(context.Context, int) *jpeg.Image { return m }); err != nil {
		t.Fatal(err)
	}
	if a, b := list[0].Agrees, list[1].Agrees; a != b || a < 0.8 {
		t.Errorf("%.6f and %.6f", a, b)
	}
}

// Without thumbnails nothing is said.
func TestCloserWithoutThumbs(t *testing.T) {
	p, err := NewPicture(spots(1))
	if err != nil {
		t.Fatal(err)
	}
	list := []*Match{{Bits: 1}, {Bits: 2}}
	if err := p.Closer(t.Context(), list, func(i int) any { return i }, func(context.Context, int) *jpeg.Image { return nil }); err != nil || list[0].Looked || list[1].Looked {
		t.Errorf("%+v, %+v, %v", *list[0], *list[1], err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if err := p.Closer(ctx, list, func(i int) any { return i }, func(context.Context, int) *jpeg.Image { return nil }); err == nil {
		t.Error("it goes on though nobody wants it")
	}
}

func TestNearer(t *testing.T) {
	want := []Match{
		{Bits: 24, Looked: true, Agrees: 0.9},
		{Bits: 3, Looked: true, Agrees: 0.8},
		{Bits: 4, Looked: true, Agrees: 0.8},
		{Bits: 2, Looked: true, Agrees: 0.1},
		{Bits: 5},
		{Bits: 6, Looked: true, Agrees: 0.4},
		{Bits: 7, Agrees: 0.9}, // nobody looked
	}
	got := slices.Clone(want)
	for range 20 {
		rand.Shuffle(len(got), func(i, k int) { got[i], got[k] = got[k], got[i] })
		slices.SortFunc(got, func(a, b Match) int { return Nearer(&a, &b) })
		if !slices.Equal(got, want) {
			t.Fatalf("%+v", got)
		}
	}
}
