package cache

import (
	"io"
	"os"
)

// place is where an entry lies.
type place struct {
	pack   string // file name
	offset int64
	size   int64
}

// scanPack calls found for each entry of a pack from offset on, reading the
// headers and keys only, and returns the offset behind the last whole one. It
// ends at the first thing that is not a whole entry: a program that was killed
// leaves at most one torn entry, and never writes behind it again. The data are
// checked when they are read.
func scanPack(r io.ReaderAt, size, offset int64, found func(key string, at, size int64)) int64 {
	buf := make([]byte, headerSize+maxKey)
	for offset+headerSize <= size {
		n, _ := r.ReadAt(buf[:min(int64(headerSize+256), size-offset)], offset)
		if n < headerSize {
			return offset
		}
		h, ok := parseHeader(buf)
		if !ok || offset+h.size() > size {
			return offset
		}
		if need := headerSize + h.key; n < need {
			if _, err := r.ReadAt(buf[n:need], offset+int64(n)); err != nil && err != io.EOF {
				return offset
			}
		}
		found(string(buf[headerSize:headerSize+h.key]), offset, h.size())
		offset += h.size()
	}
	return offset
}

// readAt returns size bytes at offset of a file. The file is opened for each
// read: that costs some microseconds, holds no handle on a folder that may be
// deleted, and bounds the handles.
func readAt(path string, offset, size int64) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	b := make([]byte, size)
	if _, err := f.ReadAt(b, offset); err != nil {
		return nil, err
	}
	return b, nil
}
