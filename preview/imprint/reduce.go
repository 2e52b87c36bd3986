package imprint

import "math"

// resized returns the picture at another size, as colours that do not carry their
// alpha, and the mean luma of what can be seen, of 1. Rows are weighed into one at
// a time, so that little more than a row is in memory: a stamp is small and its
// picture may be large.
func (l *logo) resized(across, down int) (pix []byte, light float64) {
	pix = make([]byte, 4*across*down)
	row, sum := make([]float32, 4*l.width), make([]float32, 4*l.width)
	columns, rows := weigh(l.width, across), weigh(l.height, down)
	seen, luma := 0.0, 0.0
	for y := range down {
		clear(sum)
		for k, w := range rows[y].w {
			l.row(rows[y].first+k, row)
			for i, v := range row {
				sum[i] += float32(w * v)
			}
		}
		for x := range across {
			var c [4]float32
			for k, w := range columns[x].w {
				p := sum[4*(columns[x].first+k):][:4]
				for i := range c {
					c[i] += float32(w * p[i])
				}
			}
			a := min(max(c[3], 0), 1)
			to := pix[4*(y*across+x):][:4]
			to[3] = byte(float32(a*255) + 0.5)
			if to[3] == 0 {
				continue
			}
			for i := range 3 {
				to[i] = byte(float32(min(max(c[i]/a, 0), 1)*255) + 0.5)
			}
			seen += float64(a)
			luma += float64(a) * (0.299*float64(to[0]) + 0.587*float64(to[1]) + 0.114*float64(to[2])) / 255
		}
	}
	if seen > 0 {
		light = luma / seen
	}
	return pix, light
}

// weights are the samples that one result is made of; they add up to one.
type weights struct {
	first int
	w     []float32
}

// weigh lays the kernel of Catmull and Rom (Mitchell and Netravali 1988, B = 0,
// C = 1/2) over n samples for each of to results, widened where there are fewer
// results.
func weigh(n, to int) []weights {
	out := make([]weights, to)
	step := float64(n) / float64(to)
	wide := max(step, 1)
	for i := range out {
		middle := (float64(i)+0.5)*step - 0.5
		first, last := max(0, int(math.Ceil(middle-2*wide))), min(n-1, int(math.Floor(middle+2*wide)))
		w, sum := make([]float32, 0, last-first+1), 0.0
		for k := first; k <= last; k++ {
			v := catmullRom(math.Abs(float64(k)-middle) / wide)
			w, sum = append(w, float32(v)), sum+v
		}
		for k := range w {
			w[k] = float32(float64(w[k]) / sum)
		}
		out[i] = weights{first, w}
	}
	return out
}

func catmullRom(t float64) float64 {
	switch {
	case t < 1:
		return 1.5*t*t*t - 2.5*t*t + 1
	case t < 2:
		return -0.5*t*t*t + 2.5*t*t - 4*t + 2
	}
	return 0
}
