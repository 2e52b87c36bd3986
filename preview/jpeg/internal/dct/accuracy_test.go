package dct

import (
	"math"
	"math/rand/v2"
	"testing"
)

// inverseFloat is the inverse transform of T.81 A.3.3 in floating point,
// without level shift: f(y,x) = 1/4 sum Cu Cv F(v,u) cos cos.
func inverseFloat(f *[64]float64) (out [64]float64) {
	for y := range 8 {
		for x := range 8 {
			sum := 0.0
			for v := range 8 {
				for u := range 8 {
					sum += weight(u) * weight(v) * f[8*v+u] * basis(x, u) * basis(y, v)
				}
			}
			out[8*y+x] = sum / 4
		}
	}
	return out
}

var cosines = func() (c [8][8]float64) {
	for x := range 8 {
		for u := range 8 {
			c[x][u] = math.Cos(float64(2*x+1) * float64(u) * math.Pi / 16)
		}
	}
	return c
}()

func basis(x, u int) float64 { return cosines[x][u] }

func weight(u int) float64 {
	if u == 0 {
		return math.Sqrt2 / 2
	}
	return 1
}

// forwardFloat is the forward transform of T.81 A.3.3.
func forwardFloat(s *[64]float64) (out [64]float64) {
	for v := range 8 {
		for u := range 8 {
			sum := 0.0
			for y := range 8 {
				for x := range 8 {
					sum += s[8*y+x] * basis(x, u) * basis(y, v)
				}
			}
			out[8*v+u] = sum * weight(u) * weight(v) / 4
		}
	}
	return out
}

// boxes averages squares of n samples.
func boxes(s *[64]float64, n int) []float64 {
	out := make([]float64, 64/n/n)
	for y := range 8 {
		for x := range 8 {
			out[y/n*(8/n)+x/n] += s[8*y+x] / float64(n*n)
		}
	}
	return out
}

// The procedure of IEEE 1180-1990: blocks of random samples of three ranges
// and both signs are transformed in floating point and rounded; the inverse
// under test is held against the one in floating point. Its limits: peak error
// 1 sample, mean square error 0.06 for any sample and 0.02 over all, mean error
// 0.015 for any sample and 0.0015 over all; and zero gives zero. The standard
// wants 9 bits and a sign; samples here are bytes, so that its ranges of 256
// are those of a level-shifted byte and the clamp does not show.
func TestIEEE1180(t *testing.T) {
	for _, lim := range []int{5, 100} {
		for _, sign := range []float64{1, -1} {
			rng := rand.New(rand.NewPCG(uint64(lim), 1180))
			const rounds = 10000
			var sum, square [64]float64
			peak := 0.0
			for range rounds {
				var s [64]float64
				for i := range s {
					s[i] = sign * float64(rng.IntN(2*lim+1)-lim)
				}
				f := forwardFloat(&s)
				var coef Block
				for i := range f {
					f[i] = math.Round(f[i])
					coef[i] = int16(f[i])
				}
				want := inverseFloat(&f)
				var got [64]byte
				Inverse8(got[:], 8, &coef, &ones)
				for i := range got {
					e := float64(int(got[i])-128) - min(max(math.Round(want[i]), -128), 127)
					sum[i] += e
					square[i] += e * e
					peak = max(peak, math.Abs(e))
				}
			}
			all, allSquare := 0.0, 0.0
			for i := range sum {
				m, s := math.Abs(sum[i]/rounds), square[i]/rounds
				if m > 0.015 || s > 0.06 {
					t.Errorf("range %d sign %v: sample %d has mean error %.4f, mean square error %.4f", lim, sign, i, m, s)
				}
				all, allSquare = all+sum[i]/rounds/64, allSquare+s/64
			}
			if peak > 1 || allSquare > 0.02 || math.Abs(all) > 0.0015 {
				t.Errorf("range %d sign %v: peak %v, mean square error %.4f, mean error %.5f", lim, sign, peak, allSquare, all)
			}
			t.Logf("range %d sign %v: peak %v, mean square error %.4f, mean error %.5f", lim, sign, peak, allSquare, all)
		}
	}
}

var ones = func() (q Table) {
	for i := range q {
		q[i] = 1
	}
	return q
}()

// photo is a block as photographs have them: coefficients fall off with the
// frequency, and are quantised.
func photo(rng *rand.Rand, q *Table) (coef Block) {
	for i := range coef {
		reach := 800 / (1 + float64((i/8)*(i/8)+(i%8)*(i%8)))
		coef[i] = int16(math.Round(rng.NormFloat64() * reach / float64(q[i])))
	}
	return coef
}

// Every reduced sample is the mean of its box of the exact inverse, within one
// and far better than that in the mean.
func TestReducedIsTheBoxMean(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 2))
	for _, c := range []struct {
		name string
		n    int
		call func(dst []byte, stride int, coef *Block, q *Table)
	}{
		{"1/1", 1, Inverse8}, {"1/2", 2, Inverse4}, {"1/4", 4, Inverse2},
		{"1/8", 8, func(dst []byte, _ int, coef *Block, q *Table) { dst[0] = Inverse1(coef[0], q[0]) }},
	} {
		var square, count, peak float64
		for range 4000 {
			var q Table
			for i := range q {
				q[i] = uint16(1 + rng.IntN(24))
			}
			coef := photo(rng, &q)
			var f [64]float64
			for i := range f {
				f[i] = float64(coef[i]) * float64(q[i])
			}
			full := inverseFloat(&f)
			want := boxes(&full, c.n)
			side := 8 / c.n
			got := make([]byte, side*side)
			c.call(got, side, &coef, &q)
			for i := range want {
				e := float64(got[i]) - min(max(math.Round(want[i]+128), 0), 255)
				square, count, peak = square+e*e, count+1, max(peak, math.Abs(e))
			}
		}
		psnr := 10 * math.Log10(255*255/(square/count))
		t.Logf("%s: %.1f dB, peak %v", c.name, psnr, peak)
		if peak > 1 || psnr < 55 {
			t.Errorf("%s: %.1f dB, peak %v", c.name, psnr, peak)
		}
	}
}

// The constants of all transforms from their formulas.
func TestConstants(t *testing.T) {
	c := func(n float64) float64 { return math.Cos(n * math.Pi / 16) }
	r2 := math.Sqrt2
	for _, k := range []struct {
		name  string
		got   int
		exact float64
		bits  int
	}{
		{"rotC6", rotC6, r2 * c(6), 13}, {"rotC2mC6", rotC2mC6, r2 * (c(2) - c(6)), 13}, {"rotC2pC6", rotC2pC6, r2 * (c(2) + c(6)), 13},
		{"oddC3", oddC3, r2 * c(3), 13},
		{"oddA", oddA, r2 * (-c(1) + c(3) + c(5) - c(7)), 13}, {"oddB", oddB, r2 * (c(1) + c(3) - c(5) + c(7)), 13},
		{"oddC", oddC, r2 * (c(1) + c(3) + c(5) - c(7)), 13}, {"oddD", oddD, r2 * (c(1) + c(3) - c(5) - c(7)), 13},
		{"oddE", oddE, r2 * (c(3) - c(7)), 13}, {"oddF", oddF, r2 * (c(1) + c(3)), 13},
		{"oddG", oddG, r2 * (c(3) + c(5)), 13}, {"oddH", oddH, r2 * (c(3) - c(5)), 13},
		{"half2", half2, c(2), 14}, {"half6", half6, c(6), 14},
		{"half1p", half1p, r2 * c(2) * c(1), 14}, {"half7p", half7p, r2 * c(2) * c(7), 14},
		{"half3p", half3p, r2 * c(6) * c(3), 14}, {"half5p", half5p, r2 * c(6) * c(5), 14},
		{"half1q", half1q, r2 * c(6) * c(1), 14}, {"half7q", half7q, r2 * c(6) * c(7), 14},
		{"half3q", half3q, r2 * c(2) * c(3), 14}, {"half5q", half5q, r2 * c(2) * c(5), 14},
		{"quarter1", quarter1, c(2) * c(1), 15}, {"quarter7", quarter7, c(2) * c(7), 15},
		{"quarter3", quarter3, c(6) * c(3), 15}, {"quarter5", quarter5, c(6) * c(5), 15},
	} {
		if want := int(math.Round(k.exact * float64(int(1)<<k.bits))); k.got != want {
			t.Errorf("%s is %d, want %d", k.name, k.got, want)
		}
	}
}

// The matrix that vector code multiplies by is the one that butterflies has in
// factors: they agree modulo 2^32 on any values.
func TestOddMatrix(t *testing.T) {
	matrix := [4][4]int32{
		{odd01, odd03, odd05, odd07}, {odd11, odd13, odd15, odd17},
		{odd21, odd23, odd25, odd27}, {odd31, odd33, odd35, odd37},
	}
	const seed = 7
	rng := rand.New(rand.NewPCG(seed, 1))
	for range 1000 {
		x := [4]int32{int32(rng.Uint32()), int32(rng.Uint32()), int32(rng.Uint32()), int32(rng.Uint32())}
		_, _, _, _, o0, o1, o2, o3 := butterflies(0, x[0], 0, x[1], 0, x[2], 0, x[3])
		for n, got := range []int32{o0, o1, o2, o3} {
			want := int32(0)
			for k := range x {
				want += matrix[n][k] * x[k]
			}
			if got != want {
				t.Fatalf("o%d of %v is %d, by the matrix %d", n, x, got, want)
			}
		}
	}
}
