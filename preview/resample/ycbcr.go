package resample

import (
	"errors"

	"garner/preview/jpeg"
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
	cb, cr []byte   // chroma of one row
	sum    []uint16 // of two rows of chroma
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
		w, _ := m.ChromaSize()
		p.sum = make([]uint16, w)
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
	toRGB(dst, luma, p.cb, p.cr)
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
			widen(dst, near)
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
		for i, v := range near {
			p.sum[i] = 3*uint16(v) + uint16(far[i])
		}
		widenSums(dst, p.sum)
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

// widen makes two samples of each; both ends are kept.
func widen(dst, src []byte) {
	n := len(src)
	dst = dst[: 2*n : 2*n]
	dst[0], dst[2*n-1] = src[0], src[n-1]
	for i, b := range src[1:] {
		a := uint16(src[i])
		b := uint16(b)
		d := dst[2*i+1 : 2*i+3 : 2*i+3]
		d[0], d[1] = byte((3*a+b+2)>>2), byte((3*b+a+1)>>2)
	}
}

// widenSums does it with sums of two rows, four times as large.
func widenSums(dst []byte, src []uint16) {
	n := len(src)
	dst = dst[: 2*n : 2*n]
	dst[0], dst[2*n-1] = byte((4*src[0]+8)>>4), byte((4*src[n-1]+7)>>4)
	for i, b := range src[1:] {
		a := src[i]
		d := dst[2*i+1 : 2*i+3 : 2*i+3]
		d[0], d[1] = byte((3*a+b+7)>>4), byte((3*b+a+8)>>4)
	}
}

// The matrix of JFIF 1.02, p. 4, times 65536.
const (
	crToR, cbToB = 91881, 116130
	crToG, cbToG = -46802, -22554
	half         = 1 << 15
)

func toRGB(dst, luma, cb, cr []byte) {
	cb, cr = cb[:len(luma)], cr[:len(luma)]
	dst = dst[:3*len(luma)]
	for i, v := range luma {
		y, b, r := int32(v), int32(cb[i])-128, int32(cr[i])-128
		d := dst[3*i : 3*i+3 : 3*i+3]
		d[0] = clamp(y + (crToR*r+half)>>16)
		d[1] = clamp(y + (cbToG*b+crToG*r+half)>>16)
		d[2] = clamp(y + (cbToB*b+half)>>16)
	}
}

func clamp(v int32) byte {
	if uint32(v) > 255 {
		return byte(^(v >> 31)) // 0 below, 255 above
	}
	return byte(v)
}

// Table is the light of 8-bit codes, of red, green and blue.
type Table [channels][256]float32

// NewTable is the table of a function that takes codes, 0..1, to light.
func NewTable(decode func(code float64) float64) *Table {
	t := &Table{}
	for i := range 256 {
		v := float32(decode(float64(i) / 255))
		t[0][i], t[1][i], t[2][i] = v, v, v
	}
	return t
}

// Linear writes the light of codes to dst.
func (t *Table) Linear(dst []float32, rgb []byte) {
	r, g, b := &t[0], &t[1], &t[2]
	dst = dst[:len(rgb)]
	for i := 0; i+2 < len(rgb) && i+2 < len(dst); i += 3 {
		dst[i], dst[i+1], dst[i+2] = r[rgb[i]], g[rgb[i+1]], b[rgb[i+2]]
	}
}
