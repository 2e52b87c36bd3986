package nn

// Slice takes every step-th place from begin to before end along rows, columns and
// channels. dst must not share memory with in.
func Slice(dst, in *Tensor, begin, end, step [3]int) error {
	if err := in.check(); err != nil {
		return err
	}
	var n [3]int
	for i, size := range [3]int{in.H, in.W, in.C} {
		if begin[i] < 0 || end[i] > size || begin[i] >= end[i] || step[i] < 1 {
			return shapeError("no places from %d to %d of %d in steps of %d", begin[i], end[i], size, step[i])
		}
		n[i] = (end[i]-begin[i]-1)/step[i] + 1
	}
	if err := dst.Reset(n[0], n[1], n[2]); err != nil {
		return err
	}
	i := 0
	for y := range n[0] {
		for x := range n[1] {
			p := in.Data[((begin[0]+y*step[0])*in.W+begin[1]+x*step[1])*in.C:][:in.C]
			for c := begin[2]; c < end[2]; c += step[2] {
				dst.Data[i] = p[c]
				i++
			}
		}
	}
	return nil
}
