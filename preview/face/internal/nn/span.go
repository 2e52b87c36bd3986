package nn

// span is a run of places along one side of a result whose windows reach equally
// far into the picture: one place at a border, all between the borders.
type span struct {
	at, n int // places
	first int // where the window of the first place begins in the picture
	count int // how much of the window is inside
	skip  int // how much of it comes before the picture
}

// spans lists the places along a side of size.
func (p Padding) spans(list []span, size, kernel, stride int) []span {
	out, before, _ := p.Out(size, kernel, stride)
	for i := range out {
		low := i*stride - before
		s := span{at: i, n: 1, first: max(low, 0), count: min(low+kernel, size) - max(low, 0), skip: max(-low, 0)}
		if last := len(list) - 1; s.count == kernel && last >= 0 && list[last].count == kernel {
			list[last].n++
			continue
		}
		list = append(list, s)
	}
	return list
}

// placesJob is the work on a run of places in one row of a result: a window of
// rows x cols places of the picture, advance values further for each of n.
type placesJob struct {
	src, dst    []float32
	n, advance  int
	rows, cols  int
	rowStep     int
	in, out     int // channels of a place
	weights     []float32
	weightStep  int // from row to row of weights
	bias, slope []float32
	act         Act
}

// run calls f for all places of a result, with src, dst and the sizes of the window
// set, and with what of the window is outside before it.
func (w window) run(dst, in *Tensor, s *scratch, f func(j *placesJob, skipRows, skipCols int)) {
	s.rows = w.pad.spans(s.rows[:0], in.H, w.kh, w.sh)
	s.cols = w.pad.spans(s.cols[:0], in.W, w.kw, w.sw)
	j := &s.job
	*j = placesJob{advance: w.sw * in.C, rowStep: in.W * in.C, in: in.C, out: dst.C}
	for _, r := range s.rows {
		for y := range r.n {
			row, from := dst.Row(r.at+y), (r.first+y*w.sh)*j.rowStep
			for _, c := range s.cols {
				j.n, j.rows, j.cols = c.n, r.count, c.count
				j.src = in.Data[from+c.first*in.C:][:(r.count-1)*j.rowStep+((c.n-1)*w.sw+c.count)*in.C]
				j.dst = row[c.at*dst.C:][:c.n*dst.C]
				f(j, r.skip, c.skip)
			}
		}
	}
	*j = placesJob{} // keeps no picture alive
}
