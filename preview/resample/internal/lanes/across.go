package lanes

// Taps say of which samples of a line each sample of another one is made: of N
// neighbours from First on, weighed by Weight[i*N:][:N]. N is even.
type Taps struct {
	N      int
	First  []int32
	Weight []float32
}

const pixel = 3 * Width // values of a pixel of three channels in Width rows

// Across makes the pixels number from to to of a row. src are the pixels of a row
// from number origin on, Width rows side by side with three channels each, and so
// is dst from number from on.
func Across(dst, src []float32, t *Taps, from, to, origin int) {
	if from >= to {
		return
	}
	first, weight := t.First[from:to], t.Weight[from*t.N:to*t.N]
	_ = dst[(to-from)*pixel-1]
	for _, f := range first {
		at := (int(f) - origin) * pixel
		_ = src[at : at+t.N*pixel]
	}
	if !fastAcross(dst, src, first, weight, t.N, origin) {
		acrossGo(dst, src, first, weight, t.N, origin)
	}
}

// acrossGo sums Width values at a time, which processors keep in registers.
func acrossGo(dst, src []float32, first []int32, weight []float32, n, origin int) {
	for i, f := range first {
		at := (int(f) - origin) * pixel
		w := weight[i*n:][:n]
		for c := 0; c < pixel; c += Width {
			var a0, a1, a2, a3, a4, a5, a6, a7 float32
			from := src[at+c:]
			for k, w := range w {
				v := (*[Width]float32)(from[k*pixel:])
				a0, a1, a2, a3 = a0+w*v[0], a1+w*v[1], a2+w*v[2], a3+w*v[3]
				a4, a5, a6, a7 = a4+w*v[4], a5+w*v[5], a6+w*v[6], a7+w*v[7]
			}
			*(*[Width]float32)(dst[i*pixel+c:]) = [Width]float32{a0, a1, a2, a3, a4, a5, a6, a7}
		}
	}
}
