package plan

import (
	"path"
	"strings"

	"garner/cull/scan"
)

// content is what two files have in common that are probably equal.
type content struct {
	size int64
	ends [32]byte
}

// held is a file that has a place: one of the job, or one of a source once it was
// given a place.
type held struct {
	ref      Ref
	step     int // -1 = the job has it
	path     string
	home     string // where it would lie if it were not aside
	key      string // Fold of home
	content  content
	hasEnds  bool
	shot     *scan.Exposure // nil = no picture
	aside    bool
	damaged  bool // known to be
	broken   bool // a camera's file in which no picture could be found
	answered int  // the last source, from 1, of which it answered for a file that is no picture
}

func (h *held) picture() bool { return h.shot != nil }

// dirKey and stemKey are the folder and the name without extension of its home.
func (h *held) dirKey() string { return dirOf(h.key) }

func (h *held) stemKey() string { return stemOf(path.Base(h.key)) }

func stemOf(base string) string { return strings.TrimSuffix(base, path.Ext(base)) }

// dirOf is the folder of a path, "" for none.
func dirOf(p string) string {
	if i := strings.LastIndexByte(p, '/'); i >= 0 {
		return p[:i]
	}
	return ""
}

// join puts two parts of a path together, either of which may be empty.
func join(dir, name string) string {
	switch {
	case dir == "":
		return name
	case name == "":
		return dir
	}
	return dir + "/" + name
}

// thumbnail reports a video's or a raw's thumbnail file, which is a picture but
// nobody's exposure.
func thumbnail(p string) bool { return strings.EqualFold(path.Ext(p), ".thm") }

func pictureOf(p string, e *scan.Exposure) *scan.Exposure {
	if e.Known() && !thumbnail(p) {
		return e
	}
	return nil
}

// holdJob makes the job's i-th file one that has a place.
func holdJob(i int, f *Have) *held {
	h := &held{ref: Ref{-1, f.Path}, step: -1, path: f.Path, home: f.Path, content: content{f.Size, f.Ends}, hasEnds: f.HasEnds,
		shot: pictureOf(f.Path, &f.Shot), aside: f.Aside, damaged: f.Damaged}
	if inside, ok := strings.CutPrefix(f.Path, asideFolder+"/"); ok {
		h.aside, h.home = true, inside
	}
	h.key = Fold(h.home)
	if inClips(h.key) {
		h.shot = nil
		return h
	}
	h.broken = !f.Shot.Known() && scan.CameraFile(f.Path)
	return h
}
