package testface

import "fmt"

// Picture returns a square picture for a network: rows of pixels of three values from
// 0 to 1. It is made from whole numbers and is the same as in pictures.mjs: "noise";
// "waves", slopes; "face", a drawing, and "four", four small ones.
func Picture(name string, side int) []float32 {
	out := make([]float32, 3*side*side)
	seed := uint32(1)
	for i := range out {
		seed = seed*1664525 + 1013904223
		x, y, c := i/3%side, i/3/side, i%3
		switch name {
		case "noise":
			out[i] = float32(seed>>8) / (1 << 24)
		case "waves":
			out[i] = share(wave(5*x + 3*y + 40*c))
		case "face":
			out[i] = share(drawing(x*192/side, y*192/side)[c])
		case "four":
			out[i] = share(drawing(2*x%side*192/side, 2*y%side*192/side)[c])
		default:
			panic(fmt.Sprintf("no picture %q", name))
		}
	}
	return out
}

func share(n int) float32 { return float32(float64(n) / 255) }

// wave goes up and down between 0 and 255.
func wave(n int) int {
	n %= 510
	if n < 256 {
		return n
	}
	return 510 - n
}

// drawing is a head with hair, eyes, nose and mouth in a field of 192 x 192.
func drawing(x, y int) [3]int {
	round := func(cx, cy, rx, ry int) bool {
		return (x-cx)*(x-cx)*ry*ry+(y-cy)*(y-cy)*rx*rx < rx*rx*ry*ry
	}
	shade := max(x-96, 96-x)/4 + max(y-100, 100-y)/8
	is := [3]int{90, 110, 130}
	if round(96, 84, 60, 70) {
		is = [3]int{50, 36, 28}
	}
	if round(96, 100, 50, 64) {
		is = [3]int{214 - shade, 170 - shade, 148 - shade}
	}
	for _, ex := range []int{75, 117} {
		if round(ex, 76, 14, 3) {
			is = [3]int{70, 50, 40}
		}
		if round(ex, 88, 11, 6) {
			is = [3]int{235, 232, 228}
		}
		if round(ex, 88, 5, 5) {
			is = [3]int{60, 40, 30}
		}
		if round(ex, 88, 2, 2) {
			is = [3]int{5, 5, 5}
		}
	}
	if round(96, 110, 5, 14) {
		is = [3]int{190, 140, 120}
	}
	if round(90, 122, 3, 2) || round(102, 122, 3, 2) {
		is = [3]int{110, 70, 60}
	}
	if round(96, 140, 20, 6) {
		is = [3]int{170, 80, 80}
	}
	if round(96, 140, 17, 1) {
		is = [3]int{90, 40, 40}
	}
	return is
}
