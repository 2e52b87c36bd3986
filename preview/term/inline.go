package term

import (
	"encoding/base64"
	"strconv"

	"garner/preview/jpeg"
	"garner/preview/pix"
)

// inline shows pictures as JPEG files inside of the text, OSC 1337 File=
// (iterm2.com/documentation-images.html; doNotMoveCursor is wezterm.org's, and
// others overlook it). The terminal unpacks and scales them, so a picture's own
// bytes go through as they are where they are at hand.
type inline struct{}

const (
	// maxFile bounds the bytes that are passed on as they are, and so does a
	// byte for each pixel that is seen: a rendition has less. A larger JPEG would
	// take longer on its way and to unpack than a smaller one takes to make.
	maxFile       = 3 << 19 // 1.5 MiB
	inlineQuality = 90
)

func (inline) grid(w, h float64) grid { return grid{w, h, 1, 1, 1} }

func (inline) prepare(e *easel, s *sheet) (load, error) {
	file := s.jpeg
	if len(file) == 0 || len(file) > min(maxFile, s.pw*s.ph) || s.look != (Look{}) {
		m := pix.ResizeInto(&e.scaled, s.picture, s.pw, s.ph)
		if s.look.Dim {
			m = dimmed(&e.dimmed, m)
		}
		if e.stopped() {
			return load{}, errStopped
		}
		out, err := jpeg.AppendEncode(e.out[:0], m, inlineQuality)
		if err != nil {
			return load{}, err
		}
		e.out, file = out, out
	}
	// As wide or as high as the cells, whichever it fills; the other follows from
	// its shape. Not all terminals take both for the limits that they are.
	width, height := strconv.Itoa(s.cols), "auto"
	if s.w*s.ph > s.h*s.pw {
		width, height = "auto", strconv.Itoa(s.rows)
	}
	head := "\x1b]1337;File=inline=1;size=" + strconv.Itoa(len(file)) + ";width=" + width + ";height=" + height +
		";preserveAspectRatio=1;doNotMoveCursor=1:"
	data := make([]byte, 0, len(head)+base64.StdEncoding.EncodedLen(len(file))+1)
	data = base64.StdEncoding.AppendEncode(append(data, head...), file)
	data = append(data, bel)
	return load{data: data, size: int64(len(data))}, nil
}

func (inline) show(o *ink, s *sheet, at spot) {
	at.clearAround(o, s.layout)
	o.move(at.cells.Col, at.cells.Row)
	o.out = append(o.out, s.load.data...)
}

// dimmed makes the dim twin of a picture: half as bright, half as colourful, the
// line through it.
func dimmed(dst, m *jpeg.Image) *jpeg.Image {
	dst.Reset(m.Width, m.Height, m.SubX, m.SubY, m.Grey())
	dst.Rows = m.Rows
	for y := range m.Height {
		out := dst.Y[y*dst.YStride:]
		for x, v := range m.Y[y*m.YStride:][:m.Width] {
			out[x] = v / 2
		}
	}
	w, h := m.ChromaSize()
	for y := range h {
		cb, cr := dst.Cb[y*dst.CStride:], dst.Cr[y*dst.CStride:]
		for x := range w {
			cb[x], cr[x] = m.Cb[y*m.CStride+x]/2+64, m.Cr[y*m.CStride+x]/2+64
		}
	}
	s := newStroke(m.Width, m.Height)
	for y := range m.Height {
		s.row(y, func(x int, v byte) {
			dst.Y[y*dst.YStride+x] = v
			if !m.Grey() {
				c := y/m.SubY*dst.CStride + x/m.SubX
				dst.Cb[c], dst.Cr[c] = 128, 128
			}
		})
	}
	return dst
}
