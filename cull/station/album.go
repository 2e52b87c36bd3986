package station

import (
	"slices"

	"garner/cull/prepare"
)

// mostPictures is how many pictures an album holds however small they are: two
// screens full of a fan's. A long walk fills it in a few seconds and then no more.
const mostPictures = 128

// album holds the pictures that are ready for the screen, the last used longest.
// A picture stays the same *jpeg.Image for as long as it is in the album.
type album struct {
	pictures map[string]prepare.Picture
	order    []string // the last used at the end
	bytes    int64
}

func (a *album) get(key string) (prepare.Picture, bool) {
	p, ok := a.pictures[key]
	return p, ok
}

// use reports whether a picture is there, and makes it the last that was used.
func (a *album) use(key string) bool {
	_, ok := a.pictures[key]
	if ok {
		i := slices.Index(a.order, key)
		a.order = append(slices.Delete(a.order, i, i+1), key)
	}
	return ok
}

// put adds a picture and lets go of those not used for longest, until what is
// left is mostPictures and limit bytes at most; the new one always stays.
func (a *album) put(key string, p prepare.Picture, limit int64) {
	a.drop(key)
	if a.pictures == nil {
		a.pictures = map[string]prepare.Picture{}
	}
	a.pictures[key] = p
	a.order = append(a.order, key)
	a.bytes += weight(p)
	for (a.bytes > limit || len(a.order) > mostPictures) && len(a.order) > 1 {
		a.drop(a.order[0])
	}
}

func (a *album) drop(key string) {
	if p, ok := a.pictures[key]; ok {
		a.bytes -= weight(p)
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

func weight(p prepare.Picture) int64 {
	return int64(len(p.Y) + len(p.Cb) + len(p.Cr) + len(p.Source))
}
