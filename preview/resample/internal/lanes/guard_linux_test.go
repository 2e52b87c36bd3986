package lanes

import (
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"syscall"
	"testing"
	"unsafe"
)

// A fence is memory between two pages that must not be touched: what reads or
// writes a byte beyond the values it got there ends the test.
type fence struct{ mem []byte }

func newFence(t *testing.T) fence {
	page := os.Getpagesize()
	size := 8 * page
	mem, err := syscall.Mmap(-1, 0, size+2*page, syscall.PROT_READ|syscall.PROT_WRITE, syscall.MAP_ANON|syscall.MAP_PRIVATE)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { syscall.Munmap(mem) })
	if err := errors.Join(syscall.Mprotect(mem[:page], syscall.PROT_NONE), syscall.Mprotect(mem[page+size:], syscall.PROT_NONE)); err != nil {
		t.Fatal(err)
	}
	return fence{mem[page : page+size]}
}

// put copies values to the upper end of the memory or to the lower one.
func put[T any](f fence, v []T, upper bool) []T {
	var one T
	all := unsafe.Slice((*T)(unsafe.Pointer(&f.mem[0])), len(f.mem)/int(unsafe.Sizeof(one)))
	to := all[:len(v):len(v)]
	if upper {
		to = all[len(all)-len(v):]
	}
	copy(to, v)
	return to
}

// guard is what lies around a result.
const guard = 12345

func (f fence) values() []float32 {
	return unsafe.Slice((*float32)(unsafe.Pointer(&f.mem[0])), len(f.mem)/4)
}

func (f fence) fill() {
	all := f.values()
	for i := range all {
		all[i] = guard
	}
}

// kept fails if anything was written around n values at an end.
func (f fence) kept(t *testing.T, what string, n int, upper bool) {
	t.Helper()
	all := f.values()
	outside := all[n:]
	if upper {
		outside = all[:len(all)-n]
	}
	for _, v := range outside {
		if v != guard {
			t.Fatalf("%s wrote %g outside of its %d values", what, v, n)
		}
	}
}

// Every function stays inside of its slices.
func TestInsideSlices(t *testing.T) {
	in, out, at, weight := newFence(t), newFence(t), newFence(t), newFence(t)
	r := rand.New(rand.NewPCG(4, 8))
	for i := range 400 {
		upper := i%2 == 0
		n := 1 + r.IntN(60)

		full := up(n) * Width
		stride := full + r.IntN(4)
		rows := put(in, randoms(r, (Width-1)*stride+full), upper)
		out.fill()
		side := put(out, make([]float32, full*Width), upper)
		Gather(side, rows, stride, n)
		out.kept(t, "Gather", len(side), upper)
		side = put(in, randoms(r, full*Width), upper)
		out.fill()
		rows = put(out, make([]float32, (Width-1)*stride+full), upper)
		Scatter(rows, stride, side, n)
		out.kept(t, "Scatter", len(rows), upper)

		size, pixels := 2+r.IntN(60), 1+r.IntN(20)
		taps := randomTaps(r, pixels, size)
		taps.First[0], taps.First[pixels-1] = int32(100+size-taps.N), 100
		taps.First, taps.Weight = put(at, taps.First, upper), put(weight, taps.Weight, upper)
		src := put(in, randoms(r, size*pixel), upper)
		out.fill()
		dst := put(out, make([]float32, pixels*pixel), upper)
		Across(dst, src, taps, 0, pixels, 100)
		out.kept(t, "Across", len(dst), upper)

		w := put(weight, randoms(r, 1+r.IntN(9)), upper)
		src = put(in, randoms(r, 100+n), upper)
		from := make([]int, len(w))
		for k := range from {
			from[k] = r.IntN(101)
		}
		from = put(at, from, upper)
		from[0], from[len(from)-1] = 100, 0
		out.fill()
		dst = put(out, make([]float32, n), upper)
		Down(dst, src, from, w)
		out.kept(t, "Down", n, upper)

		src = put(in, randoms(r, n), upper)
		src[0] = float32(math.Inf(1))
		c := put(at, []Curve{*NewCurve(math.Sqrt)}, upper)
		out.fill()
		dst = put(out, make([]float32, n), upper)
		c[0].Apply(dst, src)
		out.kept(t, "Apply", n, upper)

		out.fill()
		codes := put(out, make([]byte, 4*n), upper)
		Quantise(codes[:n], src)
		Quantise(codes[3*n:], src)
		empty(t, "Quantise", codes[n:3*n])
		out.kept(t, "Quantise", n, upper)

		near, far, other := put(in, randomBytes(r, n), upper), put(at, randomBytes(r, n), upper), put(weight, randomBytes(r, n), upper)
		out.fill()
		codes = put(out, make([]byte, 8*n), upper)
		RGB(codes[:3*n], near, far, other)
		RGB(codes[5*n:], near, far, other)
		empty(t, "RGB", codes[3*n:5*n])
		clear(codes)
		Widen(codes[:2*n], near)
		Widen(codes[6*n:], near)
		empty(t, "Widen", codes[2*n:6*n])
		clear(codes)
		WidenBetween(codes[:2*n], near, far)
		WidenBetween(codes[6*n:], near, far)
		empty(t, "WidenBetween", codes[2*n:6*n])
		out.kept(t, "a row of codes", 2*n, upper)
	}
}

func empty(t *testing.T, what string, codes []byte) {
	t.Helper()
	for _, v := range codes {
		if v != 0 {
			t.Fatalf("%s wrote beyond its codes", what)
		}
	}
}
