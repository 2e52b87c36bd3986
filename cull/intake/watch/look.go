package watch

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"garner/store/vfs"
)

// Bounds of one look, so that a folder that is no drop folder (a whole disk) does
// not take the machine.
const (
	maxFiles = 200_000
	maxDepth = 32
)

// watcher remembers what the looks have found.
type watcher struct {
	o      Options
	found  map[string]*thing // by path: cards, folders of cards, dropped files
	said   map[string]bool
	mounts map[string]vfs.Mount // by root, at this look
	cards  []string             // to be told
	files  map[string][]string  // by watched folder
	round  int
	count  int // files met by this look
}

// thing is a card or a file. It is told when its mark has stayed the same for long
// enough, and again when the mark has changed.
type thing struct {
	mark  string
	since time.Time
	told  bool
	round int // the look that saw it last
}

func newWatcher(o Options) *watcher {
	return &watcher{o: o, found: map[string]*thing{}, said: map[string]bool{}, files: map[string][]string{}}
}

// look reads all watched folders once.
func (w *watcher) look(dirs []string) {
	w.round++
	w.count = 0
	w.mounts = map[string]vfs.Mount{}
	mounts, err := w.o.Mounts()
	if err != nil {
		w.say(err.Error())
	}
	for _, m := range mounts {
		w.mounts[filepath.Clean(m.Root)] = m
	}
	for _, dir := range dirs {
		w.lookInto(dir)
	}
	for path, t := range w.found {
		if t.round != w.round { // pulled, or taken away
			delete(w.found, path)
			w.cards = slices.DeleteFunc(w.cards, func(c string) bool { return c == path })
		}
	}
}

// lookInto reads one watched folder.
func (w *watcher) lookInto(dir string) {
	entries, err := w.o.FS.ReadDir(dir)
	if err != nil {
		if !errors.Is(err, fs.ErrNotExist) {
			w.say(err.Error())
		}
		return
	}
	if isCard(entries) {
		w.card(dir, entries)
		return
	}
	for _, e := range entries {
		path := filepath.Join(dir, e.Name())
		if !e.IsDir() || strings.HasPrefix(e.Name(), ".") || w.excepted(path) {
			continue
		}
		below, err := w.o.FS.ReadDir(path)
		if err != nil {
			w.say(err.Error())
			continue
		}
		_, mounted := w.mountAt(path)
		switch {
		case isCard(below):
			w.card(path, below)
		case mounted:
			w.say(path + " is mounted but has no folder DCIM: it is left alone")
		default:
			w.dropped(dir, e.Name(), below, 1)
		}
	}
	w.dropped(dir, "", entries, 0)
}

// mountAt returns the mount that begins at a folder. The table of mounts has names
// without links.
func (w *watcher) mountAt(path string) (vfs.Mount, bool) {
	m, ok := w.mounts[filepath.Clean(path)]
	if _, system := w.o.FS.(vfs.OS); system && !ok {
		if real, err := filepath.EvalSymlinks(path); err == nil {
			m, ok = w.mounts[real]
		}
	}
	return m, ok
}

// card notes a card: a mounted one can be read at once, a folder when it has
// stopped changing.
func (w *watcher) card(root string, top []fs.DirEntry) {
	if w.excepted(root) {
		return
	}
	mark := sha256.New()
	quiet := w.o.Quiet
	m, mounted := w.mountAt(root)
	if mounted {
		fmt.Fprintf(mark, "%s\n%s\n", m.Source, m.Type)
		quiet = 0
	}
	// A mounted card does not change while it is mounted: what tells it from the next
	// one in the same slot, beside its device, is the folders in which it has pictures.
	w.describe(mark, root, top, mounted, 0)
	if w.ready(root, string(mark.Sum(nil)), quiet) {
		w.cards = append(w.cards, root)
	}
}

// describe writes names, sizes and times of what a card's folder holds, of a
// mounted card only the names and times of the folders.
func (w *watcher) describe(mark io.Writer, dir string, entries []fs.DirEntry, foldersOnly bool, depth int) {
	for _, e := range entries {
		if strings.HasPrefix(e.Name(), ".") || w.count > maxFiles || foldersOnly && !e.IsDir() {
			continue
		}
		w.count++
		path := filepath.Join(dir, e.Name())
		if info, err := e.Info(); err == nil && (e.Type().IsRegular() || e.IsDir() && foldersOnly && depth > 0) {
			fmt.Fprint(mark, markOf(info))
		}
		fmt.Fprintln(mark, path)
		if !e.IsDir() || depth >= maxDepth || foldersOnly && (depth > 0 || !strings.EqualFold(e.Name(), "DCIM")) {
			continue
		}
		if below, err := w.o.FS.ReadDir(path); err == nil {
			w.describe(mark, path, below, foldersOnly, depth+1)
		}
	}
}

// dropped notes the files of a folder, at is its place below the watched folder
// root. Folders below are read on, but for those of depth 1, which lookInto judges.
func (w *watcher) dropped(root, at string, entries []fs.DirEntry, depth int) {
	for _, e := range entries {
		name := e.Name()
		path := filepath.Join(root, at, name)
		if strings.HasPrefix(name, ".") || w.excepted(path) {
			continue
		}
		if e.IsDir() {
			if depth == 0 || depth >= maxDepth {
				continue
			}
			if below, err := w.o.FS.ReadDir(path); err != nil {
				w.say(err.Error())
			} else {
				w.dropped(root, filepath.Join(at, name), below, depth+1)
			}
			continue
		}
		if w.count++; w.count > maxFiles {
			w.say(root + " holds too many files to be watched: the first are taken, the rest is not looked at")
			return
		}
		info, err := e.Info()
		if err != nil || !info.Mode().IsRegular() || info.Size() == 0 || ofSystem(name) {
			continue
		}
		if w.ready(path, markOf(info), w.o.Quiet) {
			w.files[root] = append(w.files[root], filepath.ToSlash(filepath.Join(at, name)))
		}
	}
}

// ready notes that a thing was seen and reports whether it is to be told now.
func (w *watcher) ready(path, mark string, quiet time.Duration) bool {
	now := w.o.Now()
	t := w.found[path]
	if t == nil || t.mark != mark {
		t = &thing{mark: mark, since: now}
		w.found[path] = t
	}
	t.round = w.round
	if t.told || now.Sub(t.since) < quiet {
		return false
	}
	t.told = true
	return !slices.Contains(w.cards, path)
}

// next takes what is to be told out of the queue: all cards, else the files of one
// watched folder; nil = nothing.
func (w *watcher) next() func(context.Context) error {
	if len(w.cards) > 0 {
		cards := w.cards
		w.cards = nil
		return func(ctx context.Context) error { return w.o.Cards(ctx, cards) }
	}
	for _, root := range slices.Sorted(maps.Keys(w.files)) {
		paths := slices.DeleteFunc(w.files[root], func(p string) bool {
			return w.found[filepath.Join(root, filepath.FromSlash(p))] == nil // taken away while it waited
		})
		delete(w.files, root)
		slices.Sort(paths)
		if paths = slices.Compact(paths); len(paths) == 0 { // one that grew while it waited is in it twice
			continue
		}
		return func(ctx context.Context) error { return w.o.Files(ctx, root, paths) }
	}
	return nil
}

func (w *watcher) say(sentence string) {
	if w.o.Say != nil && !w.said[sentence] {
		w.said[sentence] = true
		w.o.Say(sentence)
	}
}

// excepted reports whether a path is one of the folders where things go to.
func (w *watcher) excepted(path string) bool {
	return slices.ContainsFunc(w.o.Except, func(e string) bool { return filepath.Clean(e) == path })
}

// isCard reports whether a folder with these entries is a card's top.
func isCard(top []fs.DirEntry) bool {
	return slices.ContainsFunc(top, func(e fs.DirEntry) bool {
		return e.IsDir() && (strings.EqualFold(e.Name(), "DCIM") || strings.EqualFold(e.Name(), "PRIVATE"))
	})
}

// ofSystem reports names that systems put beside people's files.
func ofSystem(name string) bool {
	return strings.EqualFold(name, "Thumbs.db") || strings.EqualFold(name, "desktop.ini")
}

func markOf(info fs.FileInfo) string {
	return fmt.Sprintf("%d %d ", info.Size(), info.ModTime().UnixNano())
}
