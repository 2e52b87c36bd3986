package station

import (
	"slices"

	"garner/preview/jpeg"
)

// album holds the pictures that are ready for the screen, the last used longest.
type album struct {
	pictures map[string]*jpeg.Image
	order    []string // the last used at the end
	bytes    int64
}

func (a *album) get(key string) (*jpeg.Image, bool) {
	m, ok := a.pictures[key]
	if ok {
		i := slices.Index(a.order, key)
		a.order = append(slices.Delete(a.order, i, i+1), key)
	}
	return m, ok
}

// put adds a picture and lets go of those not used for longest, until what is
// left holds at most limit bytes; the new one always stays.
func (a *album) put(key string, m *jpeg.Image, limit int64) {
	a.drop(key)
	if a.pictures == nil {
		a.pictures = map[string]*jpeg.Image{}
	}
	a.pictures[key] = m
	a.order = append(a.order, key)
	a.bytes += weight(m)
	for a.bytes > limit && len(a.order) > 1 {
		a.drop(a.order[0])
	}
}

func (a *album) drop(key string) {
	if m, ok := a.pictures[key]; ok {
		a.bytes -= weight(m)
		delete(a.pictures, key)
		a.order = slices.DeleteFunc(a.order, func(k string) bool { return k == key })
	}
}

// forget drops the pictures of a frame that has changed.
func (a *album) forget(frame string) {
	for key := range a.pictures {
		if len(key) > len(frame) && key[:len(frame)] == frame {
			a.drop(key)
		}
	}
}

func weight(m *jpeg.Image) int64 { return int64(len(m.Y) + len(m.Cb) + len(m.Cr)) }
