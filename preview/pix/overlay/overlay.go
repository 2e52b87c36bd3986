package overlay

import (
	"math"

	"garner/preview/jpeg"
)

const (
	// FrameEdge is how long a frame's picture should be that another one is laid on.
	FrameEdge = 512

	pictureEdge = 256
	smallEdge   = 128
	least       = 64 // pixels of the smallest plane, up to twice as many

	leastPart   = 0.4  // a smaller part of a frame is not looked for
	stepOfParts = 0.96 // from one size that is tried to the next

	around  = 8    // pixels to each side against which one stands
	flat    = 4.0  // of 255: noise
	square  = 8    // pixels of the places that misfits are given for
	steps   = 8    // of least squares, on each size
	stretch = 0.12 // of its size, by which a picture may be stretched, slanted or turned: 7 degrees

	worthMore = 0.35 // agreement below which a picture is not looked at any closer

	moved = 0.5 // standard deviations by which what has not moved does not differ
)

// Picture is what is laid on others, or has others laid on it.
type Picture struct{ planes []plane }

// New takes a picture, upright.
func New(m *jpeg.Image) Picture { return Picture{planes(m, pictureEdge)} }

// NewFrame takes what pictures are laid on, upright, about FrameEdge pixels long.
func NewFrame(m *jpeg.Image) Picture { return Picture{planes(m, FrameEdge)} }

// NewSmall takes a picture, upright, to be laid on frames that are no larger than
// thumbnails.
func NewSmall(m *jpeg.Image) Picture { return Picture{planes(m, smallEdge)} }

// On lays the picture on a frame, as well as can be.
func (p Picture) On(frame Picture) Misfit {
	start := search(p.planes[len(p.planes)-1], frame.planes[len(frame.planes)-1])
	at := start
	for i := len(p.planes) - 1; i >= 0; i-- {
		var ok bool
		if at, ok = p.planes[i].settle(frame.planes, at, start); !ok {
			break
		}
	}
	return misfit(p.planes[0], frame.planes, at)
}

// Near lays the picture on a frame about where it is said to lie: its left and its upper
// edge and its width, as shares of the frame's width and height. That takes a fraction of
// the time; where they agree too little while they are small, it is left at that.
func (p Picture) Near(frame Picture, x, y, width float64) Misfit {
	i := len(p.planes) - 1
	start := searchNear(p.planes[i], frame.planes[len(frame.planes)-1], placed(p.planes[0], frame.planes[0], x, y, width))
	at := start
	for ; ; i-- {
		// Never the frame at its smallest that will do, or what is not cropped would be
		// compared with one size of it or another by a thousandth.
		under := frame.planes[:min(i+1, len(frame.planes))]
		var ok bool
		at, ok = p.planes[i].settle(under, at, start)
		if m := misfit(p.planes[i], under, at); i == 0 || !ok || m.Agree() < worthMore {
			return m
		}
	}
}

// There lays the picture on a frame just where it lies on another one. Frames that a camera on
// a stand took differ by what moved, not by how well the picture was laid on each.
func (p Picture) There(frame Picture, as Misfit) Misfit {
	return misfit(p.planes[0], frame.planes[:1], as.at)
}

// settle moves a picture until it fits. Where it goes too far from where it started, it
// goes back there.
func (p plane) settle(frame []plane, at, start place) (place, bool) {
	r := p.relief(around)
	for range steps {
		step, ok := fit(r, frame, at)
		if !ok {
			break
		}
		if at = at.after(step); !at.near(start) {
			return start, false
		}
		if step.small(1 / float64(10*r.long())) {
			break
		}
	}
	return at, true
}

// near reports whether a place is one that least squares should come to from another:
// further off they fit the picture to something that is as plain as it is not.
func (p place) near(start place) bool {
	for _, d := range []float64{p.xx - start.xx, p.xy, p.yx, p.yy - start.yy} {
		if math.Abs(d) > stretch*start.xx {
			return false
		}
	}
	return true
}

// small reports whether a step moves nothing by as much.
func (p place) small(by float64) bool {
	for _, v := range []float64{p.xx - 1, p.xy, p.x, p.yx, p.yy - 1, p.y} {
		if math.Abs(v) > by {
			return false
		}
	}
	return true
}

// fit is the step of least squares by which a picture lies better on a frame.
func fit(relief plane, frame []plane, at place) (place, bool) {
	under, has := at.under(frame, relief.w, relief.h)
	under = under.relief(around)
	var a [6][7]float64
	w, long := relief.w, float64(relief.long())
	for y := 1; y < relief.h-1; y++ {
		for x := 1; x < w-1; x++ {
			i := y*w + x
			if !has[i] {
				continue
			}
			d := float64(relief.v[i] - under.v[i])
			gx, gy := long*float64(under.v[i+1]-under.v[i-1])/2, long*float64(under.v[i+w]-under.v[i-w])/2
			weight := 1 / (1 + d*d/(moved*moved))
			u, v := (float64(x)+0.5)/long, (float64(y)+0.5)/long
			j := [6]float64{gx * u, gx * v, gx, gy * u, gy * v, gy}
			for r := range j {
				for c := r; c < 6; c++ {
					a[r][c] += weight * j[r] * j[c]
				}
				a[r][6] += weight * j[r] * d
			}
		}
	}
	for r := range a {
		for c := range r {
			a[r][c] = a[c][r]
		}
	}
	s, ok := solve(&a)
	if !ok {
		return place{}, false
	}
	return place{1 + s[0], s[1], s[2], s[3], 1 + s[4], s[5]}, true
}

// solve is Gauss's elimination with pivots.
func solve(a *[6][7]float64) (x [6]float64, ok bool) {
	for c := range 6 {
		p := c
		for r := c + 1; r < 6; r++ {
			if math.Abs(a[r][c]) > math.Abs(a[p][c]) {
				p = r
			}
		}
		if math.Abs(a[p][c]) < 1e-9 {
			return x, false
		}
		a[c], a[p] = a[p], a[c]
		for r := range 6 {
			if r != c {
				f := a[r][c] / a[c][c]
				for k := c; k < 7; k++ {
					a[r][k] -= f * a[c][k]
				}
			}
		}
	}
	for i := range x {
		x[i] = a[i][6] / a[i][i]
	}
	return x, true
}
