package face

import (
	"cmp"
	"context"
	"image"
	"slices"

	"garner/preview/jpeg"
	"garner/preview/pix"
)

const (
	// surely is the score from which something is taken for a face, the least that
	// MediaPipe's documents name (MIN_DETECTION_CONFIDENCE). Its graph for a camera
	// has 0.6 (min_score_thresh), which is for Unlikely to tell apart.
	surely = 0.5
	likely = 0.6
	// searchEdge is the long edge of the picture that is searched. The network sees
	// a face of 30 pixels there as one of 6 in the whole and as one of 10 in a part.
	searchEdge = 1024
	// partOfEdge is the edge of the four parts, by the long edge of the picture. They
	// overlap by what is left over, a tenth of it: twice as much as the largest face
	// that is seen in a part and not in the whole.
	partOfEdge = 0.55
	// nearBorder is two pixels of what the network sees.
	nearBorder = 2.0 / finderSide
	// mostFaces bounds what one picture gives.
	mostFaces = 256
)

// Find returns the faces of an upright picture in sRGB, the largest first and 256 at
// most. It looks at the whole and at four parts that overlap, at the detail that a long
// edge of 1024 pixels has: a smaller picture is good for fewer faces, a larger one for
// no more. The errors are of ctx, of a picture that is not valid, and of the network.
func (r *Reader) Find(ctx context.Context, m *jpeg.Image) ([]Found, error) {
	if !m.Valid() {
		return nil, errNoPicture
	}
	net, err := r.nets.finder()
	if err != nil {
		return nil, err
	}
	scale := 1.0
	if long := max(m.Width, m.Height); long > 3*searchEdge/2 { // below that, parts are made smaller in one step
		w := m.Width
		if m = pix.Fit(m, searchEdge); m.Width != w {
			scale = float64(w) / float64(m.Width)
		}
	}
	var all []sighting
	for _, part := range parts(m.Width, m.Height) {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		seen, err := r.look(net, m, part)
		if err != nil {
			return nil, err
		}
		all = append(all, seen...)
	}
	out := largest(merge(all))
	for i, f := range out {
		out[i] = f.In(scale, image.Point{})
	}
	return out, nil
}

// largest sorts faces by their size and leaves out what is too many.
func largest(all []Found) []Found {
	slices.SortStableFunc(all, func(a, b Found) int { return cmp.Compare(b.W*b.H, a.W*a.H) })
	return all[:min(len(all), mostFaces)]
}

// look runs the detector over a part of the picture.
func (r *Reader) look(net network, m *jpeg.Image, part image.Rectangle) ([]sighting, error) {
	to := letterbox(part)
	r.taker.take(net.input(), finderInput, m, to, black)
	out, err := net.run()
	if err != nil {
		return nil, err
	}
	coords, scores := ofLength(out, finderBoxes*finderCoords), ofLength(out, finderBoxes)
	if coords == nil || scores == nil {
		return nil, errOutput
	}
	return sightings(coords, scores, to, part, m.Width, m.Height), nil
}

// sightings are the faces that a run saw in a part of a w by h picture.
func sightings(coords, scores []float32, to move, part image.Rectangle, w, h int) []sighting {
	var seen []sighting
	for _, f := range decode(coords, scores, surely) {
		f = f.moved(to)
		if f.sane(float64(w), float64(h)) {
			seen = append(seen, sighting{f, f.cutBy(part, w, h)})
		}
	}
	return seen
}

// parts are the parts of a w by h picture that are looked at: all of it, and four
// that are as near to a square as the picture lets them, since the network sees
// squares.
func parts(w, h int) []image.Rectangle {
	whole := image.Rect(0, 0, w, h)
	side := int(float64(max(w, h))*partOfEdge + 0.5)
	if side < finderSide/2 {
		return []image.Rectangle{whole} // there is nothing more to be seen in them
	}
	pw, ph := min(side, w), min(side, h)
	out := []image.Rectangle{whole}
	for _, at := range []image.Point{{}, {w - pw, 0}, {0, h - ph}, {w - pw, h - ph}} {
		if p := image.Rect(0, 0, pw, ph).Add(at); !slices.Contains(out, p) {
			out = append(out, p)
		}
	}
	return out
}

// letterbox puts the square of the detector round a part, as large as it has to be
// to hold all of it.
func letterbox(part image.Rectangle) move {
	mid := Point{float64(part.Min.X+part.Max.X) / 2, float64(part.Min.Y+part.Max.Y) / 2}
	return square(finderSide, mid, float64(max(part.Dx(), part.Dy())), 0)
}

// moved is the face where a move without a turn puts it.
func (f Found) moved(to move) Found {
	at := to.of(Point{f.X, f.Y})
	f.X, f.Y, f.W, f.H = at.X, at.Y, f.W*to.scale(), f.H*to.scale()
	for i, p := range f.Points {
		f.Points[i] = to.of(p)
	}
	return f
}

// cutBy reports whether a border of the part that lies inside the picture goes
// through the face, or so near by that the face may go on behind it.
func (f Found) cutBy(part image.Rectangle, w, h int) bool {
	near := nearBorder * float64(max(part.Dx(), part.Dy()))
	return part.Min.X > 0 && f.X < float64(part.Min.X)+near || part.Min.Y > 0 && f.Y < float64(part.Min.Y)+near ||
		part.Max.X < w && f.X+f.W > float64(part.Max.X)-near || part.Max.Y < h && f.Y+f.H > float64(part.Max.Y)-near
}
