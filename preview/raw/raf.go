package raw

import (
	"bytes"
	"encoding/binary"
	"strings"

	"garner/preview/internal/bin"
)

// This file locates the embedded JPEG of Fujifilm's RAF files, from what public
// readers agree on: the header has its place and length at bytes 84 and 88, and
// those of a directory with the sensor's size at 92 and 96, all big endian. The
// JPEG is a whole Exif file with a thumbnail of its own.

const rafMagic = "FUJIFILMCCD-RAW "

func isRAF(head []byte) bool { return bytes.HasPrefix(head, []byte(rafMagic)) }

func locateRAF(s *scan) error {
	s.out.Kind = "RAF"
	const headEnd = 100
	b, err := s.src.UpTo(0, headEnd)
	if err != nil {
		return err
	}
	if len(b) < headEnd {
		s.problem(ProblemBadPlace, "the header is cut off")
		return nil
	}
	at := func(i int) int64 { return int64(binary.BigEndian.Uint32(b[i:])) }
	const what = "embedded JPEG"
	if off, length := at(84), at(88); off > 0 && length > 0 {
		s.addCandidate(off, length, hint{what: "header"})
		// A JPEG that is cut off still has its metadata at the front. That it is cut,
		// or none, is said with the verdict on the candidate.
		if _, err := s.insideJPEG(off, length, what); err != nil && s.src.Failed() != nil {
			s.fault(err, what)
		}
	}
	if s.out.Meta.Model == "" {
		s.out.Meta.Model = plainText(b[28:60])
	}
	s.rafSize(at(92), at(96))
	return nil
}

// rafSize takes the sensor's size from the directory: a count, then records of
// tag, length and value. Where the JPEG is smaller than the raw picture, its Exif
// tells the JPEG's size; on bodies that store the picture as two interleaved
// halves it is the directory that tells too little: the larger is right.
func (s *scan) rafSize(off, length int64) {
	const maxDir = 2 << 10
	if off == 0 || length < 4 {
		return
	}
	b, err := s.src.UpTo(off, int(min(length, maxDir)))
	if err != nil {
		s.fault(err, "directory of the sensor data")
		return
	}
	const fullSize, croppedSize = 0x0100, 0x0111
	var w, h int
	c := bin.NewCursor(b, binary.BigEndian)
	for n := c.U32(); n > 0 && c.Err() == nil; n-- {
		tag, v := c.U16(), c.Bytes(int(c.U16()))
		if len(v) == 4 && (tag == croppedSize || tag == fullSize && w == 0) {
			h, w = int(binary.BigEndian.Uint16(v)), int(binary.BigEndian.Uint16(v[2:]))
		}
	}
	if m := &s.out.Meta; w*h > m.Width*m.Height {
		m.Width, m.Height = w, h
	}
}

// plainText is a string field of fixed length: up to its NUL, without blanks around
// it, as valid UTF-8.
func plainText(b []byte) string {
	if i := bytes.IndexByte(b, 0); i >= 0 {
		b = b[:i]
	}
	return strings.TrimSpace(strings.ToValidUTF8(string(b), "\uFFFD"))
}
