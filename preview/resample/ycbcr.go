package resample

import (
	"errors"

	"garner/preview/jpeg"
	"garner/preview/resample/internal/lanes"
)

// This file makes red, green and blue of the planes of a JPEG, as decoders do: by
// the matrix of JFIF 1.02 (BT.601, full range) in fixed point, with chroma that is
// stored at half the size interpolated by the triangle filter of libjpeg ("fancy
// upsampling"), in either direction three quarters of the nearer sample and one of
// the farther. Chroma at a quarter of the size is repeated. The codes are those of
// libjpeg to the bit.

// Planes gives the rows of a decoded JPEG as RGB. It is for one goroutine.
type Planes struct {
	m      *jpeg.Image
	cb, cr []byte // chroma of one row
}

// NewPlanes returns the rows of m, which must not change meanwhile.
func NewPlanes(m *jpeg.Image) (*Planes, error) {
	if !m.Valid() {
		return nil, errors.New("the planes do not hold the picture")
	}
	p := &Planes{m: m}
	if !m.Grey() {
		// Room for whole chroma samples at the end.
		p.cb, p.cr = make([]byte, m.Width+m.SubX), make([]byte, m.Width+m.SubX)
	}
	return p, nil
}

// Row writes row y to dst, three bytes for each pixel.
func (p *Planes) Row(dst []byte, y int) {
	m := p.m
	luma := m.Y[y*m.YStride:][:m.Width]
	if m.Grey() {
		for i, v := range luma {
			d := dst[3*i : 3*i+3 : 3*i+3]
			d[0], d[1], d[2] = v, v, v
		}
		return
	}
	p.chroma(p.cb, m.Cb, y)
	p.chroma(p.cr, m.Cr, y)
	lanes.RGB(dst, luma, p.cb, p.cr)
}

// chroma makes the row of a chroma plane that belongs to row y of luma.
func (p *Planes) chroma(dst, plane []byte, y int) {
	m := p.m
	w, h := m.ChromaSize()
	cy := y / m.SubY
	near := plane[cy*m.CStride:][:w]
	// What libjpeg interpolates: half the size across (unless there are no three
	// samples), down, or both.
	across, down := m.SubX == 2 && w > 2, m.SubY == 2
	if m.SubX > 2 || m.SubY > 2 || m.SubX == 2 && !across {
		repeat(dst, near, m.SubX)
		return
	}
	if !down {
		if across {
			lanes.Widen(dst, near)
		} else {
			copy(dst, near)
		}
		return
	}
	other, bias := max(cy-1, 0), uint16(1)
	if y%2 == 1 {
		other, bias = min(cy+1, h-1), 2
	}
	far := plane[other*m.CStride:][:w]
	if across {
		lanes.WidenBetween(dst, near, far)
		return
	}
	for i, v := range near {
		dst[i] = byte((3*uint16(v) + uint16(far[i]) + bias) >> 2)
	}
}

func repeat(dst, src []byte, n int) {
	for i, v := range src {
		for k := range n {
			dst[i*n+k] = v
		}
	}
}
