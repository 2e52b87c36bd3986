package jpeg

import (
	"fmt"
	"io"
)

// This file walks the marker segments before the first scan: ITU-T T.81 Annex
// B (B.1.1.3 marker codes, B.2.2 frame header, B.2.3 scan header, B.2.4.4
// restart interval), and the application segments that decide on colour.

// Info is what the headers of a JPEG say.
type Info struct {
	Width, Height int
	Components    int  // 1 grey, 3 colour, 4 CMYK
	Precision     int  // bits a sample
	Progressive   bool // SOF2
}

// Config reads the headers of the JPEG that lies at off in r and is length
// bytes long. It reads a few KiB, whatever the length fields say.
func Config(r io.ReaderAt, off, length int64) (Info, error) {
	h, err := readHeader(io.NewSectionReader(r, off, length), length)
	if err != nil {
		return Info{}, err
	}
	return h.Info, nil
}

type header struct {
	Info
	comps    []component
	interval int               // MCUs between restart markers, 0 = none
	tables   [2][4]huffmanSpec // class (0 DC, 1 AC), destination
	quant    [4]quantisation   // by destination
	jfif     bool              // APP0 of JFIF
	adobe    int               // the transform of Adobe's APP14, -1 = none
	sos      int64             // offset of the first SOS marker
	scan     int64             // offset of the first coded byte
	scanning []component       // components of the first scan, with their tables
	stop     <-chan struct{}   // see Options.Stop

	compStore, scanStore [4]component // what comps and scanning lie in
}

type component struct {
	id, h, v int
	place    int // in the frame header
	tq       int // quantisation table
	dc, ac   int // table destinations in the first scan
}

const (
	maxSegments = 512      // before the first scan; real files have about a dozen
	windowSize  = 4 << 10  // bytes of one read
	maxHeader   = 16 << 20 // from SOI to the first scan: ICC profiles and Exif at their largest
)

// window reads a file through one small buffer.
type window struct {
	r     io.ReaderAt
	size  int64
	start int64
	buf   []byte
	err   error
}

// bytes returns n bytes at off, or nil and a sticky error.
func (w *window) bytes(off int64, n int) []byte {
	if w.err != nil || off < 0 || n > windowSize || off+int64(n) > w.size {
		w.fail(io.ErrUnexpectedEOF)
		return nil
	}
	if off < w.start || off+int64(n) > w.start+int64(len(w.buf)) {
		if w.buf == nil {
			w.buf = make([]byte, windowSize)
		}
		w.start, w.buf = off, w.buf[:windowSize]
		got, err := w.r.ReadAt(w.buf[:min(windowSize, w.size-off)], off)
		w.buf = w.buf[:got]
		if got < n {
			w.fail(err)
			return nil
		}
	}
	i := int(off - w.start)
	return w.buf[i : i+n]
}

func (w *window) fail(err error) {
	if w.err == nil {
		w.err = err
	}
}

func headerOf(src []byte) (*header, error) {
	h := &header{}
	return h, h.parse(src)
}

// parse sets h to what the headers of src say.
func (h *header) parse(src []byte) error {
	*h = header{}
	return h.read(&window{size: int64(len(src)), buf: src})
}

func readHeader(r io.ReaderAt, size int64) (*header, error) {
	h := &header{}
	return h, h.read(&window{r: r, size: size})
}

func (h *header) read(w *window) error {
	if b := w.bytes(0, 2); b == nil || b[0] != 0xFF || b[1] != 0xD8 {
		if w.err != nil && w.err != io.ErrUnexpectedEOF && w.err != io.EOF {
			return w.err
		}
		return FormatError("no SOI marker")
	}
	h.comps, h.scanning, h.adobe = h.compStore[:0], h.scanStore[:0], -1
	at := int64(2)
	for n := 0; n < maxSegments && at < maxHeader; n++ {
		b := w.bytes(at, 4)
		if b == nil {
			return headerCut(w.err)
		}
		if b[0] != 0xFF {
			return FormatError(fmt.Sprintf("no marker at offset %d", at))
		}
		code, length := b[1], int64(b[2])<<8|int64(b[3])
		if code == 0xFF { // fill byte, B.1.1.2
			at++
			continue
		}
		if code == 0xD9 || code < 0xC0 || code >= 0xD0 && code <= 0xD8 || length < 2 {
			return FormatError(fmt.Sprintf("marker %#x before the first scan", code))
		}
		if err := h.segment(w, code, at+4, length-2); err != nil {
			return err
		}
		if code == 0xDA {
			h.sos, h.scan = at, at+2+length
			if h.Width == 0 {
				return FormatError("scan before the frame header")
			}
			return nil
		}
		at += 2 + length
	}
	return FormatError("too many segments before the first scan")
}

func headerCut(err error) error {
	if err == io.ErrUnexpectedEOF || err == io.EOF {
		return FormatError("ends inside its headers")
	}
	return err
}

func (h *header) segment(w *window, code byte, at, n int64) error {
	var err error
	switch code {
	case 0xC0, 0xC1, 0xC2:
		err = h.frame(w.bytes(at, int(min(n, 64))), code)
	case 0xC3, 0xC5, 0xC6, 0xC7, 0xC9, 0xCA, 0xCB, 0xCD, 0xCE, 0xCF:
		return UnsupportedError(fmt.Sprintf("frame type SOF%d", code-0xC0))
	case 0xC4:
		err = h.huffman(w, at, n)
	case 0xDB:
		err = h.quantisation(w, at, n)
	case 0xE0:
		if n >= 5 {
			h.jfif = h.jfif || string(w.bytes(at, 5)) == "JFIF\x00"
		}
	case 0xEE: // "Adobe", version, two flags of 16 bits, transform
		if n >= 12 {
			if b := w.bytes(at, 12); b != nil && string(b[:5]) == "Adobe" {
				h.adobe = int(b[11])
			}
		}
	case 0xDD:
		if b := w.bytes(at, 2); b != nil {
			h.interval = int(b[0])<<8 | int(b[1])
		}
	case 0xDA:
		err = h.scanHeader(w.bytes(at, int(min(n, 64))))
	}
	if w.err != nil {
		return headerCut(w.err)
	}
	return err
}

func (h *header) frame(b []byte, code byte) error {
	if len(b) < 6 {
		return FormatError("short frame header")
	}
	if h.Width != 0 {
		return FormatError("two frame headers")
	}
	h.Precision, h.Progressive = int(b[0]), code == 0xC2
	h.Height, h.Width = int(b[1])<<8|int(b[2]), int(b[3])<<8|int(b[4])
	h.Components = int(b[5])
	switch {
	case h.Width == 0 || h.Height == 0:
		return FormatError("no pixels")
	case h.Components != 1 && h.Components != 3 && h.Components != 4:
		return UnsupportedError(fmt.Sprintf("%d components", h.Components))
	case len(b) < 6+3*h.Components:
		return FormatError("short frame header")
	}
	for i := range h.Components {
		c := b[6+3*i:]
		k := component{id: int(c[0]), h: int(c[1] >> 4), v: int(c[1] & 15), place: i, tq: int(c[2])}
		if k.h < 1 || k.h > 4 || k.v < 1 || k.v > 4 {
			return FormatError("sampling factor out of range")
		}
		h.comps = append(h.comps, k)
	}
	if h.Components == 1 { // B.2.3: one component is never interleaved, its factors mean nothing
		h.comps[0].h, h.comps[0].v = 1, 1
	}
	return nil
}

func (h *header) scanHeader(b []byte) error {
	if len(b) < 1 || int(b[0]) < 1 || int(b[0]) > 4 || len(b) < 4+2*int(b[0]) {
		return FormatError("short scan header")
	}
	for i := range int(b[0]) {
		id, t := int(b[1+2*i]), b[2+2*i]
		for _, c := range h.comps {
			if c.id == id {
				c.dc, c.ac = int(t>>4)&3, int(t&3)
				h.scanning = append(h.scanning, c)
				break
			}
		}
	}
	if len(h.scanning) != int(b[0]) {
		return FormatError("scan of an unknown component")
	}
	return nil
}

// mcu returns the size of a minimum coded unit in luma samples and how many
// there are across and down (A.2).
func (h *header) mcu() (w, hgt, across, down int) {
	hm, vm := 1, 1
	for _, c := range h.comps {
		hm, vm = max(hm, c.h), max(vm, c.v)
	}
	return 8 * hm, 8 * vm, ceilDiv(h.Width, 8*hm), ceilDiv(h.Height, 8*vm)
}

// blocks returns how many blocks of 8x8 samples the picture is coded in.
func (h *header) blocks() int64 {
	_, _, across, down := h.mcu()
	per := 0
	for _, c := range h.comps {
		per += c.h * c.v
	}
	return int64(across) * int64(down) * int64(per)
}
