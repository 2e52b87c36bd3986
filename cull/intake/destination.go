package intake

import (
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"sync"
	"time"

	"garner/store"
	"garner/store/manifest"
	"garner/store/vfs"
	"garner/store/volume"
)

// destination is one folder that everything goes to.
type destination struct {
	Destination
	n        int
	vol      volume.Volume
	device   int         // destinations on one disk share it
	exists   bool        // the folder was there before
	folder   fs.FileInfo // as it was found on vol; nil = not yet
	partials []string

	mu       sync.Mutex
	down     error // nothing more is written
	listed   map[string]manifest.Sum
	sums     batch // originals not yet in the manifest
	sidecars batch
}

// batch collects sums, so that the manifest is not replaced for every file.
type batch struct {
	sums  map[string]manifest.Sum
	since time.Time
}

// A manifest is replaced after so many files and after a part of those that it lists
// already, or else it would be written over and over for a card of very many; or after
// so long a time; and when a card is finished.
const (
	batchFiles = 64
	batchPart  = 4
	batchTime  = 5 * time.Second
)

// fallsOut takes note of a failure that concerns the whole destination.
func (d *destination) fallsOut(err error) {
	switch store.Class(err) {
	case store.NoSpace, store.DeviceGone:
	case store.Permission:
		if !readOnly(err) {
			return
		}
	default:
		return
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.down == nil {
		d.down = err
		d.Down = reason(err)
	}
}

// errOther says that a destination is no longer where it was.
var errOther = errors.New("is on another disk now: was its own taken away?")

// still gives a destination up when its folder is no longer on the volume that it
// was on: where a disk was mounted there is now a folder of the disk below, and a
// copy made there is on no device of its own. As long as the folder is the same one
// nothing else needs to be asked.
func (r *run) still(d *destination) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.down != nil {
		return d.down
	}
	info, err := r.fsys.Stat(d.Root)
	if err == nil && d.folder != nil && vfs.SameFile(info, d.folder) {
		return nil
	}
	if err == nil {
		v, verr := r.o.VolumeOf(d.Root)
		if verr == nil && v.Root == d.vol.Root && v.Source == d.vol.Source && v.Disk == d.vol.Disk {
			d.folder = info // some drivers number a folder anew
			return nil
		}
		err = verr
	}
	if err == nil || errors.Is(err, fs.ErrNotExist) {
		err = errOther
	}
	d.down, d.Down = err, reason(err)
	return err
}

// isDown returns why nothing more is written; nil = it is.
func (d *destination) isDown() error {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.down
}

// record remembers the sum of a file that stands there, and writes the manifest
// when there is enough to write.
func (d *destination) record(fsys vfs.FS, rel string, sum manifest.Sum, now time.Time, guard func(func() error) error) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if old, ok := d.listed[rel]; ok && old == sum {
		return nil
	}
	b := &d.sums
	if sidecar(rel) {
		b = &d.sidecars
	}
	if b.sums == nil {
		b.sums, b.since = map[string]manifest.Sum{}, now
	}
	b.sums[rel] = sum
	if len(b.sums) < max(batchFiles, len(d.listed)/batchPart) && now.Sub(b.since) < batchTime {
		return nil
	}
	return d.write(fsys, guard)
}

// flush makes all sums durable.
func (d *destination) flush(fsys vfs.FS, guard func(func() error) error) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.write(fsys, guard)
}

func (d *destination) write(fsys vfs.FS, guard func(func() error) error) error {
	if len(d.sums.sums)+len(d.sidecars.sums) == 0 {
		return nil
	}
	if d.down != nil {
		return d.down
	}
	for name, b := range map[string]*batch{manifestName: &d.sums, sidecarsName: &d.sidecars} {
		if len(b.sums) == 0 {
			continue
		}
		add := func() error { return manifest.Add(fsys, filepath.Join(d.Root, stateFolder, name), b.sums) }
		var err error
		if d.n == 0 && guard != nil {
			err = guard(add)
		} else {
			err = add()
		}
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		for p, sum := range b.sums {
			d.listed[p] = sum
		}
		b.sums = nil
	}
	return nil
}

// load reads the sums that the destination has.
func (d *destination) load(fsys vfs.FS) error {
	d.listed = map[string]manifest.Sum{}
	for _, name := range []string{manifestName, sidecarsName} {
		sums, err := manifest.Load(fsys, filepath.Join(d.Root, stateFolder, name))
		if err != nil {
			return fmt.Errorf("%s: %w", filepath.Join(d.Root, stateFolder, name), err)
		}
		for p, sum := range sums {
			d.listed[p] = sum
		}
	}
	return nil
}

// folderExists reports whether there is a folder; a file in its place is an error.
func folderExists(fsys vfs.FS, dir string) (bool, error) {
	info, err := fsys.Stat(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return false, nil
	case err != nil:
		return false, store.Wrap("look at", dir, err)
	case !info.IsDir():
		return false, store.Wrap("look at", dir, errors.New("is a file, not a folder"))
	}
	return true, nil
}
