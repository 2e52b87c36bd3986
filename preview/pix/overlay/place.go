package overlay

import (
	"image"
	"math"
)

// place maps a point of a picture to one of the frame under it: both in units of their
// long edges, from the upper left corner.
type place struct{ xx, xy, x, yx, yy, y float64 }

func (p place) of(x, y float64) (float64, float64) {
	return p.xx*x + p.xy*y + p.x, p.yx*x + p.yy*y + p.y
}

// scale is how long the picture is on the frame, in units of their long edges.
func (p place) scale() float64 { return math.Sqrt(math.Abs(p.xx*p.yy - p.xy*p.yx)) }

// after is the map that does q first.
func (p place) after(q place) place {
	x, y := p.of(q.x, q.y)
	return place{
		xx: p.xx*q.xx + p.xy*q.yx, xy: p.xx*q.xy + p.xy*q.yy, x: x,
		yx: p.yx*q.xx + p.yy*q.yx, yy: p.yx*q.xy + p.yy*q.yy, y: y,
	}
}

// under is what of a frame lies under a picture of that size, and which of its pixels
// the frame has.
func (p place) under(frame []plane, w, h int) (plane, []bool) {
	long := float64(max(w, h))
	from := frame[0]
	for _, f := range frame[1:] { // the smallest that is fine enough
		if p.scale()*float64(f.long()) >= long {
			from = f
		}
	}
	size := float64(from.long())
	out, has := newPlane(w, h), make([]bool, w*h)
	for y := range h {
		for x := range w {
			var sum float32
			for i := range 4 { // a pixel of the picture may be nearly two of the frame
				u, v := p.of((float64(x)+0.25+0.5*float64(i&1))/long, (float64(y)+0.25+0.5*float64(i>>1))/long)
				sum += from.at(u*size-0.5, v*size-0.5)
			}
			out.v[y*w+x] = sum / 4
			u, v := p.of((float64(x)+0.5)/long, (float64(y)+0.5)/long)
			has[y*w+x] = u >= 0 && v >= 0 && u*size <= float64(from.w) && v*size <= float64(from.h)
		}
	}
	return out, has
}

// search finds about where a picture lies on a frame: the smallest planes of both.
func search(picture, frame plane) place {
	best, found := -2.0, place{}
	most := min(float64(frame.w)/float64(picture.w), float64(frame.h)/float64(picture.h))
	for part := 1.0; part >= leastPart; part *= stepOfParts {
		w, h := max(1, int(float64(picture.w)*most*part+0.5)), max(1, int(float64(picture.h)*most*part+0.5))
		w, h = min(w, frame.w), min(h, frame.h)
		small, _ := place{xx: 1, yy: 1}.under([]plane{picture}, w, h)
		x, y, c := small.correlate(frame, image.Rect(0, 0, frame.w-w+1, frame.h-h+1))
		if c > best {
			best, found = c, lies(picture, frame, x, y, most*part)
		}
	}
	return found
}

// nearSteps and nearPixels are how far about a place is searched: sizes to each side,
// and pixels of the smallest plane.
const (
	nearSteps  = 1
	nearPixels = 3
)

// searchNear is search about a place alone.
func searchNear(picture, frame plane, at place) place {
	best, found := -2.0, at
	size := at.xx * float64(frame.long()) / float64(picture.long())
	about := image.Pt(int(at.x*float64(frame.long())+0.5), int(at.y*float64(frame.long())+0.5))
	for step := -nearSteps; step <= nearSteps; step++ {
		scale := size * math.Pow(stepOfParts, float64(step))
		w, h := int(float64(picture.w)*scale+0.5), int(float64(picture.h)*scale+0.5)
		// A pixel more than the frame has is one that was rounded.
		if w < 1 || h < 1 || w > frame.w+1 || h > frame.h+1 {
			continue
		}
		w, h = min(w, frame.w), min(h, frame.h)
		small, _ := place{xx: 1, yy: 1}.under([]plane{picture}, w, h)
		within := image.Rect(-nearPixels, -nearPixels, nearPixels+1, nearPixels+1).Add(about).Intersect(image.Rect(0, 0, frame.w-w+1, frame.h-h+1))
		if x, y, c := small.correlate(frame, within); c > best {
			best, found = c, lies(picture, frame, x, y, scale)
		}
	}
	return found
}

// lies is the place of a picture of that size whose upper left corner is at a pixel of a frame.
func lies(picture, frame plane, x, y int, scale float64) place {
	size := float64(frame.long())
	z := float64(picture.long()) * scale / size
	return place{xx: z, yy: z, x: float64(x) / size, y: float64(y) / size}
}

// placed is the place of a picture that lies there, in shares of the frame's width and
// height.
func placed(picture, frame plane, x, y, width float64) place {
	size := float64(frame.long())
	z := width * float64(frame.w) / size * float64(picture.long()) / float64(picture.w)
	return place{xx: z, yy: z, x: x * float64(frame.w) / size, y: y * float64(frame.h) / size}
}

// correlate finds where on a frame a smaller plane fits best: its upper left corner is
// within a part of it.
func (p plane) correlate(frame plane, within image.Rectangle) (bestX, bestY int, best float64) {
	n := float64(len(p.v))
	var mean, norm float64
	for _, v := range p.v {
		mean += float64(v) / n
	}
	own := make([]float32, len(p.v))
	for i, v := range p.v {
		own[i] = v - float32(mean)
		norm += float64(own[i]) * float64(own[i])
	}
	best = -2
	for y := within.Min.Y; y < within.Max.Y; y++ {
		for x := within.Min.X; x < within.Max.X; x++ {
			var product, sum, squares float32
			for row := range p.h {
				a, b := own[row*p.w:][:p.w], frame.v[(y+row)*frame.w+x:][:p.w]
				for i, v := range b {
					product += a[i] * v
					sum += v
					squares += v * v
				}
			}
			variance := float64(squares) - float64(sum)*float64(sum)/n
			if c := float64(product) / math.Sqrt(max(1, variance)*max(1, norm)); c > best {
				bestX, bestY, best = x, y, c
			}
		}
	}
	return bestX, bestY, best
}
