package nn

// panelJob is the work on one panel: for each pixel, which starts at at[p] of in,
// rows runs of values that are step apart, times the panel's weights.
type panelJob struct {
	in              []float32
	at              []int
	rows, step, run int
	panel           []float32
	dst             []float32 // pixel p has its cols values at p*stride
	stride, cols    int
	act             Act
	edge            []float32 // scratch
}

// panelGo is the work in plain Go: two pixels and four channels at a time.
func panelGo(j *panelJob) {
	for p := 0; p < len(j.at); p += 2 {
		a0 := j.at[p]
		a1 := j.at[min(p+1, len(j.at)-1)] // the last pixel stands alone: twice the same
		for o := 0; o < j.cols; o += 4 {
			bias, slope := j.panel[o:o+4], j.panel[width+o:width+o+4]
			var s, t [4]float32
			s0, s1, s2, s3 := bias[0], bias[1], bias[2], bias[3]
			t0, t1, t2, t3 := s0, s1, s2, s3
			weights := j.panel[head+o:]
			for r := range j.rows {
				u := j.in[a0+r*j.step:][:j.run]
				v := j.in[a1+r*j.step:][:j.run]
				part := weights[r*j.run*width:]
				for k, x := range u {
					y := v[k]
					w := part[k*width:][:4]
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
			s, t = [4]float32{s0, s1, s2, s3}, [4]float32{t0, t1, t2, t3}
			for i := range min(4, j.cols-o) {
				j.dst[p*j.stride+o+i] = j.act.apply(s[i], slope[i])
				if p+1 < len(j.at) {
					j.dst[(p+1)*j.stride+o+i] = j.act.apply(t[i], slope[i])
				}
			}
		}
	}
}
