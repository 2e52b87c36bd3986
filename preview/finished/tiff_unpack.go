package finished

import (
	"bufio"
	"compress/flate"
	"compress/zlib"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math/bits"
)

// The compressions that are read: TIFF 6.0 §9, §13; deflate by TIFF Technical Note
// of 1995 under its later number, and under the one that came before.
const (
	plain      = 1
	inLZW      = 5
	inDeflate  = 8
	oldDeflate = 32946
	inPackBits = 32773
)

func (t *tiffBody) known() bool {
	switch t.compression {
	case plain, inLZW, inDeflate, oldDeflate, inPackBits:
		return true
	}
	return false
}

// predicts says whether the compression is one that differencing goes with (§14).
func (t *tiffBody) predicts() bool {
	return t.compression == inLZW || t.compression == inDeflate || t.compression == oldDeflate
}

func compressionName(c int) string {
	switch c {
	case 2, 3, 4:
		return "a fax coding"
	case 6, 7:
		return "JPEG"
	case 34925:
		return "LZMA"
	case 50000:
		return "Zstandard"
	case 50001:
		return "WebP"
	}
	return fmt.Sprintf("scheme %d", c)
}

// unpacker gives the rows of one strip or tile after the other.
type unpacker struct {
	t   *tiffBody
	p   *Picture
	in  *bufio.Reader
	out io.Reader
	zip io.ReadCloser
	lzw *lzwReader

	line  []byte
	words []uint16 // a planar row of 16 bits
}

func newUnpacker(t *tiffBody, p *Picture) *unpacker {
	u := &unpacker{t: t, p: p, in: bufio.NewReaderSize(nil, 64<<10), line: make([]byte, t.rowBytes())}
	if t.planar && t.bytes == 2 {
		u.words = make([]uint16, len(u.line)/2)
	}
	return u
}

// open begins with part i of the tables.
func (u *unpacker) open(i int) error {
	var r io.Reader = io.NewSectionReader(u.p.r, u.t.offsets[i], u.t.size[i])
	if u.t.reversed {
		r = reversed{r}
	}
	u.in.Reset(r)
	switch u.t.compression {
	case plain:
		u.out = u.in
	case inLZW:
		if u.lzw == nil {
			u.lzw = &lzwReader{}
		}
		// Before TIFF 6.0 codes ran from the lowest bit; there the first one, which
		// clears the table, begins with a byte of zero.
		if b, err := u.in.Peek(2); err == nil && b[0] == 0 && b[1]&1 == 1 {
			return UnsupportedError("a TIFF with the LZW of before 1992, which is not read")
		}
		u.lzw.reset(u.in)
		u.out = u.lzw
	case inPackBits:
		u.out = &packBits{in: u.in}
	default:
		if u.zip == nil {
			z, err := zlib.NewReader(u.in)
			if err != nil {
				return err
			}
			u.zip = z
		} else if err := u.zip.(zlib.Resetter).Reset(u.in, nil); err != nil {
			return err
		}
		u.out = u.zip
	}
	return nil
}

// row unpacks the next row and puts its first n pixels into dst, from every sample
// to the next one step on. After the last row the coder's own checksum is asked.
func (u *unpacker) row(dst []uint16, step, n int, last bool) error {
	if err := full(u.out, u.line); err != nil {
		return err
	}
	if last && u.zip != nil {
		var one [1]byte
		if _, err := u.out.Read(one[:]); errors.Is(err, zlib.ErrChecksum) {
			return FormatError("a broken TIFF: a checksum is wrong")
		}
	}
	per := u.t.samples
	if u.t.planar {
		per = 1
	}
	u.spread(dst, u.line[:n*per*u.t.bytes], per, step)
	return nil
}

// spread brings samples to 16 bits and takes back the differences to the pixel
// before, of which each has per samples.
func (u *unpacker) spread(dst []uint16, line []byte, per, step int) {
	switch t := u.t; {
	case t.bytes == 1:
		if t.predictor {
			undiffer(line, per)
		}
		if step == 1 {
			dst = dst[:len(line)]
			for i, v := range line {
				dst[i] = wide(v)
			}
			return
		}
		for i, v := range line {
			dst[i*step] = wide(v)
		}
	default:
		px := dst[:min(len(line)/2, len(dst))]
		if step > 1 { // a row of its own first, where the samples lie side by side
			px = u.words[:len(line)/2]
		}
		if t.order == binary.ByteOrder(binary.LittleEndian) {
			for i := range px {
				px[i] = binary.LittleEndian.Uint16(line[2*i:])
			}
		} else {
			for i := range px {
				px[i] = binary.BigEndian.Uint16(line[2*i:])
			}
		}
		if t.predictor {
			undiffer(px, per)
		}
		if step > 1 {
			for i, v := range px {
				dst[i*step] = v
			}
		}
	}
}

// undiffer takes back the differences of §14. Sums stay in registers where the pixels
// are the common ones: through memory each would wait for the one before.
func undiffer[T byte | uint16](line []T, per int) {
	var r, g, b T
	switch per {
	case 1:
		for i, v := range line {
			r += v
			line[i] = r
		}
	case 3:
		for ; len(line) >= 3; line = line[3:] {
			r, g, b = r+line[0], g+line[1], b+line[2]
			line[0], line[1], line[2] = r, g, b
		}
	default:
		for i := per; i < len(line); i++ {
			line[i] += line[i-per]
		}
	}
}

// reversed turns round the bits of every byte.
type reversed struct{ r io.Reader }

func (r reversed) Read(b []byte) (int, error) {
	n, err := r.r.Read(b)
	for i, v := range b[:n] {
		b[i] = bits.Reverse8(v)
	}
	return n, err
}

// packBits is §9: a byte n of 0..127 stands before n+1 bytes, one of -127..-1 before
// a byte that comes 1-n times; -128 is nothing.
type packBits struct {
	in    *bufio.Reader
	left  int
	fill  byte
	plain bool
}

func (p *packBits) Read(b []byte) (int, error) {
	done := 0
	for done < len(b) {
		if p.left == 0 {
			n, err := p.in.ReadByte()
			if err != nil {
				return done, err
			}
			switch k := int(int8(n)); {
			case k >= 0:
				p.left, p.plain = k+1, true
			case k > -128:
				p.left, p.plain = 1-k, false
				if p.fill, err = p.in.ReadByte(); err != nil {
					return done, err
				}
			}
			continue
		}
		k := min(p.left, len(b)-done)
		part := b[done : done+k]
		if p.plain {
			if err := full(p.in, part); err != nil {
				return done, err
			}
		} else {
			for i := range part {
				part[i] = p.fill
			}
		}
		p.left, done = p.left-k, done+k
	}
	return done, nil
}

// isInflate reports whether an error is one of the standard library's inflating.
func isInflate(err error) bool {
	var corrupt flate.CorruptInputError
	return errors.As(err, &corrupt) || errors.Is(err, zlib.ErrHeader) || errors.Is(err, zlib.ErrChecksum) || errors.Is(err, zlib.ErrDictionary)
}
