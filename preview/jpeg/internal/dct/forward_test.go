package dct

import (
	"bytes"
	"math"
	"math/rand/v2"
	"testing"
)

// figureA6 is the zigzag order of T.81 figure A.6 from its rule: along the
// diagonals, the first of them upwards.
func figureA6() (natural [Size]int) {
	k := 0
	for d := range 15 {
		for i := range 8 {
			y, x := i, d-i
			if d%2 == 0 {
				y, x = d-i, i
			}
			if x >= 0 && x < 8 && y >= 0 && y < 8 {
				natural[k] = 8*y + x
				k++
			}
		}
	}
	return natural
}

func TestPlace(t *testing.T) {
	for k, n := range figureA6() {
		if want := n%8*8 + n/8; int(Place[k]) != want {
			t.Errorf("place %d is %d, want %d", k, Place[k], want)
		}
	}
}

// Every quotient of every divisor is the rounded one.
func TestQuantiserIsExact(t *testing.T) {
	for step := 1; step <= 255; step++ {
		var q Table
		for i := range q {
			q[i] = uint16(step)
		}
		var z Quantiser
		z.Set(&q)
		d := 8 * step
		for v := -9000; v <= 9000; v++ {
			want := (max(v, -v) + d/2) / d
			if v < 0 {
				want = -want
			}
			if got := z.quantise(int32(v), 5); int(got) != want {
				t.Fatalf("%d / %d is %d, want %d", v, d, got, want)
			}
		}
	}
}

// pictures are the samples that the forward transform is tried on.
var pictures = []struct {
	name string
	make func(rng *rand.Rand, s []byte)
}{
	{"noise", func(rng *rand.Rand, s []byte) {
		for i := range s {
			s[i] = byte(rng.Uint32())
		}
	}},
	{"black and white", func(rng *rand.Rand, s []byte) {
		for i := range s {
			s[i] = byte(-int(rng.Uint32() & 1))
		}
	}},
	{"flat", func(rng *rand.Rand, s []byte) {
		v := byte(rng.Uint32())
		for i := range s {
			s[i] = v
		}
	}},
	{"signs of a basis function", func(rng *rand.Rand, s []byte) {
		u, v, flip := rng.IntN(8), rng.IntN(8), rng.IntN(2) == 0
		for i := range s {
			s[i] = 0
			if (basis(i%8, u)*basis(i/8%8, v) > 0) != flip {
				s[i] = 255
			}
		}
	}},
	{"smooth", func(rng *rand.Rand, s []byte) {
		a, b := rng.IntN(9)-4, rng.IntN(9)-4
		for i := range s {
			s[i] = byte(128 + a*(i%8) + b*(i/8%8) + rng.IntN(3))
		}
	}},
}

// With steps of 1 a coefficient is the exact one, rounded: within one, and
// rarely off.
func TestForwardAccuracy(t *testing.T) {
	var z Quantiser
	z.Set(&ones)
	for _, p := range pictures {
		const seed = 3
		rng := rand.New(rand.NewPCG(seed, 3))
		off, peak := 0, 0.0
		const rounds = 2000
		for range rounds {
			var s [64]byte
			p.make(rng, s[:])
			var f [64]float64
			for i := range f {
				f[i] = float64(s[i]) - 128
			}
			want := forwardFloat(&f)
			var coef Block
			nonzero := Forward(&coef, s[:], 8, &z)
			for k, n := range figureA6() {
				got := coef[Place[k]]
				if e := math.Abs(float64(got) - want[n]); e > 0.5 {
					off, peak = off+1, max(peak, e)
				}
				if got != 0 != (nonzero>>k&1 == 1) {
					t.Fatalf("%s: place %d is %d, bit %d", p.name, k, got, nonzero>>k&1)
				}
			}
		}
		t.Logf("%s: %.3f %% not the nearest, at most %.3f away", p.name, float64(off)/rounds/64*100, peak)
		if peak > 0.75 || off > rounds*64/10 {
			t.Errorf("%s: %d of %d not the nearest, at most %.3f away", p.name, off, rounds*64, peak)
		}
	}
}

// checkForward holds blocks side by side against plain Go.
func checkForward(t *testing.T, src []byte, stride, n int, z *Quantiser) {
	t.Helper()
	src = src[: 7*stride+8*n : 7*stride+8*n]
	want, got := make([]Block, n+1), make([]Block, n+1)
	wantBits, gotBits := make([]uint64, n+1), make([]uint64, n+1)
	got[n][0], gotBits[n], want[n][0], wantBits[n] = 77, 77, 77, 77 // not to be touched
	before := bytes.Clone(src)
	for i := range n {
		wantBits[i] = forwardGo(&want[i], src[8*i:], stride, z)
		var coef Block
		if bits := Forward(&coef, src[8*i:7*stride+8*i+8], stride, z); coef != want[i] || bits != wantBits[i] {
			t.Fatalf("a single block by %s differs from plain Go:\n%v %x\n%v %x", Path(), coef, bits, want[i], wantBits[i])
		}
	}
	ForwardRow(got[:n], gotBits[:n], src, stride, z)
	for i := range got {
		if got[i] != want[i] || gotBits[i] != wantBits[i] {
			t.Fatalf("block %d of %d by %s differs from plain Go:\n%v %x\n%v %x", i, n, Path(), got[i], gotBits[i], want[i], wantBits[i])
		}
	}
	if !bytes.Equal(src, before) {
		t.Fatal("the samples were changed")
	}
}

func TestPathsGiveEqualBitsForward(t *testing.T) {
	for _, p := range pictures {
		t.Run(p.name, func(t *testing.T) {
			const seed = 21
			rng := rand.New(rand.NewPCG(seed, 8))
			for range 1000 {
				var q Table
				most := 1 + rng.IntN(255)
				for i := range q {
					q[i] = uint16(1 + rng.IntN(most))
				}
				var z Quantiser
				z.Set(&q)
				n := 1 + rng.IntN(5)
				stride := 8*n + rng.IntN(20)
				src := make([]byte, 8*stride)
				p.make(rng, src)
				checkForward(t, src, stride, n, &z)
			}
		})
	}
}

// FuzzForward is the same for any samples and steps.
func FuzzForward(f *testing.F) {
	f.Add([]byte{}, []byte{}, uint8(1))
	f.Add(bytes.Repeat([]byte{0, 255}, 300), []byte{1, 2, 3}, uint8(3))
	f.Fuzz(func(t *testing.T, src, steps []byte, n uint8) {
		var q Table
		for i := range min(len(steps), len(q)) {
			q[i] = uint16(steps[i])
		}
		var z Quantiser
		z.Set(&q)
		n = 1 + n%4
		full := make([]byte, 64*int(n))
		copy(full, src)
		checkForward(t, full, 8*int(n), int(n), &z)
	})
}
