package lanes

import (
	"math"
	"math/rand/v2"
	"testing"
)

func randoms(r *rand.Rand, n int) []float32 {
	v := make([]float32, n)
	for i := range v {
		v[i] = 2*r.Float32() - 1
	}
	return v
}

// near holds values to what float64 makes of them: 1e-5 of the largest magnitude
// that went in, which is 1, for every thirty or so of them.
func near(t *testing.T, what string, got []float32, want []float64) {
	t.Helper()
	for i, v := range want {
		if !(math.Abs(float64(got[i])-v) < 1e-5) {
			t.Fatalf("%s: value %d is %g, not %g", what, i, got[i], v)
		}
	}
}

// Samples go into lanes and back to where they came from.
func TestGatherScatter(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 8))
	for n := 1; n < 60; n++ {
		full := up(n) * Width
		stride := full + r.IntN(5)
		src := randoms(r, (Width-1)*stride+full)
		lanes := make([]float32, full*Width)
		Gather(lanes, src, stride, n)
		back := make([]float32, len(src))
		Scatter(back, stride, lanes, n)
		for row := range Width {
			for i := range n {
				if v := src[row*stride+i]; lanes[i*Width+row] != v || back[row*stride+i] != v {
					t.Fatalf("%d samples: row %d, sample %d", n, row, i)
				}
			}
		}
	}
}

func randomTaps(r *rand.Rand, pixels, size int) *Taps {
	t := &Taps{N: 2 * (1 + r.IntN(min(12, size/2))), First: make([]int32, pixels)}
	t.Weight = randoms(r, pixels*t.N)
	for i := range t.Weight {
		t.Weight[i] /= float32(t.N)
	}
	for i := range t.First {
		t.First[i] = int32(100 + r.IntN(size-t.N+1))
	}
	return t
}

func TestAcrossAgainstDefinition(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 8))
	for range 100 {
		size, pixels := 2+r.IntN(60), 1+r.IntN(20)
		taps := randomTaps(r, pixels, size)
		src := randoms(r, size*pixel)
		from := r.IntN(pixels)
		to := from + r.IntN(pixels-from+1)
		got, want := make([]float32, (to-from)*pixel), make([]float64, (to-from)*pixel)
		Across(got, src, taps, from, to, 100)
		for i := range want {
			x, lane := from+i/pixel, i%pixel
			for k := range taps.N {
				want[i] += float64(taps.Weight[x*taps.N+k]) * float64(src[(int(taps.First[x])-100+k)*pixel+lane])
			}
		}
		near(t, "across", got, want)
	}
}

func TestDownAgainstDefinition(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 8))
	for n := range 200 {
		src, weight := randoms(r, 1000+n), randoms(r, 1+r.IntN(20))
		at := make([]int, len(weight))
		for k := range at {
			at[k] = r.IntN(1000)
			weight[k] /= float32(len(weight))
		}
		got, want := make([]float32, n), make([]float64, n)
		Down(got, src, at, weight)
		for i := range want {
			for k, w := range weight {
				want[i] += float64(w) * float64(src[at[k]+i])
			}
		}
		near(t, "down", got, want)
	}
}

// A curve meets its function at both ends and, drawn in straight pieces, everywhere
// else; what is outside is clipped.
func TestCurveAgainstFunction(t *testing.T) {
	f := func(x float64) float64 { return math.Pow(x, 1/2.4) }
	c := NewCurve(f)
	const n = 100_003
	src, got := make([]float32, n+5), make([]float32, n+5)
	for i := range n {
		src[i] = float32(i) / (n - 1)
	}
	inf := float32(math.Inf(1))
	copy(src[n:], []float32{-1, 2, inf, -inf, float32(math.NaN())})
	c.Apply(got, src)
	for i, v := range src[:n] {
		// Above 1/512 within 1/100,000; towards 0, where a power is steepest, 1/2,000.
		tolerance := 1e-5
		if v < 1.0/512 {
			tolerance = 5e-4
		}
		if want := f(float64(v)); !(math.Abs(float64(got[i])-want) < tolerance) {
			t.Fatalf("%g becomes %g, not %g", v, got[i], want)
		}
	}
	for i, want := range []float32{0, 1, 1, 0, 0} {
		if v := got[n+i]; v != want {
			t.Errorf("%g becomes %g, not %g", src[n+i], v, want)
		}
	}
	if got[0] != 0 || got[n-1] != 1 {
		t.Errorf("ends at %g and %g", got[0], got[n-1])
	}
}

func TestQuantise(t *testing.T) {
	src := []float32{0, 1, 0.5 / 255 * 0.999, 0.5 / 255 * 1.001, 127.4 / 255, 127.6 / 255, -1, 2, 3e38, -3e38, float32(math.Inf(1)), float32(math.Inf(-1)), float32(math.NaN())}
	want := []byte{0, 255, 0, 1, 127, 128, 0, 255, 255, 0, 255, 0, 0}
	for shift := range 9 { // each value in every lane and in what is left
		in := append(make([]float32, shift), src...)
		got := make([]byte, len(in))
		Quantise(got, in)
		for i, v := range want {
			if got[shift+i] != v {
				t.Errorf("%g at %d becomes %d, not %d", src[i], shift+i, got[shift+i], v)
			}
		}
	}
}
