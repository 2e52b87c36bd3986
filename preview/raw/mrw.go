package raw

import (
	"bytes"
	"encoding/binary"

	"garner/preview/exif"
	"garner/preview/internal/bin"
)

// This file locates embedded JPEGs in Minolta's MRW files, from what public
// readers agree on: blocks of a four-byte name and a length before the sensor
// data, among them PRD with the picture's size and TTW, a TIFF structure whose
// maker note points to the preview.

func isMRW(head []byte) bool { return bytes.HasPrefix(head, []byte("\x00MRM")) }

// maxBlocks is far more than the four to six that the bodies write.
const maxBlocks = 32

func locateMRW(s *scan) error {
	s.out.Kind = "MRW"
	b, err := s.src.UpTo(0, 8)
	if err != nil {
		return err
	}
	if len(b) < 8 {
		s.problem(ProblemBadPlace, "the header is cut off")
		return nil
	}
	off, end := int64(8), 8+int64(binary.BigEndian.Uint32(b[4:]))
	if end > s.src.Size() {
		s.problem(ProblemBadPlace, "the blocks of the header reach past the end of the file")
		end = s.src.Size()
	}
	for range maxBlocks {
		if end-off < 8 {
			return nil
		}
		if b, err = s.src.At(off, 8); err != nil {
			s.fault(err, "list of blocks")
			return nil
		}
		name, length := string(b[1:4]), int64(binary.BigEndian.Uint32(b[4:]))
		if length > end-off-8 {
			s.problem(ProblemBadPlace, "the block %q reaches past the end of the header", name)
		}
		s.mrwBlock(name, off+8, min(length, end-off-8))
		off += 8 + length
	}
	s.problem(ProblemTooMuch, "more than %d blocks in the header", maxBlocks)
	return nil
}

func (s *scan) mrwBlock(name string, off, length int64) {
	switch name {
	case "PRD":
		b, err := s.src.UpTo(off, int(min(length, 16)))
		if err != nil {
			s.fault(err, "block PRD")
			return
		}
		c := bin.NewCursor(b, binary.BigEndian)
		c.Skip(12) // firmware, and the sensor's size with its borders
		h, w := int(c.U16()), int(c.U16())
		if c.Err() == nil && w > 0 && h > 0 {
			s.out.Meta.Width, s.out.Meta.Height = w, h
		}
	case "TTW":
		v := exif.Visitor{
			Dir:   func(d exif.Dir) { s.jpegDir(d, "raw file") },
			Fault: func(dir string, err error) { s.fault(err, dir) },
		}
		if err := exif.Walk(s.src, off, length, exif.RootIFD0, &s.out.Meta, v); err != nil {
			s.fault(err, "block TTW")
		}
	}
}
