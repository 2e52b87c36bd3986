package output

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"garner/cull/returned"
)

// FinishedFolder and SetsFolder are where pictures come from and go to, in the job.
const (
	FinishedFolder = "finished"
	SetsFolder     = "sets"
)

// maxPictures is more than anybody hands over.
const maxPictures = 200_000

// ErrNothing is returned where there is no finished picture.
var ErrNothing = errors.New("there is no finished picture")

// file is a finished picture before it is opened.
type file struct {
	path     string // in finished/, with "/"
	abs      string
	size     int64
	modified int64 // nanoseconds since 1970
}

// found is what lies in finished/.
type found struct {
	files  []file   // in the order of their paths, numbers in them as numbers
	others []string // files of other kinds, which are left alone
	cannot []Line   // folders and links that cannot be followed
}

// find looks through finished/, at any depth. What is hidden or in the making is
// passed over, and so are sidecars. Links to files are followed, to folders not.
func find(ctx context.Context, root string) (found, error) {
	var f found
	base := filepath.Join(root, FinishedFolder)
	info, err := os.Stat(base)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return f, ErrNothing
	case err != nil:
		return f, err
	case !info.IsDir():
		return f, errors.New(FinishedFolder + " is a file, not a folder")
	}
	if base, err = filepath.EvalSymlinks(base); err != nil {
		return f, err
	}
	err = filepath.WalkDir(base, func(p string, d fs.DirEntry, err error) error {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		rel, rerr := filepath.Rel(base, p)
		if rerr != nil {
			return rerr
		}
		rel = filepath.ToSlash(rel)
		if err != nil {
			f.cannot = append(f.cannot, failed(rel, err))
			if d != nil && d.IsDir() {
				return fs.SkipDir
			}
			return nil
		}
		if p != base && returned.PassedOver(d.Name()) {
			if d.IsDir() {
				return fs.SkipDir
			}
			return nil
		}
		if d.IsDir() {
			return nil
		}
		f.take(rel, p, d)
		if len(f.files) > maxPictures {
			return errors.New("there are too many pictures in " + FinishedFolder)
		}
		return nil
	})
	slices.SortFunc(f.files, func(a, b file) int { return natural(a.path, b.path) })
	return f, err
}

func (f *found) take(rel, p string, d fs.DirEntry) {
	switch strings.ToLower(filepath.Ext(rel)) {
	case ".jpg", ".jpeg", ".jpe", ".tif", ".tiff", ".png":
	case ".xmp":
		return
	default:
		if d.Type().IsRegular() {
			f.others = append(f.others, rel)
			return
		}
		if info, err := os.Stat(p); err != nil || !info.IsDir() {
			return
		}
	}
	info, err := os.Stat(p)
	switch {
	case err != nil && d.Type()&fs.ModeSymlink != 0:
		f.cannot = append(f.cannot, failed(rel, errors.New("a link that leads to no picture")))
	case err != nil:
		f.cannot = append(f.cannot, failed(rel, err))
	case info.IsDir():
		f.cannot = append(f.cannot, failed(rel, errors.New("a link to a folder is not followed")))
	case info.Mode().IsRegular():
		f.files = append(f.files, file{rel, p, info.Size(), info.ModTime().UnixNano()})
	}
}

// natural orders names as people do: numbers in them count as numbers, and letters
// come alike in both cases. What is alike that way is ordered by its bytes.
func natural(a, b string) int {
	x, y := strings.ToLower(a), strings.ToLower(b)
	for x != "" && y != "" {
		if digit(x[0]) && digit(y[0]) {
			n, m := digits(x), digits(y)
			p, q := strings.TrimLeft(x[:n], "0"), strings.TrimLeft(y[:m], "0")
			if len(p) != len(q) {
				return len(p) - len(q)
			}
			if c := strings.Compare(p, q); c != 0 {
				return c
			}
			x, y = x[n:], y[m:]
			continue
		}
		if x[0] != y[0] {
			return int(x[0]) - int(y[0])
		}
		x, y = x[1:], y[1:]
	}
	if len(x) != len(y) {
		return len(x) - len(y)
	}
	return strings.Compare(a, b)
}

func digit(c byte) bool { return c >= '0' && c <= '9' }

func digits(s string) int {
	n := 0
	for n < len(s) && digit(s[n]) {
		n++
	}
	return n
}
