package pix

import (
	"image"
	"sync"

	"garner/preview/jpeg"
)

// This file makes the gradients that focus is measured with, at two scales: a fine
// one that blur takes away, and a coarse one that hardly changes, which says where
// the edges are and how they run.

// The smoothing before either gradient, as variances in square pixels: a binomial of
// five samples; a mean of six samples twice. A central difference adds that of a mean
// over two pixels. The mean is taken twice, so that no fine pattern is turned into its
// negative, as once or three times would do.
const (
	fineVariance   = 1 + difference
	coarseVariance = 2*35./12 + difference
	difference     = 1. / 3
)

// The planes are sums, not means: a slope of one a pixel gives these.
const (
	fineUnit   = 16 * 16 * 2
	coarseUnit = 36 * 36 * 2
)

// smoothed are the two planes, as large as the part, with the outermost samples
// repeated beyond its edges.
type smoothed struct {
	w, h         int
	fine, coarse []int32
}

// smooth smooths the part r of the luma of m, in memory that may be reused.
func (b *focusBuffers) smooth(m *jpeg.Image, r image.Rectangle) *smoothed {
	w, h := r.Dx(), r.Dy()
	planes := resized(&b.planes, 3*w*h)
	s := &smoothed{w, h, planes[:w*h], planes[w*h:][:w*h]}
	spare := planes[2*w*h:]
	const reach = 6
	line := make([]int32, 2*(w+2*reach))
	row, next := line[:w+2*reach], line[w+2*reach:]
	for y := range h {
		src := m.Y[(r.Min.Y+y)*m.YStride+r.Min.X:][:w]
		for i := range reach {
			row[i], row[reach+w+i] = int32(src[0]), int32(src[w-1])
		}
		for i, v := range src {
			row[reach+i] = int32(v)
		}
		binomial(spare[y*w:][:w], row[reach-2:])
		means(next, row[reach-5:], w+5)
		means(s.coarse[y*w:][:w], next, w)
	}
	for y := range h {
		at := func(y int) []int32 { return spare[min(max(y, 0), h-1)*w:][:w] }
		a, b, c, d, e := at(y-2), at(y-1), at(y), at(y+1), at(y+2)
		for x := range s.fine[y*w:][:w] {
			s.fine[y*w+x] = a[x] + e[x] + 4*(b[x]+d[x]) + 6*c[x]
		}
	}
	meansDown(spare, s.coarse, w, h, 3)
	meansDown(s.coarse, spare, w, h, 2)
	return s
}

// binomial weighs five samples by 1, 4, 6, 4 and 1.
func binomial(dst, src []int32) {
	src = src[:len(dst)+4]
	a, b, c, d := src[0], src[1], src[2], src[3]
	for i := range dst {
		e := src[i+4]
		dst[i] = a + e + 4*(b+d) + 6*c
		a, b, c, d = b, c, d, e
	}
}

// means writes the sums of n times six samples.
func means(dst, src []int32, n int) {
	src = src[:n+5]
	dst = dst[:n]
	sum := src[0] + src[1] + src[2] + src[3] + src[4]
	for i := range dst {
		sum += src[i+5]
		dst[i] = sum
		sum -= src[i]
	}
}

// meansDown writes the sums of six rows, of which so many lie above the row itself; the
// outermost are repeated.
func meansDown(dst, src []int32, w, h, above int) {
	at := func(y int) []int32 { return src[min(max(y, 0), h-1)*w:][:w] }
	sum := make([]int32, w)
	for y := -above; y < 5-above; y++ {
		for x, v := range at(y) {
			sum[x] += v
		}
	}
	for y := range h {
		add, less := at(y+5-above), at(y-above)
		to := dst[y*w:][:w]
		for x, v := range sum {
			v += add[x]
			to[x] = v
			sum[x] = v - less[x]
		}
	}
}

// focusBuffers is memory that measuring uses again: a part takes some 25 bytes a pixel.
type focusBuffers struct {
	planes    []int32
	gradients []gradient
}

var buffers = sync.Pool{New: func() any { return new(focusBuffers) }}

// resized gives a slice a length, with room that is kept. Its contents are left over.
func resized[T any](s *[]T, n int) []T {
	if cap(*s) < n {
		*s = make([]T, n)
	}
	return (*s)[:n]
}
