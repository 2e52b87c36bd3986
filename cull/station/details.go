package station

import (
	"slices"

	"garner/cull"
	"garner/preview"
)

// detailBytes is what the frames that are open for the loupe may hold: four JPEGs
// of 24 MP at the best quality.
const detailBytes = 96 << 20

// details holds what the loupe's pictures are made from, the last used longest.
type details struct {
	list  []detailed // the last used at the end
	bytes int64
	limit int64
}

type detailed struct {
	frame  cull.ID
	detail *preview.Detail
	bytes  int64
}

// get returns that of a frame; nil = it is not open.
func (s *details) get(id cull.ID) *preview.Detail {
	if i := s.index(id); i >= 0 {
		return s.list[i].detail
	}
	return nil
}

// use reports whether that of a frame is there, and makes it the last that was
// used.
func (s *details) use(id cull.ID) bool {
	i := s.index(id)
	if i >= 0 {
		e := s.list[i]
		s.list = append(slices.Delete(s.list, i, i+1), e)
	}
	return i >= 0
}

// put adds one and lets go of those not used for longest, until what is left fits;
// the new one always stays.
func (s *details) put(id cull.ID, d *preview.Detail) {
	s.drop(id)
	s.list = append(s.list, detailed{id, d, 0})
	s.trim()
}

// trim weighs them anew, since one holds more once a part of it was made.
func (s *details) trim() {
	s.bytes = 0
	for i := range s.list {
		s.list[i].bytes = s.list[i].detail.Bytes()
		s.bytes += s.list[i].bytes
	}
	for s.bytes > s.limit && len(s.list) > 1 {
		s.drop(s.list[0].frame)
	}
}

func (s *details) drop(id cull.ID) {
	if i := s.index(id); i >= 0 {
		s.bytes -= s.list[i].bytes
		s.list = slices.Delete(s.list, i, i+1)
	}
}

func (s *details) index(id cull.ID) int {
	return slices.IndexFunc(s.list, func(e detailed) bool { return e.frame == id })
}

// weight is what that of a frame holds; 0 = it is not open.
func (s *details) weight(id cull.ID) int64 {
	if i := s.index(id); i >= 0 {
		return s.list[i].bytes
	}
	return 0
}
