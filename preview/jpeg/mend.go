package jpeg

import (
	"bytes"
	"errors"
	"image"
	"io"
)

// This file gets the good part out of a picture that ends too early or is
// broken inside, of those that are left to the standard library. image/jpeg
// gives all or nothing, so the data are cut where
// they end and continued with zero bits until the decoder is content. Zero bits
// are always a code (T.81 Annex C: the first code is all zeros), so that it
// never stumbles. Which rows came from the file and which from the zeros is
// seen by doing it twice with the cut moved: rows that are the same are real.

// margin is how far the second cut lies before the first, in bytes. Two cuts
// too near could agree by chance on rows that are not there.
const margin = 32

// zeroRun is the number of zero bytes at the end that are taken as never
// written: coded data with so many in a row do not occur.
const zeroRun = 16

var errNoRows = errors.New("no row is there")

// mend decodes what there is of src, which failed with cause. It returns the
// picture and how many rows of it are real; whole if nothing but the end marker
// was missing.
func (h *header) mend(src []byte, cause error) (m image.Image, rows int, whole bool, err error) {
	end, early := len(src), errors.Is(cause, io.ErrUnexpectedEOF) || errors.Is(cause, io.EOF)
	if !early {
		end = h.faultAt(src)
	}
	end = unpad(src[:end])
	if h.Progressive || len(h.scanning) == h.Components {
		if m, err := h.decode(ended(src[:end])); err == nil {
			return m, h.Height, early, nil
		}
	}
	if h.Progressive {
		if last := lastScan(src[:end], int(h.sos)); last > int(h.sos) {
			if m, err := h.decode(ended(src[:last])); err == nil {
				return m, h.Height, false, nil
			}
		}
	}
	if end <= int(h.scan)+margin {
		return nil, 0, false, errNoRows
	}
	a, err := h.decode(h.continued(src, end))
	if err != nil {
		return nil, 0, false, err
	}
	b, err := h.decode(h.continued(src, unpad(src[:end-margin])))
	if err != nil {
		return nil, 0, false, err
	}
	_, mcuHeight, _, _ := h.mcu()
	rows = sameRows(planes(a), planes(b))
	if rows < h.Height {
		rows -= rows % mcuHeight
	}
	if rows == 0 {
		return nil, 0, false, errNoRows
	}
	if len(h.scanning) != h.Components { // colour comes in later scans that are not there
		if y, ok := a.(*image.YCbCr); ok {
			a = &image.Gray{Pix: y.Y, Stride: y.YStride, Rect: y.Rect}
		}
	}
	return a, rows, false, nil
}

// ended returns src with an end marker behind it.
func ended(src []byte) io.Reader {
	return io.MultiReader(bytes.NewReader(src), bytes.NewReader([]byte{0xFF, 0xD9}))
}

// faultAt returns the offset up to which src decodes without a fault.
func (h *header) faultAt(src []byte) int {
	r := &dribble{src: src}
	_, err := h.decode(r)
	if err != nil {
		return max(0, r.at-lookahead)
	}
	return len(src)
}

// lookahead is how far the decoder may have read ahead of what it works on: a
// reservoir of four bytes and the two bytes of a marker, rounded up.
const lookahead = 8

// dribble hands out one byte at a time, so that its position says where the
// decoder stands.
type dribble struct {
	src []byte
	at  int
}

func (d *dribble) Read(p []byte) (int, error) {
	if d.at >= len(d.src) {
		return 0, io.EOF
	}
	n := copy(p[:min(len(p), 1)], d.src[d.at:])
	d.at += n
	return n, nil
}

// unpad returns the length of src without padding and without half a marker.
func unpad(src []byte) int {
	n := len(src)
	for n > 0 && src[n-1] == 0 {
		n--
	}
	if len(src)-n < zeroRun {
		n = len(src)
	}
	for n > 0 && src[n-1] == 0xFF {
		n--
	}
	return n
}

// lastScan returns the offset of the last SOS marker, from which on the data
// are incomplete.
func lastScan(src []byte, from int) int {
	last := from
	for i := from; i+1 < len(src); i++ {
		if src[i] == 0xFF && src[i+1] == 0xDA {
			last = i
		}
	}
	return last
}

// continued returns src up to end and then zeros, with the restart markers
// that are due, up to an end marker.
func (h *header) continued(src []byte, end int) io.Reader {
	head := bytes.NewReader(src[:end])
	eoi := ended(nil)
	_, _, across, down := h.mcu()
	if len(h.scanning) == 1 { // not interleaved: one block a unit (A.2.2)
		across, down = ceilDiv(h.Width, 8), ceilDiv(h.Height, 8)
	}
	units := int64(across) * int64(down)
	if h.interval == 0 {
		return io.MultiReader(head, io.LimitReader(zeros{}, units*h.zeroBytes()+64), eoi)
	}
	next := 0 // number of the restart marker that comes next (B.2.1: they count modulo 8)
	for i := end - 2; i >= int(h.scan); i-- {
		if src[i] == 0xFF && src[i+1] >= 0xD0 && src[i+1] <= 0xD7 {
			next = int(src[i+1]-0xD0) + 1
			break
		}
	}
	return io.MultiReader(head, &restarts{
		step: int64(h.interval)*h.zeroBytes() + 64,
		left: (units + int64(h.interval) - 1) / int64(h.interval),
		next: next,
	}, eoi)
}

// restarts is zeros with a restart marker after each interval.
type restarts struct {
	step, left, at int64 // bytes of one interval, intervals to go, bytes of this one given
	next           int
}

func (r *restarts) Read(p []byte) (int, error) {
	switch {
	case r.left == 0:
		return 0, io.EOF
	case r.at < r.step:
		n := int(min(int64(len(p)), r.step-r.at))
		clear(p[:n])
		r.at += int64(n)
		return n, nil
	case r.at == r.step:
		p[0] = 0xFF
	default:
		p[0] = byte(0xD0 + r.next%8)
		r.at, r.left, r.next = -1, r.left-1, r.next+1
	}
	r.at++
	return 1, nil
}

// zeroBytes returns how many zero bytes one unit of the first scan can take.
func (h *header) zeroBytes() int64 {
	bits := 0
	for _, c := range h.scanning {
		blocks := c.h * c.v
		if len(h.scanning) == 1 {
			blocks = 1
		}
		dc, ac := h.tables[0][c.dc], h.tables[1][c.ac]
		n := dc.bits + int(dc.symbol&15)
		if run, size := int(ac.symbol>>4), int(ac.symbol&15); !h.Progressive && ac.symbol != 0 {
			n += ceilDiv(63, run+1) * (ac.bits + size)
		} else {
			n += ac.bits
		}
		bits += blocks * n
	}
	return int64(bits/8 + 1)
}

// zeros is an endless supply of zero bytes.
type zeros struct{}

func (zeros) Read(p []byte) (int, error) {
	clear(p)
	return len(p), nil
}

// sameRows returns how many rows from the top are the same in both.
func sameRows(a, b *Image) int {
	if a.Width != b.Width || a.Height != b.Height || a.Grey() != b.Grey() {
		return 0
	}
	rows := 0
	for rows < a.Height && bytes.Equal(a.Y[rows*a.YStride:][:a.Width], b.Y[rows*b.YStride:][:b.Width]) {
		rows++
	}
	w, h := a.ChromaSize()
	for y := range h {
		if !bytes.Equal(a.Cb[y*a.CStride:][:w], b.Cb[y*b.CStride:][:w]) ||
			!bytes.Equal(a.Cr[y*a.CStride:][:w], b.Cr[y*b.CStride:][:w]) {
			return min(rows, y*a.SubY)
		}
	}
	return rows
}
