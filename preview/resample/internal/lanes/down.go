package lanes

// Down writes the weighed sum of rows to dst: dst[i] is the sum over k of
// weight[k]*src[at[k]+i].
func Down(dst, src []float32, at []int, weight []float32) {
	weight = weight[:len(at)]
	for _, a := range at {
		_ = src[a : a+len(dst)]
	}
	done := fastDown(dst, src, at, weight)
	downGo(dst, src, at, weight, done)
}

// downGo does the values number from on, four rows at a time.
func downGo(dst, src []float32, at []int, weight []float32, from int) {
	dst = dst[from:]
	n := len(dst)
	if n == 0 {
		return
	}
	clear(dst)
	row := func(k int) []float32 { return src[at[k]+from:][:n] }
	for ; len(weight) >= 4; at, weight = at[4:], weight[4:] {
		w0, w1, w2, w3 := weight[0], weight[1], weight[2], weight[3]
		a, b, c, d := row(0), row(1), row(2), row(3)
		for i := range dst {
			dst[i] += w0*a[i] + w1*b[i] + w2*c[i] + w3*d[i]
		}
	}
	for k, w := range weight {
		for i, v := range row(k) {
			dst[i] += w * v
		}
	}
}
