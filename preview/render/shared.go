package render

import (
	"crypto/sha256"
	"sync"

	"garner/preview/finished"
	"garner/preview/icc"
	"garner/preview/imprint"
	"garner/preview/resample"
)

// maxShared bounds what is kept of each kind. A job has a profile or two and a
// handful of sizes.
const maxShared = 16

// shared is what pictures have in common. Tables of a conversion take milliseconds to
// make, and some MB.
type shared struct {
	mu    sync.Mutex
	convs map[convKey]*icc.Converter
	marks map[markKey]*imprint.Mark
}

type convKey struct {
	profile  [sha256.Size]byte
	channels int
	from, to icc.Space
}

type markKey struct {
	stamper *imprint.Stamper
	w, h    int
	space   icc.Space
}

// converter returns the conversion of a picture's colours: relative colorimetric with
// black point compensation, by which an editor's colours stay what they were on its
// screen (common practice). What says nothing of its space is sRGB.
func (s *shared) converter(p *finished.Picture, to icc.Space) (*icc.Converter, error) {
	from, _ := icc.SpaceNamed(p.ColorSpace)
	key := convKey{sha256.Sum256(p.Profile), p.Channels(), from, to}
	s.mu.Lock()
	defer s.mu.Unlock()
	if c, ok := s.convs[key]; ok {
		return c, nil
	}
	c, err := icc.NewConverter(p.Profile, p.Channels(), to, icc.Options{Intent: icc.Relative, BlackPoint: true, Assume: from})
	if err != nil {
		return nil, err
	}
	if s.convs == nil || len(s.convs) >= maxShared {
		s.convs = map[convKey]*icc.Converter{}
	}
	s.convs[key] = c
	return c, nil
}

// mark returns a stamp for pictures of a size.
func (s *shared) mark(stamper *imprint.Stamper, w, h int, space icc.Space) (*imprint.Mark, error) {
	key := markKey{stamper, w, h, space}
	s.mu.Lock()
	defer s.mu.Unlock()
	if m, ok := s.marks[key]; ok {
		return m, nil
	}
	m, err := stamper.Mark(w, h, space)
	if err != nil {
		return nil, err
	}
	if s.marks == nil || len(s.marks) >= maxShared {
		s.marks = map[markKey]*imprint.Mark{}
	}
	s.marks[key] = m
	return m, nil
}

func curveOf(s icc.Space) *resample.Curve {
	if s == icc.SpaceAdobeRGB {
		return adobe()
	}
	return srgb()
}

// The curves are tables that never change.
var (
	adobe = sync.OnceValue(resample.AdobeRGB)
	srgb  = sync.OnceValue(resample.SRGB)
)
