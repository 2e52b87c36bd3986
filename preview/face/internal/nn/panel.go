package nn

// panelJob is the work on one panel: for each pixel, which starts at at[p] of in,
// rows runs of values that are step apart, times the panel's weights.
type panelJob struct {
	in              []float32
	at              []int
	rows, step, run int
	panel           []float32
	dst             []float32 // pixel p has its cols values at p*stride, the last ones end it
	stride, cols    int
	add             []float32 // likewise, what is added before the activation
	addStride       int
	addCols         int // 0 where there is none
	act             Act
}

// tile is the number of pixels that vector code has in its registers at a time.
const tile = 6

// panelGo is the work in plain Go: two pixels and four channels at a time.
func panelGo(j *panelJob) {
	for p := 0; p < len(j.at); p += 2 {
		q := min(p+1, len(j.at)-1) // the last pixel may stand alone: twice the same
		for o := 0; o < j.cols; o += 4 {
			s, t := j.quad(j.at[p], j.at[q], o)
			j.finish(p, o, s)
			j.finish(q, o, t)
		}
	}
}

// quad sums four channels of two pixels.
func (j *panelJob) quad(a, b, o int) (s, t [4]float32) {
	bias := j.panel[o : o+4]
	s0, s1, s2, s3 := bias[0], bias[1], bias[2], bias[3]
	t0, t1, t2, t3 := s0, s1, s2, s3
	for r := range j.rows {
		u := j.in[a+r*j.step:][:j.run]
		v := j.in[b+r*j.step:][:j.run]
		weights := j.panel[head+r*j.run*width+o:]
		for k, x := range u {
			y := v[k]
			w := weights[k*width:][:4]
			s0 += x * w[0]
			s1 += x * w[1]
			s2 += x * w[2]
			s3 += x * w[3]
			t0 += y * w[0]
			t1 += y * w[1]
			t2 += y * w[2]
			t3 += y * w[3]
		}
	}
	return [4]float32{s0, s1, s2, s3}, [4]float32{t0, t1, t2, t3}
}

// finish writes four channels of pixel p.
func (j *panelJob) finish(p, o int, s [4]float32) {
	for i, v := range s[:min(4, j.cols-o)] {
		if o+i < j.addCols {
			v += j.add[p*j.addStride+o+i]
		}
		j.dst[p*j.stride+o+i] = j.act.apply(v, j.panel[width+o+i])
	}
}
