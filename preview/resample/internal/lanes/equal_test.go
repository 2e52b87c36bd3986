package lanes

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
	"testing"
)

// FuzzEqual holds what runs here to plain Go: moved values and whole numbers in their
// bits, sums to 1e-5 of what went in.
func FuzzEqual(f *testing.F) {
	for seed := range uint64(60) {
		f.Add(seed, []byte{byte(seed), 255, 0, 127, 128, 0, 192, 127})
	}
	f.Fuzz(func(t *testing.T, seed uint64, values []byte) {
		r := rand.New(rand.NewPCG(seed, 8))
		n := 1 + r.IntN(150)

		stride := up(n)*Width + r.IntN(9)
		src := randoms(r, Width*stride)
		job := transposeJob{dst: make([]float32, up(n)*Width*Width), src: src, dstRow: Width, dstStep: Width * Width, srcRow: stride, srcStep: Width, blocks: up(n)}
		plain := job
		plain.dst = make([]float32, len(job.dst))
		transpose(job)
		plain.plain()
		same(t, "transpose", job.dst, plain.dst, 0)

		size, pixels := 2+r.IntN(60), 1+r.IntN(20)
		taps := randomTaps(r, pixels, size)
		in := randoms(r, size*pixel)
		a, b := make([]float32, pixels*pixel), make([]float32, pixels*pixel)
		Across(a, in, taps, 0, pixels, 100)
		acrossGo(b, in, taps.First, taps.Weight, taps.N, 100)
		same(t, "across", a, b, 1e-5)

		rows := randoms(r, 500+n)
		weight := randoms(r, 1+r.IntN(20))
		at := make([]int, len(weight))
		for k := range at {
			at[k] = r.IntN(500)
		}
		a, b = make([]float32, n), make([]float32, n)
		Down(a, rows, at, weight)
		downGo(b, rows, at, weight, 0)
		same(t, "down", a, b, 1e-4)

		// Any bits at all through the curve and into codes.
		in = randoms(r, n)
		for i := range in {
			if len(values) < 4 {
				break
			}
			in[i], values = math.Float32frombits(binary.LittleEndian.Uint32(values)), values[4:]
		}
		c := NewCurve(math.Sqrt)
		c.Apply(a, in)
		c.plain(b, in)
		same(t, "curve", a, b, 1e-6)
		p, q := make([]byte, n), make([]byte, n)
		Quantise(p, in)
		quantiseGo(q, in)
		sameCodes(t, "quantise", p, q)

		near, far, other := randomBytes(r, n), randomBytes(r, n), randomBytes(r, n)
		p, q = make([]byte, 3*n), make([]byte, 3*n)
		RGB(p, near, far, other)
		rgbGo(q, near, far, other)
		sameCodes(t, "RGB", p, q)
		Widen(p[:2*n], near)
		widenGo(q[:2*n], near)
		sameCodes(t, "widen", p[1:2*n-1], q[1:2*n-1])
		WidenBetween(p[:2*n], near, far)
		widenBetweenGo(q[:2*n], near, far)
		sameCodes(t, "widen between", p[1:2*n-1], q[1:2*n-1])
	})
}

func sameCodes(t *testing.T, what string, a, b []byte) {
	t.Helper()
	for i := range a {
		if a[i] != b[i] {
			t.Fatalf("%s: %d of %d is %d and %d", what, i, len(a), a[i], b[i])
		}
	}
}

func same(t *testing.T, what string, a, b []float32, tolerance float64) {
	t.Helper()
	for i, v := range a {
		if !(math.Abs(float64(v)-float64(b[i])) <= tolerance) {
			t.Fatalf("%s: value %d of %d is %g and %g", what, i, len(a), v, b[i])
		}
	}
}
