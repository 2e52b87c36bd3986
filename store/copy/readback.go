package copy

import (
	"context"
	"io"

	"garner/store"
	"garner/store/vfs"
)

// Content is what a file was found to hold.
type Content struct {
	Sum      [32]byte // SHA-256
	Size     int64    // bytes
	Bypassed bool     // read from the device, not from the system's cache
}

// ReadBack reads a whole file, past the system's cache where the system can, and
// returns its digest. A file that changes meanwhile, or ends early, is an error.
func ReadBack(ctx context.Context, fsys vfs.FS, path string) (Content, error) {
	return ReadBackTo(ctx, fsys, path, io.Discard)
}

// ReadBackTo is [ReadBack] that also gives every byte to w: to another digest, or
// to whoever counts. Beside an error, what w was given proves nothing.
func ReadBackTo(ctx context.Context, fsys vfs.FS, path string, w io.Writer) (Content, error) {
	return readBack(ctx, fsys, path, path, nil, false, w)
}

// Verify reads a whole file as [ReadBack] does and fails with store.ErrMismatch
// unless its digest is want.
func Verify(ctx context.Context, fsys vfs.FS, path string, want [32]byte) (bypassed bool, err error) {
	c, err := ReadBack(ctx, fsys, path)
	if err == nil && c.Sum != want {
		err = store.Wrap("read back", path, store.ErrMismatch)
	}
	return c.Bypassed, err
}

// readBack is ReadBackTo for a file that is called name in messages, and that may
// be ours; pool may be nil.
func readBack(ctx context.Context, fsys vfs.FS, path, name string, pool *Pool, ours bool, w io.Writer) (Content, error) {
	src, err := openSource(fsys, path, "read back")
	if err != nil {
		return Content{}, renamed(err, name)
	}
	defer src.f.Close()
	src.ours = ours
	c := Content{Bypassed: src.f.DropCache()}
	digest := store.NewDigest()
	if pool == nil {
		pool = ownPool(src.size(), 1)
	}
	buf, err := pool.get(ctx)
	if err != nil {
		return Content{}, store.Wrap("read back", name, err)
	}
	defer pool.put(buf)
	for end := false; !end; {
		if err := ctx.Err(); err != nil {
			return Content{}, store.Wrap("read back", name, err)
		}
		var n int
		if n, end, err = src.next(buf); err != nil {
			return Content{}, renamed(err, name)
		}
		digest.Write(buf[:n])
		if _, err := w.Write(buf[:n]); err != nil {
			return Content{}, store.Wrap("read back", name, err)
		}
	}
	if err := src.settle(); err != nil {
		return Content{}, renamed(err, name)
	}
	c.Sum, c.Size = digest.Sum(), digest.Size()
	return c, nil
}

// renamed gives a failure the name that a person knows the file by: nobody has
// heard of partials.
func renamed(err error, name string) error {
	if e, ok := err.(*store.Error); ok {
		e.Path = name
	}
	return err
}
