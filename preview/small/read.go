package small

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"io"

	"garner/preview/jpeg"
)

// Read returns what a small picture says of its original. Of a file of size bytes it
// reads little more than the two segments that Wrap put first, 128 KiB at most. The
// error is ErrNotOurs for any other file, and ErrChanged, beside the Original, for
// one whose picture has not the length that it was written with; else that of r.
func Read(r io.ReaderAt, size int64) (Original, error) {
	p, at, err := read(r, size)
	if err == nil && size-at != p.rest {
		err = ErrChanged
	}
	return p.Original, err
}

// Check is Read of a whole file that also says whether all of the picture is as it
// was written and can be decoded.
func Check(b []byte) (Original, error) {
	p, at, err := read(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		return Original{}, err
	}
	if int64(len(b))-at != p.rest || sha256.Sum256(b[at:]) != p.restSum {
		return p.Original, ErrChanged
	}
	return p.Original, decodes(b)
}

// decodes reports, as an error, that not all of a picture can be decoded. Every coded
// bit is read for an eighth of its size too.
func decodes(b []byte) error {
	m, err := jpeg.Decode(b, jpeg.Options{Scale: 8})
	switch {
	case err != nil:
		return fmt.Errorf("%w: %w", ErrBroken, err)
	case m.Truncated:
		return ErrBroken
	}
	return nil
}

// read returns the packet, and where it ends.
func read(r io.ReaderAt, size int64) (packet, int64, error) {
	none := func(err error) (packet, int64, error) {
		if err == nil || err == io.EOF {
			err = ErrNotOurs
		}
		return packet{}, 0, err
	}
	const markerSize, lengthSize = 2, 2
	var head [markerSize + lengthSize + len(xmpID)]byte
	at := int64(markerSize) // behind the start of image
	first := head[:markerSize+markerSize+lengthSize+len(exifID)]
	if size < int64(len(first)) {
		return none(nil)
	}
	if n, err := r.ReadAt(first, 0); n < len(first) {
		return none(err)
	}
	if first[0] != 0xFF || first[1] != soi || first[2] != 0xFF || first[3] != app1 || string(first[6:]) != exifID {
		return none(nil)
	}
	at += markerSize + int64(binary.BigEndian.Uint16(first[4:]))
	if n, err := r.ReadAt(head[:], at); n < len(head) {
		return none(err)
	}
	length := int(binary.BigEndian.Uint16(head[2:])) - lengthSize - len(xmpID)
	if head[0] != 0xFF || head[1] != app1 || string(head[4:]) != xmpID || length <= 0 {
		return none(nil)
	}
	about := make([]byte, length)
	at += int64(len(head))
	if n, err := r.ReadAt(about, at); n < length {
		return none(err)
	}
	if !bytes.Contains(about, []byte(NS)) {
		return none(nil)
	}
	p, ok := parsePacket(about)
	if !ok {
		return none(nil)
	}
	return p, at + int64(length), nil
}
