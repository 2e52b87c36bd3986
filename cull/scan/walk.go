package scan

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
	"time"
)

// notScanned are the folders of a job that hold no camera originals (DESIGN §5).
var notScanned = map[string]bool{".garner": true, "finished": true, "sets": true}

// ourOwn are the files that garner or its user keep at the top of a job.
var ourOwn = map[string]bool{"garner.toml": true, "keeps.txt": true, "keeps.csv": true, "keeps.json": true}

// entry is one regular file found by the walk.
type entry struct {
	path string // job-relative, "/"-separated
	size int64
	mod  time.Time
}

// ext is the lower-case extension with its dot.
func (e entry) ext() string { return strings.ToLower(path.Ext(e.path)) }

// companion reports whether the file belongs to a picture only by its name.
func (e entry) companion() bool { return e.ext() == ".xmp" || e.ext() == ".wav" }

type listing struct {
	files  []entry // in walk order: by path, folder by folder
	others []Other
	shut   []string // folders and files that could not be looked at
}

// unread reports whether a path lies where the walk could not look: nothing is
// known of it then, least of all that it is gone.
func (l listing) unread(p string) bool {
	for _, shut := range l.shut {
		if p == shut || strings.HasPrefix(p, shut+"/") {
			return true
		}
	}
	return false
}

// notSeen lists what could not be looked at, unless it vanished meanwhile.
func (l *listing) notSeen(rel string, err error) {
	l.others = append(l.others, Other{rel, sentence(err)})
	if !errors.Is(err, fs.ErrNotExist) {
		l.shut = append(l.shut, rel)
	}
}

// walk lists every file below dir. Only an unreadable dir itself is an error.
func walk(ctx context.Context, dir string) (listing, error) {
	var l listing
	// The job itself may be reached by a link; only links inside are not followed.
	if real, err := filepath.EvalSymlinks(dir); err == nil {
		dir = real
	}
	err := filepath.WalkDir(dir, func(p string, d fs.DirEntry, err error) error {
		if ctxErr := ctx.Err(); ctxErr != nil {
			return ctxErr
		}
		if p == dir {
			return err
		}
		rel := slashed(dir, p)
		if err != nil {
			l.notSeen(rel, err)
			if d != nil && d.IsDir() {
				return fs.SkipDir
			}
			return nil
		}
		switch {
		case d.IsDir():
			if notScanned[rel] {
				return fs.SkipDir
			}
		case d.Type()&fs.ModeSymlink != 0:
			l.others = append(l.others, Other{rel, "a symbolic link, not followed"})
		case !d.Type().IsRegular():
			l.others = append(l.others, Other{rel, "not a regular file"})
		case ourOwn[rel]:
		case systemLitter(path.Base(rel)):
			l.others = append(l.others, Other{rel, "a file of the operating system"})
		default:
			info, err := d.Info()
			if err != nil {
				l.notSeen(rel, err)
				return nil
			}
			l.files = append(l.files, entry{rel, info.Size(), info.ModTime()})
		}
		return nil
	})
	return l, err
}

// slashed gives p relative to dir with "/"; the name's bytes stay as they are.
func slashed(dir, p string) string {
	rel := strings.TrimPrefix(p[len(dir):], string(os.PathSeparator))
	return filepath.ToSlash(rel)
}

// systemLitter names files that operating systems leave behind and that are
// nobody's picture (common practice).
func systemLitter(base string) bool {
	switch strings.ToLower(base) {
	case ".ds_store", "thumbs.db", "desktop.ini":
		return true
	}
	return strings.HasPrefix(base, "._") || strings.HasPrefix(base, ".") && strings.HasSuffix(base, "-partial")
}

// sentence turns a file system error into a reason without the path, which the
// caller prints beside it.
func sentence(err error) string {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		err = pe.Err
	}
	return strings.ToLower(err.Error())
}
