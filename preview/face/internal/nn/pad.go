package nn

// Pad sets values around a picture: as many rows, columns and channels before and
// after it as sizes says, in this order.
func Pad(dst, in *Tensor, sizes [3][2]int, value float32) error {
	if err := in.check(); err != nil {
		return err
	}
	for _, s := range sizes {
		if s[0] < 0 || s[1] < 0 || s[0] > MaxValues || s[1] > MaxValues {
			return shapeError("cannot pad by %d and %d", s[0], s[1])
		}
	}
	before, after := sizes[2][0], sizes[2][1]
	if err := dst.Reset(in.H+sizes[0][0]+sizes[0][1], in.W+sizes[1][0]+sizes[1][1], in.C+before+after); err != nil {
		return err
	}
	rest := dst.Data
	// set fills the next n values.
	set := func(n int) {
		part := rest[:n]
		for i := range part {
			part[i] = value
		}
		rest = rest[n:]
	}
	set(sizes[0][0] * dst.W * dst.C)
	for y := range in.H {
		row := in.Row(y)
		set(sizes[1][0] * dst.C)
		if before+after == 0 {
			rest = rest[copy(rest, row):]
		} else {
			for x := 0; x < len(row); x += in.C {
				set(before)
				rest = rest[copy(rest, row[x:x+in.C]):]
				set(after)
			}
		}
		set(sizes[1][1] * dst.C)
	}
	set(len(rest))
	return nil
}
