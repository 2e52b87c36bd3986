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

func acrossGo(dst, src []float32, first []int32, weight []float32, n, origin int) {
	for i, f := range first {
		out := (*[pixel]float32)(dst[i*pixel:])
		*out = [pixel]float32{}
		at := (int(f) - origin) * pixel
		for k, w := range weight[i*n:][:n] {
			if w == 0 {
				continue
			}
			for c, v := range (*[pixel]float32)(src[at+k*pixel:]) {
				out[c] += w * v
			}
		}
	}
}
