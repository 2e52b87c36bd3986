package station

import (
	"sync/atomic"

	"garner/cull"
	"garner/cull/marks"
)

// sidecars are the ratings that others gave in sidecars, by frame.
type sidecars struct {
	of atomic.Pointer[map[cull.ID]marks.Sidecar]
}

// readSidecars brings what preparation has read of them, once there is something to
// see, and again when preparation has come to its end.
func (d *Desk) readSidecars() {
	d.beside(func() {
		of, err := marks.Sidecars(d.job)
		if err != nil {
			return // the top line says a little less
		}
		d.sidecars.of.Store(&of)
		d.mail.put(func(*News) {}) // to be drawn
	})
}

// Marks returns what a frame was marked with before anybody decided: in the body and
// in sidecars that came with it, each with where it comes from.
func (d *Desk) Marks(f cull.Frame) []string {
	of := d.sidecars.of.Load()
	if of == nil {
		return marked(f, nil)
	}
	s, ok := (*of)[f.ID]
	if !ok {
		return marked(f, nil)
	}
	return marked(f, &s)
}

func marked(f cull.Frame, s *marks.Sidecar) []string {
	m := marks.Words(f, s)
	for _, p := range f.Problems {
		if p.Code == "preview-damaged" {
			m = append(m, "damaged")
		}
	}
	return m
}
