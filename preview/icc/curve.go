package icc

import (
	"encoding/binary"
	"fmt"
	"math"
)

// This file reads tone curves: curveType and parametricCurveType (ICC.1:2022
// clause 10).

// curve fills in the linear light of the 256 code values.
func curve(to *[256]float64, b []byte) error {
	if len(b) < 12 {
		return FormatError("a primary without its curve")
	}
	switch kind := string(b[:4]); kind {
	case "curv":
		return sampled(to, b)
	case "para":
		return parametric(to, b)
	default:
		return UnsupportedError(fmt.Sprintf("curve of type %q", kind))
	}
}

// fill sets the curve from a function of 0..1. What comes out of hostile
// parameters is brought into 0..1.
func fill(to *[256]float64, f func(x float64) float64) {
	for i := range to {
		v := f(float64(i) / 255)
		if !(v > 0) { // not a number, too
			v = 0
		}
		to[i] = min(v, 1)
	}
}

// sampled reads a curveType: no entry is the identity, one is a gamma as a
// u8Fixed8Number, more are samples with straight lines between them.
func sampled(to *[256]float64, b []byte) error {
	count := int64(binary.BigEndian.Uint32(b[8:]))
	b = b[12:]
	if count > int64(len(b)/2) {
		return FormatError(fmt.Sprintf("a curve of %d entries in %d bytes", count, len(b)))
	}
	at := func(i int) float64 { return float64(binary.BigEndian.Uint16(b[2*i:])) }
	switch count {
	case 0:
		fill(to, func(x float64) float64 { return x })
	case 1:
		gamma := at(0) / 256
		fill(to, func(x float64) float64 { return math.Pow(x, gamma) })
	default:
		last := int(count) - 1
		fill(to, func(x float64) float64 {
			place := x * float64(last)
			i := min(int(place), last-1)
			part := place - float64(i)
			return (at(i)*(1-part) + at(i+1)*part) / 65535
		})
	}
	return nil
}

// parametric reads a parametricCurveType, function types 0 to 4.
func parametric(to *[256]float64, b []byte) error {
	kind := int(binary.BigEndian.Uint16(b[8:]))
	counts := [...]int{1, 3, 4, 5, 7}
	if kind >= len(counts) {
		return UnsupportedError(fmt.Sprintf("parametric curve of type %d", kind))
	}
	b = b[12:]
	if len(b) < 4*counts[kind] {
		return FormatError("a parametric curve without its parameters")
	}
	var v [7]float64
	for i := range counts[kind] {
		v[i] = fixed(b[4*i:])
	}
	g, a, bb, c, d, e, f := v[0], v[1], v[2], v[3], v[4], v[5], v[6]
	switch kind {
	case 0:
		a, bb, c, d = 1, 0, 0, 0
	case 1: // 0 below -b/a
		c, d = 0, -bb/a
	case 2: // c is added everywhere
		e, f, c, d = c, c, 0, -bb/a
	}
	fill(to, func(x float64) float64 {
		if x >= d {
			return math.Pow(a*x+bb, g) + e
		}
		return c*x + f
	})
	return nil
}
