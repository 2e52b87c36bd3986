package intake

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"garner/cull/job"
	"garner/cull/scan"
	"garner/store"
	"garner/store/vfs"
)

// found is one regular file of a folder tree.
type found struct {
	path   string // below the root, "/"-separated
	size   int64
	mod    time.Time
	locked bool // nobody may write to it
}

// tree is what a walk saw.
type tree struct {
	files    []found
	litter   []string // of the operating system
	skipped  []File   // links, devices, folders that could not be opened
	partials []string // of an interrupted garner
}

// maxDepth ends a walk that goes round in a circle: a damaged directory can name
// itself.
const maxDepth = 64

// litterFolder reports whether a folder is one that operating systems keep at the top
// of every volume they see (common practice). Deeper down it is somebody's own.
func litterFolder(name string) bool {
	switch strings.ToLower(name) {
	case ".trashes", ".spotlight-v100", ".fseventsd", ".temporaryitems", ".documentrevisions-v100",
		"system volume information", "$recycle.bin", "recycler":
		return true
	}
	return strings.HasPrefix(strings.ToLower(name), ".trash-")
}

// walk lists everything below root; skip tells folders that are left out without a
// word. Only an unreadable root is an error.
func walk(fsys vfs.FS, root string, skip func(rel string) bool) (tree, error) {
	var t tree
	err := t.folder(fsys, root, "", 0, skip)
	slices.SortFunc(t.files, func(a, b found) int { return strings.Compare(a.path, b.path) })
	return t, err
}

func (t *tree) folder(fsys vfs.FS, root, rel string, depth int, skip func(string) bool) error {
	at := filepath.Join(root, filepath.FromSlash(rel))
	if depth > maxDepth {
		t.skip(rel, errors.New("folders lie too deep in each other: the card's directory may be damaged"))
		return nil
	}
	entries, err := fsys.ReadDir(at)
	if err != nil {
		if rel == "" {
			return store.Wrap("read", at, err)
		}
		t.skip(rel, err)
		return nil
	}
	for _, e := range entries {
		name := path.Join(rel, e.Name())
		switch {
		case e.IsDir() && skip(name):
		case e.IsDir() && rel == "" && litterFolder(e.Name()):
			t.litter = append(t.litter, name+"/")
		case e.IsDir():
			if err := t.folder(fsys, root, name, depth+1, skip); err != nil {
				return err
			}
		case e.Type()&fs.ModeSymlink != 0:
			t.skip(name, errors.New("a symbolic link, not followed"))
		case !e.Type().IsRegular():
			t.skip(name, errors.New("not a regular file"))
		case store.IsPartial(e.Name()):
			t.partials = append(t.partials, name)
		case scan.Litter(e.Name()):
			t.litter = append(t.litter, name)
		case templates(fsys, root, name):
			t.skip(name, errors.New("templates of faces, which stay where they are"))
		default:
			t.file(name, e)
		}
	}
	return nil
}

// templates reports whether a file holds the templates of faces of a job that lies in
// the tree: they go nowhere with it. Elsewhere than in a job's own folder, as where
// --state put it, it is the content that tells.
func templates(fsys vfs.FS, root, name string) bool {
	base := strings.ToLower(path.Base(name))
	if path.Base(path.Dir(name)) == stateFolder && strings.HasPrefix(base, job.PeopleName) {
		return true
	}
	if !strings.Contains(base, strings.TrimSuffix(job.PeopleName, path.Ext(job.PeopleName))) {
		return false
	}
	f, err := fsys.Open(filepath.Join(root, filepath.FromSlash(name)))
	if err != nil {
		return false
	}
	defer f.Close()
	head := make([]byte, len(job.PeopleBegins))
	n, _ := io.ReadFull(f, head)
	return string(head[:n]) == job.PeopleBegins
}

func (t *tree) file(name string, e fs.DirEntry) {
	info, err := e.Info()
	if err != nil {
		t.skip(name, err)
		return
	}
	t.files = append(t.files, found{name, info.Size(), info.ModTime(), locked(info)})
}

func (t *tree) skip(rel string, err error) {
	t.skipped = append(t.skipped, File{Path: rel, State: Skipped, Why: reason(err)})
}

// reason is an error in words, without the path that is printed beside it.
func reason(err error) string {
	var e *store.Error
	if errors.As(err, &e) {
		text := e.Op + ": " + reason(e.Err)
		if e.Offset >= 0 {
			text = fmt.Sprintf("%s at byte %d: %s", e.Op, e.Offset, reason(e.Err))
		}
		return text
	}
	var pe *fs.PathError
	if errors.As(err, &pe) {
		err = pe.Err
	}
	return err.Error()
}
