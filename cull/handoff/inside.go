package handoff

import (
	"errors"
	"fmt"
	"path/filepath"

	"garner/store/vfs"
)

// ErrInsideJob refuses copies into the job itself, where the next scan would
// take them for frames.
var ErrInsideJob = errors.New("the folder for the copies lies inside the job")

// outside makes the folder for copies absolute, links resolved as far as it
// exists, and refuses one in the job.
func outside(fsys vfs.FS, root, to string) (string, error) {
	abs, err := filepath.Abs(to)
	if err != nil {
		return "", err
	}
	abs = vfs.Resolve(abs)
	if vfs.Within(fsys, root, abs) {
		return "", fmt.Errorf("%w: %s", ErrInsideJob, to)
	}
	return abs, nil
}
