package term

import (
	"math/rand/v2"
	"testing"
)

func TestQuadrantBytes(t *testing.T) {
	m := grey(6, 2, 0)
	copy(m.Y, []byte{255, 0, 255, 255, 0, 0, 0, 0, 255, 0, 255, 255})
	p := NewPainter(Caps{TrueColor: true, CellWidth: 10, CellHeight: 10}, Quadrants, PainterOptions{})
	got := string(p.Paint(m, Area{0, 0, 3, 1}, Look{}))
	const want = "\x1b7\x1b[?7l\x1b[m\x1b[1;1H" +
		"\x1b[38;2;255;255;255m\x1b[48;2;0;0;0m▘▛▄" +
		"\x1b[m\x1b[m\x1b[?7h\x1b8"
	if got != want {
		t.Errorf("got  %q\nwant %q", got, want)
	}
}

// No other pair of colours and quarters comes nearer to a cell.
func TestQuadrantsAreTheBest(t *testing.T) {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	rnd := rand.New(rand.NewPCG(seed, 1))
	weight := [3]int32{3, 6, 2}
	off := func(c *cell, bits int) (sum int32) {
		front, back := c.mean(bits), c.mean(15-bits)
		for i, v := range c {
			s := back
			if bits>>i&1 != 0 {
				s = front
			}
			for k := range v {
				sum += weight[k] * (v[k] - s[k]) * (v[k] - s[k])
			}
		}
		return sum
	}
	for range 5000 {
		var c cell
		spread := 1 + rnd.Int32N(255)
		for i := range c {
			for k := range c[i] {
				c[i][k] = rnd.Int32N(spread)
			}
		}
		got := c.split()
		best := off(&c, 0)
		for bits := range 16 {
			best = min(best, off(&c, bits))
		}
		slack := int32(60) // the means are rounded
		if got == 0 {
			slack += 4 * 11 * 2 * 2
		}
		if d := off(&c, got); d > best+slack {
			t.Fatalf("%v: quarters %d are off by %d, the best by %d", c, got, d, best)
		}
	}
}
