package imprint

import (
	"bytes"
	"errors"
)

// meter is a font file that can be read only so much. Letters are made of other
// letters and of subroutines, up to ten deep, so that a small file may ask for
// more of them than fit into any memory. The library fetches each from the file:
// an end to that is an end to them.
type meter struct {
	r     *bytes.Reader
	reads int
	bytes int
}

var errMeter = errors.New("one letter asks for more than letters are made of")

// What may be read while a font is opened beside its own size four times over, and
// for each letter that is set.
const (
	openReads, openBytes     = 20_000, 1 << 20
	letterReads, letterBytes = 4_000, 1 << 20
)

func newMeter(file []byte) *meter {
	return &meter{bytes.NewReader(file), openReads, openBytes + 4*len(file)}
}

// letter allows another letter.
func (m *meter) letter() { m.reads, m.bytes = letterReads, letterBytes }

// ReadAt implements io.ReaderAt.
func (m *meter) ReadAt(p []byte, at int64) (int, error) {
	m.reads--
	m.bytes -= len(p)
	if m.reads < 0 || m.bytes < 0 {
		return 0, errMeter
	}
	return m.r.ReadAt(p, at)
}
