package paint

import "math"

// relief is the height field of a shape: its blurred silhouette. Wide relief is
// smooth, so one value serves a block of step×step pixels.
type relief struct {
	height []float32
	w, h   int // blocks
	step   int
	round  float32 // blur radius in blocks
}

// relief makes the height field of a mask. round is in pixels.
func (c *Canvas) relief(mask, line []float32, w, h, round int) relief {
	r := relief{w: w, h: h, step: 1, round: float32(round)}
	if round < 6 {
		r.height = grow(&c.work.height, w*h)
		copy(r.height, mask)
	} else {
		r.step, r.w, r.h, r.round = 2, (w+1)/2, (h+1)/2, float32(round)/2
		round /= 2
		r.height = grow(&c.work.height, r.w*r.h)
		for y := range r.h {
			a := mask[2*y*w : 2*y*w+w]
			b := mask[min(2*y+1, h-1)*w:][:w]
			out := r.height[y*r.w:][:r.w]
			for x := range out {
				i := min(2*x+1, w-1)
				out[x] = (a[2*x] + a[i] + b[2*x] + b[i]) / 4
			}
		}
	}
	boxMask(r.height, line, r.w, r.h, round, false)
	boxMask(r.height, line, r.w, r.h, max(round/2, 1), true)
	return r
}

// relieved gives the light that one row of blocks sends out.
func (c *Canvas) relieved(r relief, y int, color RGB, gloss float32) []RGB {
	if cap(c.work.row) < r.w {
		c.work.row = make([]RGB, r.w)
	}
	out := c.work.row[:r.w]
	l := c.Light
	row := r.height[y*r.w:][:r.w]
	above, below := r.height[max(y-1, 0)*r.w:][:r.w], r.height[min(y+1, r.h-1)*r.w:][:r.w]
	for x := range out {
		nx := (row[max(x-1, 0)] - row[min(x+1, r.w-1)]) * r.round
		ny := (above[x] - below[x]) * r.round
		nz := float32(1 / math.Sqrt(float64(1+nx*nx+ny*ny)))
		nx, ny = nx*nz, ny*nz
		v := color.Times(light(l, nx, ny, nz))
		// Light from behind catches only what turns away from the viewer.
		edge := (1 - nz) * max(nx*l.RimX+ny*l.RimY, 0)
		edge *= edge * 4
		shine := float32(0)
		if gloss > 0 {
			shine = max(nx*l.X*0.5+ny*l.Y*0.5+nz*(l.Z*0.5+0.5), 0)
			shine *= shine
			shine *= shine
			shine *= shine
			shine = shine * shine * gloss
		}
		for k := range v {
			v[k] += l.Rim[k]*edge*(0.12+color[k]) + l.Key[k]*shine
		}
		out[x] = v
	}
	return out
}

// light is what reaches a surface that faces n. The key wraps a little round
// the edge, as light from a window or a sky does.
func light(l Light, nx, ny, nz float32) RGB {
	key := max(nx*l.X+ny*l.Y+nz*l.Z+0.15, 0) / 1.15
	up := 0.5 - 0.5*ny
	var v RGB
	for k := range v {
		v[k] = l.Key[k]*key + l.Below[k] + (l.Above[k]-l.Below[k])*up
	}
	return v
}
