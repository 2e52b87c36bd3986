package dct

import (
	"math/rand/v2"
	"testing"
)

// BenchmarkInverse gives the time of a block, in rows of 64: dense ones, ones
// with coefficients only in the top left 4x4, and ones of nothing but a mean,
// each as it runs here and in plain Go.
func BenchmarkInverse(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 1))
	var q Table
	for i := range q {
		q[i] = uint16(4 + i/8 + i%8)
	}
	sets := []struct {
		name string
		side int
		coef []Block
	}{{"dense", 8, make([]Block, 64)}, {"4x4", 4, make([]Block, 64)}, {"mean", 1, make([]Block, 64)}}
	for _, s := range sets {
		for k := range s.coef {
			for i := range Size {
				if i%8 < s.side && i/8 < s.side {
					s.coef[k][i] = int16(rng.IntN(41) - 20)
				}
			}
		}
	}
	dst := make([]byte, 8*512)
	for _, tr := range transforms {
		for _, s := range sets {
			b.Run(tr.name+"/"+s.name+"/"+Path(), func(b *testing.B) {
				for i := 0; i < b.N; i += 64 {
					tr.row(dst, 512, s.coef, &q)
				}
			})
			b.Run(tr.name+"/"+s.name+"/single", func(b *testing.B) {
				for i := 0; i < b.N; i++ {
					tr.one(dst[8*(i%64):], 512, &s.coef[i%64], &q)
				}
			})
			b.Run(tr.name+"/"+s.name+"/plain", func(b *testing.B) {
				for i := 0; i < b.N; i++ {
					tr.slow(dst[8*(i%64):], 512, &s.coef[i%64], &q)
				}
			})
		}
	}
}

// BenchmarkForward gives the time of a block, in rows of 64.
func BenchmarkForward(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 2))
	var q Table
	for i := range q {
		q[i] = uint16(4 + i/8 + i%8)
	}
	var z Quantiser
	z.Set(&q)
	src := make([]byte, 8*512)
	for i := range src {
		src[i] = byte(100 + rng.IntN(50))
	}
	coef, nonzero := make([]Block, 64), make([]uint64, 64)
	b.Run(Path(), func(b *testing.B) {
		for i := 0; i < b.N; i += 64 {
			ForwardRow(coef, nonzero, src, 512, &z)
		}
	})
	b.Run("plain", func(b *testing.B) {
		for i := 0; i < b.N; i++ {
			nonzero[i%64] = forwardGo(&coef[i%64], src[8*(i%64):], 512, &z)
		}
	})
}
