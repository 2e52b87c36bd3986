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

// PassedOver reports whether a file or folder of that name is nobody's picture: it is
// hidden, somebody is just writing it, or a system keeps there what was thrown away, or
// its own small pictures.
func PassedOver(name string) bool {
	low := strings.ToLower(name)
	if strings.HasPrefix(low, ".") || strings.HasPrefix(low, "~") || strings.HasSuffix(low, "~") {
		return true
	}
	switch low {
	case "thumbs.db", "desktop.ini", "$recycle.bin", "#recycle", "@recycle", "recycler", "@eadir", "system volume information", "lost+found", "__macosx":
		return true
	}
	switch path.Ext(low) {
	case ".tmp", ".temp", ".part", ".partial", ".crdownload", ".download":
		return true
	}
	return false
}

// list walks the folder of pictures, in the order of paths. Links to files are followed,
// and one that the folder itself is; links to other folders are not.
func list(ctx context.Context, root string) (files []listed, failed []Failure, err error) {
	top := filepath.Join(root, Folder)
	if info, err := os.Stat(top); err != nil || !info.IsDir() {
		return nil, nil, nil
	}
	if top, err = filepath.EvalSymlinks(top); err != nil {
		return nil, nil, err
	}
	err = filepath.WalkDir(top, func(p string, d fs.DirEntry, err error) error {
		if ctxErr := ctx.Err(); ctxErr != nil {
			return ctxErr
		}
		rel, relErr := filepath.Rel(top, p)
		if relErr != nil {
			return relErr
		}
		rel = path.Join(Folder, filepath.ToSlash(rel))
		if err != nil {
			failed = append(failed, Failure{rel, sentence(err)})
			if d != nil && d.IsDir() {
				return fs.SkipDir
			}
			return nil
		}
		passed := p != top && PassedOver(d.Name())
		switch {
		case d.IsDir() && passed:
			return fs.SkipDir
		case d.IsDir() || passed || !slices.Contains(kinds, strings.ToLower(path.Ext(rel))):
			return nil
		}
		info, err := os.Stat(p)
		if err != nil {
			failed = append(failed, Failure{rel, sentence(err)})
			return nil
		}
		if !info.Mode().IsRegular() {
			return nil
		}
		files = append(files, listed{rel, info.Size(), info.ModTime()})
		return nil
	})
	slices.SortFunc(files, func(a, b listed) int { return strings.Compare(a.path, b.path) })
	return files, failed, err
}
