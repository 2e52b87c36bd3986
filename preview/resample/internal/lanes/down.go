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

// downGo does the values number from on.
func downGo(dst, src []float32, at []int, weight []float32, from int) {
	dst = dst[from:]
	if len(dst) == 0 {
		return
	}
	clear(dst)
	for k, w := range weight {
		row := src[at[k]+from:][:len(dst)]
		for i := range dst {
			dst[i] += w * row[i]
		}
	}
}
