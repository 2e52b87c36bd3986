package icc

import (
	"bytes"
	"encoding/binary"
	"fmt"
)

// This file takes a profile out of the APP2 segments of a JPEG: ICC.1:2022 Annex B,
// segments as in ITU-T T.81 Annex B.

// chunkID begins an APP2 segment with a part of a profile; the number of the part,
// from 1, and of all parts follow in a byte each.
var chunkID = []byte("ICC_PROFILE\x00")

// MaxProfile is the longest profile that is put together, in bytes. Those of
// matrix profiles have a few KiB; tables of printers up to three MiB.
const MaxProfile = 4 << 20

// maxSegments bounds the walk, as real files have some dozens.
const maxSegments = 512

// FromJPEG returns the profile that a JPEG carries, nil if it carries none. Parts in
// another order are put in order; where one is missing, there twice or counted
// differently, there is none to be trusted and the error is a FormatError.
// It looks at the segments before the first scan only.
func FromJPEG(src []byte) ([]byte, error) {
	var parts [256][]byte
	total, found, size := 0, 0, 0
	for c := range chunks(src) {
		n, of := int(c[0]), int(c[1])
		switch c = c[2:]; {
		case total == 0 && of > 0:
			total = of
		case of == 0 || of != total:
			return nil, FormatError("parts that count the whole differently")
		}
		if n == 0 || n > total || parts[n] != nil {
			return nil, FormatError(fmt.Sprintf("part %d of %d is there twice or cannot be", n, total))
		}
		if size += len(c); size > MaxProfile {
			return nil, UnsupportedError("longer than any profile of a camera")
		}
		parts[n], found = c, found+1
	}
	switch {
	case found == 0:
		return nil, nil
	case found < total:
		return nil, FormatError(fmt.Sprintf("%d parts of %d", found, total))
	case found == 1:
		return parts[1], nil
	}
	return bytes.Join(parts[1:total+1], nil), nil
}

// chunks yields the profile's parts with their two numbers in front, at least one
// byte each behind them.
func chunks(src []byte) func(yield func([]byte) bool) {
	return func(yield func([]byte) bool) {
		if len(src) < 2 || src[0] != 0xFF || src[1] != 0xD8 {
			return
		}
		b := src[2:]
		for range maxSegments {
			for len(b) > 1 && b[0] == 0xFF && b[1] == 0xFF { // fill bytes, T.81 B.1.1.2
				b = b[1:]
			}
			if len(b) < 4 || b[0] != 0xFF || b[1] < 0xC0 || b[1] >= 0xD0 && b[1] <= 0xDA {
				return
			}
			n := int(binary.BigEndian.Uint16(b[2:]))
			if n < 2 || n > len(b)-2 {
				return
			}
			segment := b[4 : 2+n]
			if b[1] == 0xE2 && bytes.HasPrefix(segment, chunkID) && len(segment) > len(chunkID)+2 && !yield(segment[len(chunkID):]) {
				return
			}
			b = b[2+n:]
		}
	}
}
