package closing

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"garner/cull/job"
	"garner/cull/output"
	"garner/cull/scan"
	"garner/store"
	"garner/store/vfs"
)

// file is a regular file of the job's folder.
type file struct {
	path    string // in the job, "/"-separated
	size    int64
	mod     time.Time
	touched int64 // as of vfs.Touched
}

// as reports whether nothing tells it from another look at it.
func (f file) as(was file) bool {
	return f.size == was.size && f.mod.Equal(was.mod) && f.touched == was.touched
}

// Left is something in the job's folder that no bag gets, and why.
type Left struct{ Path, Why string }

// folder is what lies in the job's folder.
type folder struct {
	files []file // in the order of the walk
	sets  []file // files of sets that were not asked for
	left  []Left
}

// walk lists everything below root that is the job's. Links are listed, not followed;
// what garner keeps for itself in the state folder, wherever that is, and what systems leave
// behind is passed over.
func walk(ctx context.Context, root, state string, sets bool) (folder, error) {
	var f folder
	// The job itself may be reached by a link; only links inside are not followed.
	if real, err := filepath.EvalSymlinks(root); err == nil {
		root = real
	}
	if real, err := filepath.EvalSymlinks(state); err == nil {
		state = real
	}
	states := []string{state, filepath.Join(root, stateFolder)}
	err := filepath.WalkDir(root, func(p string, d fs.DirEntry, err error) error {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if p == root {
			return err
		}
		own := job.OwnState(filepath.Base(p)) && slices.ContainsFunc(states, func(dir string) bool { return isFolder(dir, filepath.Dir(p)) })
		rel := filepath.ToSlash(strings.TrimPrefix(p[len(root):], string(os.PathSeparator)))
		switch {
		case err != nil:
			f.leave(rel, err)
			if d != nil && d.IsDir() {
				return fs.SkipDir
			}
			return nil
		case own && d.IsDir():
			return fs.SkipDir
		case own, d.IsDir():
			return nil
		case d.Type()&fs.ModeSymlink != 0:
			f.left = append(f.left, Left{rel, "a symbolic link, not followed"})
		case !d.Type().IsRegular():
			f.left = append(f.left, Left{rel, "not a regular file"})
		case litter(path.Base(rel)):
		case strings.HasPrefix(rel, stateFolder+"/"):
			f.left = append(f.left, Left{rel, "not of garner's making, in the folder that garner keeps for itself: move it elsewhere"})
		default:
			info, err := d.Info()
			if err != nil {
				f.leave(rel, err)
				return nil
			}
			f.take(file{rel, info.Size(), info.ModTime(), vfs.Touched(info)}, sets)
		}
		return nil
	})
	return f, err
}

// litter reports whether a file is nobody's: how a window looked, what a killed copy left.
// The ._NAME that a Mac puts beside a file on a disk of another system is not: it may hold
// the labels and comments that somebody gave the file, or all that an old font consists of.
func litter(base string) bool {
	if of, beside := strings.CutPrefix(base, "._"); beside {
		return litter(of)
	}
	if strings.HasSuffix(base, "-partial") { // of other programs, too, which have their own reasons
		return store.IsPartial(base)
	}
	return scan.Litter(base)
}

// isFolder reports whether two paths are those of one folder. Some systems take names for
// one that differ in case.
func isFolder(a, b string) bool {
	if a == b || !strings.EqualFold(a, b) {
		return a == b
	}
	x, err1 := os.Stat(a)
	y, err2 := os.Stat(b)
	return err1 == nil && err2 == nil && os.SameFile(x, y)
}

// stateFolder is what garner keeps for itself in a job.
const stateFolder = ".garner"

// take sorts a file. The list of names and numbers goes along also without the sets:
// pictures that are cut again have the names that they had.
func (f *folder) take(x file, sets bool) {
	if !sets && isSet(x.path) {
		f.sets = append(f.sets, x)
		return
	}
	f.files = append(f.files, x)
}

// isSet reports whether a file was cut by render, and can be cut again.
func isSet(path string) bool {
	return strings.HasPrefix(path, output.SetsFolder+"/") && path != output.SetsFolder+"/"+output.LedgerName
}

// leave lists what could not be looked at, unless it vanished meanwhile.
func (f *folder) leave(rel string, err error) {
	if !errors.Is(err, fs.ErrNotExist) {
		f.left = append(f.left, Left{rel, "cannot be looked at: " + store.Reason(err)})
	}
}
