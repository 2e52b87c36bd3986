package nn

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
type fence struct {
	mem  []byte
	page int
}

func newFence(t *testing.T, pages int) *fence {
	page := os.Getpagesize()
	mem, err := syscall.Mmap(-1, 0, (pages+2)*page, syscall.PROT_READ|syscall.PROT_WRITE, syscall.MAP_ANON|syscall.MAP_PRIVATE)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { syscall.Munmap(mem) })
	if err := errors.Join(syscall.Mprotect(mem[:page], syscall.PROT_NONE), syscall.Mprotect(mem[len(mem)-page:], syscall.PROT_NONE)); err != nil {
		t.Fatal(err)
	}
	return &fence{mem[page : len(mem)-page], page}
}

// values are n of them, at the upper end or at the lower one.
func (f *fence) values(n int, upper bool) []float32 {
	all := unsafe.Slice((*float32)(unsafe.Pointer(&f.mem[0])), len(f.mem)/4)
	if upper {
		return all[len(all)-n:]
	}
	return all[:n:n]
}

func (f *fence) keep(v []float32, upper bool) []float32 {
	w := f.values(len(v), upper)
	copy(w, v)
	return w
}

// Every layer stays inside of its slices: input, result, what is added and weights
// lie between fences, and values around the result keep what they were.
func TestInsideSlices(t *testing.T) {
	const pages = 40
	fin, fout, fadd, fw, fb, fs := newFence(t, pages), newFence(t, pages), newFence(t, pages), newFence(t, 8*pages), newFence(t, 4), newFence(t, 4)
	r := rand.New(rand.NewPCG(5, 7))
	guard := float32(math.Inf(-1))
	for i := range rounds() {
		upper := i%2 == 0
		place := func(h, w, c int) *Tensor {
			all := fout.values(len(fout.mem)/4, true)
			for i := range all {
				all[i] = guard
			}
			return &Tensor{Data: fout.values(h*w*c, upper)}
		}
		check := func(dst *Tensor, err error) {
			if err != nil {
				t.Fatal(err)
			}
			all := fout.values(len(fout.mem)/4, true)
			outside := all[:len(all)-len(dst.Data)]
			if !upper {
				outside = all[len(dst.Data):]
			}
			if &dst.Data[0] != &fout.values(len(dst.Data), upper)[0] {
				t.Fatal("the result is elsewhere")
			}
			for i, v := range outside {
				if v != guard {
					t.Fatalf("value %d outside of the result was written: %g", i, v)
				}
			}
		}

		s, in := randomConv(r)
		c, err := NewConv(s)
		if err != nil {
			t.Fatal(err)
		}
		h, w, n, err := c.OutShape(in.H, in.W)
		if err != nil || h*w*n > pages*fin.page/4 {
			continue
		}
		in.Data, c.panels = fin.keep(in.Data, upper), fw.keep(c.panels, upper)
		dst := place(h, w, n)
		check(dst, c.Run(dst, in))
		add := randomTensor(r, h, w, 1+r.IntN(n))
		add.Data = fadd.keep(add.Data, upper)
		dst = place(h, w, n)
		check(dst, c.RunAdd(dst, in, add))

		ds, in := randomDepthwise(r)
		d, err := NewDepthwise(ds)
		if err != nil {
			t.Fatal(err)
		}
		h, w, n, err = d.OutShape(in.H, in.W)
		if err != nil {
			t.Fatal(err)
		}
		in.Data, d.weights = fin.keep(in.Data, upper), fw.keep(d.weights, upper)
		d.bias, d.slope = fb.keep(d.bias, upper), fs.keep(d.slope, upper)
		dst = place(h, w, n)
		check(dst, d.Run(dst, in))

		p, err := newPool(d.window, false, None)
		if err != nil {
			t.Fatal(err)
		}
		dst = place(h, w, in.C)
		check(dst, p.Run(dst, in))
	}
}
