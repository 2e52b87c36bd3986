package job

import (
	"io"

	"garner/store/atomicfile"
	"garner/store/vfs"
)

// replaceFile writes a file so that under its name there is always the old
// content or the new one, whole; when it returns, the new one is durable.
func replaceFile(path string, write func(io.Writer) error) error {
	w, err := atomicfile.Create(vfs.OS{}, path, 0o666)
	if err != nil {
		return err
	}
	defer w.Discard()
	if err := write(w); err != nil {
		return err
	}
	return w.Commit()
}
