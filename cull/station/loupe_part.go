package station

import (
	"context"
	"image"
	"math"

	"garner/preview"
	"garner/preview/jpeg"
	"garner/preview/pix"
)

// spot is a place in a picture, in parts of its width and height: that is the same
// place in pictures of any size.
type spot struct{ x, y float64 }

func spotOf(p, size image.Point) spot {
	if size.X <= 0 || size.Y <= 0 {
		return spot{0.5, 0.5}
	}
	return spot{(float64(p.X) + 0.5) / float64(size.X), (float64(p.Y) + 0.5) / float64(size.Y)}
}

// turned is where the spot comes to lie when the picture is turned clockwise by
// quarters.
func (s spot) turned(quarters int) spot {
	for range quarters {
		s = spot{1 - s.y, s.x}
	}
	return s
}

// sizeTurned is the size of a picture that is turned by quarters.
func sizeTurned(size image.Point, quarters int) image.Point {
	if quarters%2 == 1 {
		return image.Pt(size.Y, size.X)
	}
	return size
}

// part is a part of a picture that is shown at its own pixels. All of it is as the
// view is turned.
type part struct {
	rect image.Rectangle // in pixels of the picture
	size image.Point     // of the whole picture
	room image.Point     // of the place that it is shown in; what is left over stays black
}

// partAround is the part that fills the room with a spot as near to its middle as
// the picture's edges allow. A picture that is smaller than the room is seen whole.
func partAround(at spot, size, room image.Point) part {
	from := func(at float64, size, room int) int {
		shown := min(size, room)
		return min(max(int(math.Round(at*float64(size)-float64(shown)/2)), 0), size-shown)
	}
	min0 := image.Pt(from(at.x, size.X, room.X), from(at.y, size.Y, room.Y))
	return part{image.Rectangle{min0, min0.Add(image.Pt(min(size.X, room.X), min(size.Y, room.Y)))}, size, room}
}

// middle is the spot in the middle of the part.
func (p part) middle() spot {
	return spot{float64(p.rect.Min.X+p.rect.Max.X) / 2 / float64(p.size.X), float64(p.rect.Min.Y+p.rect.Max.Y) / 2 / float64(p.size.Y)}
}

// panned is the part a third of the room further on.
func (p part) panned(dx, dy int) part {
	step := p.rect.Add(image.Pt(dx*max(p.room.X/3, 1), dy*max(p.room.Y/3, 1)))
	move := image.Pt(max(-step.Min.X, 0)+min(p.size.X-step.Max.X, 0), max(-step.Min.Y, 0)+min(p.size.Y-step.Max.Y, 0))
	p.rect = step.Add(move)
	return p
}

// upright is the part's rectangle in the upright picture, whose view is turned
// clockwise by quarters.
func (p part) upright(quarters int) image.Rectangle {
	size := sizeTurned(p.size, quarters)
	return pix.Stored(p.rect, size.X, size.Y, turnedLike[quarters])
}

// bytes is about what making the part's picture holds: the decoded blocks, the
// part, the part turned and what it is put into.
func (p part) bytes() int64 {
	return 3 * (int64(p.rect.Dx()+64)*int64(p.rect.Dy()+64) + int64(p.room.X)*int64(p.room.Y))
}

// makeClose makes the picture of a part.
func makeClose(ctx context.Context, d *preview.Detail, p part, quarters int, over Overlay) (*jpeg.Image, error) {
	m, err := d.Crop(ctx, p.upright(quarters))
	if err != nil {
		return nil, err
	}
	return framed(over.draw(alone(turned(m, quarters))), p.room), nil
}

// alone is a picture that does not hold on to the planes of a larger one.
func alone(m *jpeg.Image) *jpeg.Image {
	if cap(m.Y) <= 2*m.Width*m.Height {
		return m
	}
	return copyOf(m)
}

// framed puts a picture that is smaller than the room into the middle of a black
// one of just that size, since the way to the screen would enlarge it.
func framed(m *jpeg.Image, room image.Point) *jpeg.Image {
	if m.Width >= room.X && m.Height >= room.Y {
		return m
	}
	out := &jpeg.Image{}
	out.Reset(max(room.X, m.Width), max(room.Y, m.Height), m.SubX, m.SubY, m.Grey())
	clear(out.Y)
	x, y := (out.Width-m.Width)/2/m.SubX*m.SubX, (out.Height-m.Height)/2/m.SubY*m.SubY
	inlay(out.Y, out.YStride, x, y, m.Y, m.YStride, m.Width, m.Height)
	if !m.Grey() {
		w, h := m.ChromaSize()
		for _, plane := range [2][2][]byte{{out.Cb, m.Cb}, {out.Cr, m.Cr}} {
			for i := range plane[0] {
				plane[0][i] = 128
			}
			inlay(plane[0], out.CStride, x/m.SubX, y/m.SubY, plane[1], m.CStride, w, h)
		}
	}
	out.Rows = out.Height
	return out
}

// inlay copies a plane of w by h samples into a larger one.
func inlay(dst []byte, dstStride, x, y int, src []byte, srcStride, w, h int) {
	for row := range h {
		copy(dst[(y+row)*dstStride+x:][:w], src[row*srcStride:])
	}
}

// cutOut is a part of a picture that is smaller than the whole that the part is
// of. It shares the picture's samples.
func cutOut(m *jpeg.Image, p part) *jpeg.Image {
	scale := func(at, size, to, sub int) int { return at * to / size / sub * sub }
	x0, y0 := scale(p.rect.Min.X, p.size.X, m.Width, m.SubX), scale(p.rect.Min.Y, p.size.Y, m.Height, m.SubY)
	w := max(1, min(p.rect.Dx()*m.Width/p.size.X, m.Width-x0))
	h := max(1, min(p.rect.Dy()*m.Height/p.size.Y, m.Height-y0))
	out := *m
	out.Width, out.Height, out.Rows, out.Truncated = w, h, h, false
	out.Y = m.Y[y0*m.YStride+x0:]
	if !m.Grey() {
		at := y0/m.SubY*m.CStride + x0/m.SubX
		out.Cb, out.Cr = m.Cb[at:], m.Cr[at:]
	}
	return &out
}
