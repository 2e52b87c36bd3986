package reach

import (
	"math"
	"math/rand/v2"
	"testing"
)

var order = func() (o [64]uint8) { // any order will do here
	for i := range o {
		o[i] = uint8(i)
	}
	return o
}()

func lasts(coef []Block) []uint8 {
	out := make([]uint8, len(coef))
	for i, b := range coef {
		for k, v := range b {
			if v != 0 {
				out[i] = uint8(k)
			}
		}
	}
	return out
}

// No block that is called tame has a sample beyond the range, by the sum of
// T.81 A.3.3 in floating point; and all paths agree.
func TestTameBlocksStayInRange(t *testing.T) {
	const seed = 5
	rnd := rand.New(rand.NewPCG(seed, seed))
	var cosine [8][8]float64
	for x := range 8 {
		for u := range 8 {
			cosine[x][u] = math.Cos(float64(2*x+1) * float64(u) * math.Pi / 16)
		}
		cosine[x][0] = math.Sqrt2 / 2
	}
	tame := 0
	for n := range 3000 {
		coef := make([]Block, 1+rnd.IntN(9))
		var q [64]uint16
		for i := range q {
			q[i] = uint16(1 + rnd.IntN(60))
			if n%5 == 0 {
				q[i] = uint16(rnd.Uint32())
			}
		}
		for b := range coef {
			for range rnd.IntN(12) {
				coef[b][rnd.IntN(64)] = int16(rnd.IntN(41) - 20)
				if n%5 == 0 {
					coef[b][rnd.IntN(64)] = int16(rnd.Uint32() >> rnd.IntN(16))
				}
			}
		}
		fast, plain := make([]byte, len(coef)), make([]byte, len(coef))
		Wild(fast, coef, lasts(coef), &q, &order)
		wildGo(plain, coef, lasts(coef), &q, &order)
		for b := range coef {
			if fast[b] != plain[b] {
				t.Fatalf("seed %d: block %v with steps %v: %s %d, in Go %d", seed, coef[b], q, Path(), fast[b], plain[b])
			}
			if plain[b] != 0 {
				continue
			}
			tame++
			for y := range 8 {
				for x := range 8 {
					sum := 0.0
					for i, c := range coef[b] {
						sum += float64(c*int16(q[i])) * cosine[x][i%8] * cosine[y][i/8] / 4
					}
					if math.Abs(sum) > 126 {
						t.Fatalf("seed %d: %v: %v at %d,%d", seed, coef[b], sum, x, y)
					}
				}
			}
		}
	}
	if tame < 1000 {
		t.Errorf("only %d blocks were tame", tame)
	}
}
