package copy

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"sync/atomic"
	"time"

	"garner/store"
	"garner/store/vfs"
)

// target is one place that the file goes to.
type target struct {
	fsys  vfs.FS
	src   *source
	res   *DestResult
	pool  *Pool
	stage func(Stage)

	partial string      // path of the partial, while there is one that is ours
	f       vfs.File    // the partial, open for writing; nil if nothing is written
	exists  bool        // something has the final name: compare
	dead    atomic.Bool // res.Err is set; read while the target is being written
}

// alive reports whether the target still needs the source.
func (t *target) alive() bool { return !t.dead.Load() }

// fail keeps the first failure. Only one goroutine at a time works on a target.
func (t *target) fail(op string, err error) bool {
	if err == nil {
		return false
	}
	t.res.fail(store.Wrap(op, t.res.Path, err))
	t.dead.Store(true)
	return true
}

// prepare looks at the final name and makes the partial.
func (t *target) prepare(allowClone bool) {
	if err := vfs.MkdirAll(t.fsys, vfs.Dir(t.res.Path), 0o777); t.fail("copy to", err) {
		return
	}
	info, err := t.fsys.Lstat(t.res.Path)
	switch {
	case err == nil:
		t.exists = true
		t.fail("copy to", t.likely(info))
		return
	case !errors.Is(err, fs.ErrNotExist):
		t.fail("copy to", err)
		return
	}
	if allowClone && t.clone() {
		return
	}
	if !t.alive() {
		return
	}
	f, err := vfs.CreatePartial(t.fsys, t.res.Path, 0o666)
	if t.fail("create", err) {
		return
	}
	t.f, t.partial = f, f.Name()
	if t.fail("preallocate", f.Preallocate(t.src.size())) {
		t.discard()
	}
}

// likely refuses an existing file that can't have the source's content, without
// reading it.
func (t *target) likely(info fs.FileInfo) error {
	switch {
	case vfs.SameFile(info, t.src.before) || oneName(t.fsys, t.res.Path, t.src.path):
		return store.ErrSameFile
	case !info.Mode().IsRegular():
		return fmt.Errorf("%w: %w", store.ErrDiffers, store.ErrNotRegular)
	case info.Size() != t.src.size():
		return store.ErrDiffers
	}
	return nil
}

// clone lets the file system make the partial.
func (t *target) clone() bool {
	path := vfs.PartialPath(t.fsys, t.res.Path)
	ok, err := t.fsys.Clone(t.src.path, path)
	if ok {
		t.partial, t.res.Cloned = path, true
	}
	t.fail("create", err)
	return ok
}

// write adds a piece of the source. After a failure the pieces are let pass.
func (t *target) write(p []byte) {
	if !t.alive() {
		return
	}
	n, err := t.f.Write(p)
	if err == nil && n < len(p) {
		err = io.ErrShortWrite
	}
	t.fail("write", err)
}

// finish brings the target to its end, for a source with that digest, or with a
// failure.
func (t *target) finish(ctx context.Context, sum [32]byte, failure error) {
	defer t.stage(Done)
	defer t.discard()
	if failure != nil || !t.alive() {
		return
	}
	if !t.exists {
		t.publish(ctx, sum)
	}
	if t.exists && t.alive() {
		t.compare(ctx, sum)
	}
}

// publish takes the partial through sync and read-back to its final name.
func (t *target) publish(ctx context.Context, sum [32]byte) {
	if t.f == nil { // a clone
		f, err := t.fsys.OpenFile(t.partial, os.O_RDWR, 0)
		if t.fail("sync", err) {
			return
		}
		t.f = f
	}
	if info, err := t.f.Stat(); t.fail("write", err) {
		return
	} else if info.Size() != t.src.size() {
		t.fail("write", store.ErrMismatch)
		return
	}
	t.stage(Syncing)
	t.fsys.Chtimes(t.partial, t.src.before.ModTime()) // before the sync, so that it is durable too
	if t.fail("sync", t.f.Sync()) {
		return
	}
	f := t.f
	t.f = nil
	if t.fail("close", f.Close()) {
		return
	}
	t.res.Times = t.keepTime(t.partial)

	t.stage(ReadingBack)
	back, err := readBack(ctx, t.fsys, t.partial, t.res.Path, t.pool, true, io.Discard)
	if t.fail("read back", err) {
		return
	}
	if back.Sum != sum || back.Size != t.src.size() {
		t.fail("read back", store.ErrMismatch)
		return
	}
	err = t.fsys.RenameNew(t.partial, t.res.Path)
	if errors.Is(err, fs.ErrExist) {
		t.exists = true // somebody was faster: what they made has to be looked at
		t.res.Cloned, t.res.Times = false, false
		return
	}
	if t.fail("rename", err) {
		return
	}
	t.partial = "" // the name is no longer ours
	if t.fail("sync folder", t.fsys.SyncDir(vfs.Dir(t.res.Path))) {
		return
	}
	t.res.State, t.res.Bypassed = Copied, back.Bypassed
}

// keepTime sets the time once more where closing has changed it, which Windows
// does, and reports whether it is the source's now.
func (t *target) keepTime(path string) bool {
	want := t.src.before.ModTime()
	for try := range 2 {
		info, err := t.fsys.Lstat(path)
		if err == nil && info.ModTime().Sub(want).Abs() <= 2*time.Second { // FAT keeps 2 s
			return true
		}
		if try == 0 {
			t.fsys.Chtimes(path, want)
		}
	}
	return false
}

// compare holds what has the final name against the source. It is synced first:
// the program that made it may not have done so, and only what is synced can be
// read back from the device.
func (t *target) compare(ctx context.Context, sum [32]byte) {
	path := t.res.Path
	info, err := t.fsys.Lstat(path)
	if err == nil {
		err = t.likely(info)
	}
	if t.fail("copy to", err) {
		return
	}
	t.stage(Syncing)
	if t.fail("sync", syncExisting(t.fsys, path)) {
		return
	}
	t.stage(ReadingBack)
	back, err := readBack(ctx, t.fsys, path, path, t.pool, false, io.Discard)
	if t.fail("read back", err) {
		return
	}
	if back.Sum != sum {
		t.fail("copy to", store.ErrDiffers)
		return
	}
	if t.fail("sync folder", t.fsys.SyncDir(vfs.Dir(path))) {
		return
	}
	t.res.State, t.res.Bypassed = Present, back.Bypassed
	t.res.Times = info.ModTime().Sub(t.src.before.ModTime()).Abs() <= 2*time.Second
}

// syncExisting syncs a file without opening it for writing. Systems that do not
// allow that (Windows) are not asked twice.
func syncExisting(fsys vfs.FS, path string) error {
	f, err := fsys.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	if err := f.Sync(); err != nil && store.Class(err) != store.Permission {
		return err
	}
	return nil
}

// discard removes the partial, if it is still ours.
func (t *target) discard() {
	if t.f != nil {
		t.f.Close() // Windows can't remove an open file
		t.f = nil
	}
	if t.partial != "" {
		t.fsys.Remove(t.partial) // what can't be removed is swept later
		t.partial = ""
	}
}
