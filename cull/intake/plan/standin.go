package plan

import (
	"path"
	"time"

	"garner/cull/scan"
)

// clockStep is how far the times of a file on two cards may be apart: FAT keeps
// them to 2 s (Microsoft, FAT: General Overview, DIR_WrtTime).
const clockStep = 2 * time.Second

// sightKey is what can be seen of a file without reading it.
type sightKey struct {
	dir, name string // the folder's own name and the file's, folded
	size      int64
	tree      bool
}

func sightOf(f *file) sightKey {
	return sightKey{Fold(path.Base(path.Dir(f.src.Path))), f.key, f.src.Size, f.tree}
}

// silent reports a file that says nothing of itself: it could not be read, or a
// camera's file of which nothing can be made.
func (f *file) silent() bool {
	return !f.src.Shot.Known() && (!f.readable() || f.broken)
}

// findStandIns gives files that say nothing the file of another source that has
// their folder, name, size and time, and lets them speak by it.
func findStandIns(files []*file) {
	var mute []*file
	for _, f := range files {
		if f.silent() && f.src.Size > 0 {
			mute = append(mute, f)
		}
	}
	if len(mute) == 0 {
		return
	}
	wanted := map[sightKey][]*file{}
	for _, f := range mute {
		wanted[sightOf(f)] = nil
	}
	for _, f := range files {
		if f.silent() || !f.readable() {
			continue
		}
		k := sightOf(f)
		if list, ok := wanted[k]; ok && len(list) < maxCompared {
			wanted[k] = append(list, f)
		}
	}
	for _, f := range mute {
		if s := standIn(f, wanted[sightOf(f)]); s != nil {
			f.stand, s.stands = s, f
			if s.shot != nil {
				shot := *s.shot
				f.shot = &shot
			}
		}
	}
}

// standIn chooses the file that can stand in for f. Where several could that are
// not equal none does: a wrong one would be taken for f without a word.
func standIn(f *file, candidates []*file) *file {
	var s *file
	for _, c := range candidates {
		if d := c.src.Mod.Sub(f.src.Mod); c.source == f.source || d.Abs() > clockStep {
			continue
		}
		if f.broken && !c.src.Shot.Known() {
			continue
		}
		if s != nil && s.content() != c.content() {
			return nil
		}
		if s == nil {
			s = c
		}
	}
	return s
}

// brokenFile reports a camera's file in which no picture was found.
func brokenFile(f *File) bool { return f.Err == nil && !f.Shot.Known() && scan.CameraFile(f.Path) }
