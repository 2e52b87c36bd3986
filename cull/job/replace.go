package job

import (
	"io"
	"path/filepath"

	"garner/store"
	"garner/store/vfs"
)

// replaceFile writes a file so that under its name there is always the old
// content or the new one, whole; when it returns, the new one is durable.
func replaceFile(path string, write func(io.Writer) error) error {
	var disk vfs.OS
	f, err := vfs.CreatePartial(disk, path, 0o666)
	if err != nil {
		return err
	}
	err = write(f)
	if err == nil {
		err = store.Wrap("sync", path, f.Sync())
	}
	if cerr := f.Close(); err == nil {
		err = store.Wrap("close", path, cerr)
	}
	if err == nil {
		err = store.Wrap("rename", path, disk.Rename(f.Name(), path))
	}
	if err != nil {
		// The rename did not happen, so the partial is still ours.
		_ = disk.Remove(f.Name())
		return err
	}
	return store.Wrap("sync folder", path, disk.SyncDir(filepath.Dir(path)))
}
