package intake

import (
	"errors"
	"path/filepath"

	"garner/store/vfs"
)

// folderAt is a folder of a destination, and the number of its planned place.
type folderAt struct {
	dest int
	dir  string // "/"-separated, below the destination
}

// landing is where a folder of a destination really lies.
type landing struct {
	device int // -1 = nobody knows
	err    error
}

// landing finds out on which device a folder of a destination lies: somebody may
// have put a link, or another disk, in its place. One that leads into a card is an
// error: cards are only read.
func (c *carrier) landing(n int, dir string) landing {
	c.lands.Lock()
	defer c.lands.Unlock()
	k := folderAt{n, dir}
	if l, ok := c.landings[k]; ok {
		return l
	}
	l := landing{device: -1}
	real := c.abs(filepath.Join(c.dests[n].Root, filepath.FromSlash(dir)))
	for _, s := range c.sources {
		if inside(real, s.root) || c.withinBySight(real, s.root) {
			l.err = errors.New("leads into the card " + s.card.Root)
		}
	}
	if v, err := c.o.VolumeOf(real); err == nil {
		l.device = c.deviceOf(v)
	}
	c.landings[k] = l
	return l
}

// withinBySight reports whether a path, or a folder above it, is the very folder
// dir, by whatever name.
func (r *run) withinBySight(p, dir string) bool {
	want, err := r.fsys.Stat(dir)
	if err != nil {
		return false
	}
	for {
		if info, err := r.fsys.Stat(p); err == nil && vfs.SameFile(info, want) {
			return true
		}
		if p == filepath.Dir(p) {
			return false
		}
		p = filepath.Dir(p)
	}
}
