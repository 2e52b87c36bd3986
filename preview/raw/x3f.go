package raw

import (
	"bytes"
	"encoding/binary"
	"fmt"

	"garner/preview/internal/bin"
)

// This file locates embedded JPEGs in Sigma's X3F files (Foveon's published
// "X3F Raw Image File Format" and, for versions behind it, what the reference
// reader exiftool knows): the last four bytes point to a directory of sections,
// and an image section of format 18 is a JPEG behind 28 bytes of header. All
// numbers are little endian.

func isX3F(head []byte) bool { return bytes.HasPrefix(head, []byte("FOVb")) }

// maxSections is far more than the five to ten of real files.
const maxSections = 64

// section is one entry of the directory.
type section struct {
	off, length int64
	typ         string
}

func locateX3F(s *scan) error {
	s.out.Kind = "X3F"
	rotation := s.x3fHeader()
	list, err := s.x3fSections()
	if err != nil {
		s.fault(err, "directory of sections")
		return nil
	}
	for _, sec := range list {
		if sec.typ == "IMAG" || sec.typ == "IMA2" {
			s.x3fImage(sec)
		}
	}
	// What Exif says comes first; the oldest bodies have none.
	for _, sec := range list {
		if sec.typ == "PROP" {
			s.x3fProperties(sec)
		}
	}
	if m := &s.out.Meta; m.Orientation == 0 {
		m.Orientation = turned(rotation)
	}
	return nil
}

// x3fHeader takes the size and returns the rotation in degrees. Both stand
// elsewhere from version 4 on.
func (s *scan) x3fHeader() int64 {
	b, err := s.src.UpTo(0, 52)
	if err != nil || len(b) < 52 {
		s.problem(ProblemBadPlace, "the header is cut off")
		return 0
	}
	le := binary.LittleEndian
	at := 28
	if le.Uint32(b[4:])>>16 >= 4 {
		at = 40
	}
	w, h := le.Uint32(b[at:]), le.Uint32(b[at+4:])
	if w > 0 && h > 0 && w <= maxSide && h <= maxSide {
		s.out.Meta.Width, s.out.Meta.Height = int(w), int(h)
	}
	return int64(le.Uint32(b[at+8:]))
}

// turned is the Exif orientation of a picture that has to be turned clockwise by
// so many degrees to stand upright; 0 if it is none of the four.
func turned(degrees int64) int {
	switch degrees {
	case 0:
		return 1
	case 90, -270:
		return 6
	case 180, -180:
		return 3
	case 270, -90:
		return 8
	}
	return 0
}

// x3fSections reads the directory.
func (s *scan) x3fSections() ([]section, error) {
	size := s.src.Size()
	const tail, headLen, entryLen = 1 << 10, 12, 12
	b, err := s.src.At(max(0, size-tail), int(min(size, tail)))
	if err != nil {
		return nil, err
	}
	off := int64(binary.LittleEndian.Uint32(b[max(0, len(b)-4):]))
	if b, err = s.src.At(off, headLen); err != nil {
		return nil, err
	}
	if string(b[:4]) != "SECd" {
		return nil, fmt.Errorf("no directory at byte %d", off)
	}
	n := int64(binary.LittleEndian.Uint32(b[8:]))
	if n > maxSections {
		s.problem(ProblemTooMuch, "a directory of %d sections", n)
		n = maxSections
	}
	if n = min(n, (size-off-headLen)/entryLen); n <= 0 {
		return nil, nil
	}
	if b, err = s.src.At(off+headLen, int(n)*entryLen); err != nil {
		return nil, err
	}
	c := bin.NewCursor(b, binary.LittleEndian)
	var out []section
	for range n {
		out = append(out, section{int64(c.U32()), int64(c.U32()), string(c.Bytes(4))})
	}
	return out, nil
}

// x3fImage adds an image section if it is a JPEG, with what its Exif tells.
func (s *scan) x3fImage(sec section) {
	const headLen, formatJPEG = 28, 18
	b, err := s.src.At(sec.off, headLen)
	if err != nil {
		s.fault(err, "image section")
		return
	}
	c := bin.NewCursor(b, binary.LittleEndian)
	magic := string(c.Bytes(4))
	c.Skip(8)
	format, w, h := c.U32(), c.U32(), c.U32()
	if magic != "SECi" || format != formatJPEG || sec.length <= headLen {
		return
	}
	off, length := sec.off+headLen, sec.length-headLen
	s.addCandidate(off, length, hint{what: "image section", width: int(min(w, maxSide)), height: int(min(h, maxSide))})
	if _, err := s.insideJPEG(off, length, "image section"); err != nil && s.src.Failed() != nil {
		s.fault(err, "image section")
	}
}
