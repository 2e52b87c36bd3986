package nn

// Axis is a direction of a tensor.
type Axis uint8

const (
	Rows Axis = iota
	Columns
	Channels
)

// Concat sets tensors one after the other along an axis. dst must not be one of
// them.
func Concat(dst *Tensor, axis Axis, in ...*Tensor) error {
	if len(in) == 0 || axis > Channels {
		return shapeError("nothing to set in a row")
	}
	shape := [3]int{in[0].H, in[0].W, in[0].C}
	all := 0
	for _, t := range in {
		if err := t.check(); err != nil {
			return err
		}
		s := [3]int{t.H, t.W, t.C}
		if all += s[axis]; all > MaxValues {
			return shapeError("more than %d in a row", MaxValues)
		}
		s[axis] = shape[axis]
		if s != shape {
			return shapeError("%d x %d x %d in a row with %v", t.H, t.W, t.C, shape)
		}
	}
	shape[axis] = all
	if err := dst.Reset(shape[0], shape[1], shape[2]); err != nil {
		return err
	}
	// A tensor has its values in blocks, one for each place before the axis.
	blocks := 1
	for _, s := range shape[:axis] {
		blocks *= s
	}
	rest := dst.Data
	for b := range blocks {
		for _, t := range in {
			n := len(t.Data) / blocks
			rest = rest[copy(rest, t.Data[b*n:(b+1)*n]):]
		}
	}
	return nil
}

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
