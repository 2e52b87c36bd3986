package plan

import (
	"path"
	"strings"
)

// taken is which names are in use, whatever their case and normal form.
type taken struct {
	files map[string]*held  // Fold of the path → the file there
	dirs  map[string]string // Fold of a folder's path → how it is spelled
	stems map[place][]*held // files that lie in a folder under one stem
	next  map[place]int     // the first round of a place in which its stem may be free
}

// place is a folder and the stem of a name in it, both folded.
type place struct{ dir, stem string }

func newTaken(n int) *taken {
	return &taken{make(map[string]*held, n), map[string]string{}, make(map[place][]*held, n), map[place]int{}}
}

// put takes the name of h, and those of the folders that it lies in.
func (t *taken) put(h *held) {
	key := h.key
	if h.aside {
		key = Fold(h.path)
	}
	if t.files[key] == nil {
		t.files[key] = h
	}
	at := place{dirOf(key), stemOf(path.Base(key))}
	t.stems[at] = append(t.stems[at], h)
	t.addDirs(h.path, at.dir)
}

// addDirs notes the spelling of a file's folders. Nothing that is folded gains or
// loses a separator, so that the elements of both paths stand side by side.
func (t *taken) addDirs(p, key string) {
	dir := dirOf(p)
	for key != "" {
		if _, ok := t.dirs[key]; ok {
			return
		}
		t.dirs[key] = path.Base(dir)
		dir, key = dirOf(dir), dirOf(key)
	}
}

// remove frees the name of h, whose path is not aside.
func (t *taken) remove(h *held) {
	if t.files[h.key] == h {
		delete(t.files, h.key)
	}
	at := place{h.dirKey(), h.stemKey()}
	var left []*held
	for _, o := range t.stems[at] {
		if o != h {
			left = append(left, o)
		}
	}
	t.stems[at] = left
}

// has reports whether a path is the name of a file or of a folder, or lies below
// a file's name.
func (t *taken) has(key string) bool {
	if t.files[key] != nil {
		return true
	}
	if _, ok := t.dirs[key]; ok {
		return true
	}
	return t.belowFile(dirOf(key))
}

func (t *taken) belowFile(dir string) bool {
	for dir != "" {
		if _, ok := t.dirs[dir]; ok {
			return false
		}
		if t.files[dir] != nil {
			return true
		}
		dir = dirOf(dir)
	}
	return false
}

// spell is a folder's path in the spelling that it has where it exists.
func (t *taken) spell(dir string) string {
	key := Fold(dir)
	if key == "" {
		return dir
	}
	elements, keys := strings.Split(dir, "/"), strings.Split(key, "/")
	for i := range elements {
		if s, ok := t.dirs[strings.Join(keys[:i+1], "/")]; ok {
			elements[i] = s
		}
	}
	return strings.Join(elements, "/")
}
