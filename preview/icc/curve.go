package icc

import (
	"encoding/binary"
	"fmt"
	"math"
)

// This file reads tone curves: curveType and parametricCurveType (ICC.1:2022
// clause 10).

// maxSamples bounds a sampled curve; 4096 are the most that tables may have.
const maxSamples = 1 << 15

// tone is a curve from 0..1 to 0..1, the identity if it is empty.
type tone struct {
	samples []byte                  // numbers of width bytes, the highest for one, with straight lines between them
	width   int                     // 1 or 2
	f       func(x float64) float64 // where there are no samples
	raw     []byte                  // as it was read, to know it again

	// open formulas go on outside 0..1, as those inside of a lutAToBType do for Little CMS.
	open bool
}

// at is the curve's value; what lies outside 0..1, before or after it, is brought there
// unless the curve is open, and what is no number becomes 0.
func (t tone) at(x float64) float64 {
	n := t.count()
	if t.open && n == 0 {
		if t.f != nil {
			x = t.f(bound(x))
		}
		return bound(x)
	}
	x = clip(x)
	if t.f != nil {
		return clip(t.f(x))
	}
	if n < 2 {
		return x
	}
	place := x * float64(n-1)
	i := min(int(place), n-2)
	part := place - float64(i)
	return t.sample(i)*(1-part) + t.sample(i+1)*part
}

func (t tone) count() int {
	if t.width == 0 {
		return 0
	}
	return len(t.samples) / t.width
}

func (t tone) sample(i int) float64 {
	if t.width == 1 {
		return float64(t.samples[i]) / 255
	}
	return float64(binary.BigEndian.Uint16(t.samples[2*i:])) / 65535
}

func clip(v float64) float64 {
	if !(v > 0) { // not a number, too
		return 0
	}
	return min(v, 1)
}

// far is how far open curves go.
const far = 64

func bound(v float64) float64 {
	if v != v {
		return 0
	}
	return min(max(v, -far), far)
}

// curve fills in the linear light of the 256 code values.
func curve(to *[256]float64, b []byte) error {
	if len(b) < 12 {
		return FormatError("a primary without its curve")
	}
	t, _, err := readTone(b)
	if err == nil {
		fill(to, t.at)
	}
	return err
}

// fill sets the curve from a function of 0..1.
func fill(to *[256]float64, f func(x float64) float64) {
	for i := range to {
		to[i] = clip(f(float64(i) / 255))
	}
}

// readTone reads one curve and says how many bytes it has. The samples stay in b.
func readTone(b []byte) (t tone, size int, err error) {
	if len(b) < 12 {
		return tone{}, 0, FormatError("a curve of no length")
	}
	switch kind := string(b[:4]); kind {
	case "curv":
		t, size, err = sampled(b)
	case "para":
		t, size, err = parametric(b)
	default:
		err = UnsupportedError(fmt.Sprintf("curve of type %q", kind))
	}
	if err != nil {
		return tone{}, 0, err
	}
	t.raw = b[:size]
	return t, size, nil
}

// sampled reads a curveType: no entry is the identity, one is a gamma as a
// u8Fixed8Number, more are samples with straight lines between them.
func sampled(b []byte) (t tone, size int, err error) {
	count := int64(binary.BigEndian.Uint32(b[8:]))
	b = b[12:]
	if count > int64(len(b)/2) || count > maxSamples {
		return tone{}, 0, FormatError(fmt.Sprintf("a curve of %d entries in %d bytes", count, len(b)))
	}
	b = b[:2*count]
	switch count {
	case 0:
	case 1:
		if gamma := float64(binary.BigEndian.Uint16(b)) / 256; gamma != 1 {
			t.f = func(x float64) float64 { return power(x, gamma) }
		}
	default:
		t.samples, t.width = b, 2
	}
	return t, 12 + len(b), nil
}

// parametric reads a parametricCurveType, function types 0 to 4.
func parametric(b []byte) (t tone, size int, err error) {
	kind := int(binary.BigEndian.Uint16(b[8:]))
	counts := [...]int{1, 3, 4, 5, 7}
	if kind >= len(counts) {
		return tone{}, 0, UnsupportedError(fmt.Sprintf("parametric curve of type %d", kind))
	}
	size = 12 + 4*counts[kind]
	if len(b) < size {
		return tone{}, 0, FormatError("a parametric curve without its parameters")
	}
	var v [7]float64
	for i := range counts[kind] {
		v[i] = fixed(b[12+4*i:])
	}
	g, a, bb, c, d, e, f := v[0], v[1], v[2], v[3], v[4], v[5], v[6]
	switch kind {
	case 0:
		if g == 1 {
			return tone{}, size, nil
		}
		a, bb, c, d = 1, 0, 0, -far
	case 1: // 0 below -b/a
		c, d = 0, -bb/a
	case 2: // c is added everywhere
		e, f, c, d = c, c, 0, -bb/a
	}
	return tone{f: func(x float64) float64 {
		if x >= d {
			return power(a*x+bb, g) + e
		}
		return c*x + f
	}}, size, nil
}

// power is 0 for what is below zero.
func power(x, gamma float64) float64 {
	if x < 0 {
		return 0
	}
	return math.Pow(x, gamma)
}
