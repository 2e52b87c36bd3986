package returned

import (
	"context"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// Folder is where pictures that came back lie in a job.
const Folder = "finished"

// listed is a file that may be a picture.
type listed struct {
	path string // in the job
	size int64
	mod  time.Time
}

// Failure is a picture that nothing can be made of.
type Failure struct {
	Path   string
	Reason string // a clause for people
}

var kinds = []string{".jpg", ".jpeg", ".jpe", ".tif", ".tiff", ".png"}

// list walks the folder of pictures, in the order of paths. Links are not followed;
// hidden files, and what systems leave behind, are nobody's pictures.
func list(ctx context.Context, root string) (files []listed, failed []Failure, err error) {
	top := filepath.Join(root, Folder)
	if info, err := os.Stat(top); err != nil || !info.IsDir() {
		return nil, nil, nil
	}
	err = filepath.WalkDir(top, func(p string, d fs.DirEntry, err error) error {
		if ctxErr := ctx.Err(); ctxErr != nil {
			return ctxErr
		}
		rel, relErr := filepath.Rel(root, p)
		if relErr != nil {
			return relErr
		}
		rel = filepath.ToSlash(rel)
		if err != nil {
			failed = append(failed, Failure{rel, sentence(err)})
			if d != nil && d.IsDir() {
				return fs.SkipDir
			}
			return nil
		}
		hidden := strings.HasPrefix(path.Base(rel), ".")
		switch {
		case d.IsDir() && hidden:
			return fs.SkipDir
		case !d.Type().IsRegular() || hidden || !slices.Contains(kinds, strings.ToLower(path.Ext(rel))):
			return nil
		}
		info, err := d.Info()
		if err != nil {
			failed = append(failed, Failure{rel, sentence(err)})
			return nil
		}
		files = append(files, listed{rel, info.Size(), info.ModTime()})
		return nil
	})
	slices.SortFunc(files, func(a, b listed) int { return strings.Compare(a.path, b.path) })
	return files, failed, err
}
