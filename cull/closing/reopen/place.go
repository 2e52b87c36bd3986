package reopen

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"garner/cull/closing/record"
	"garner/store"
	"garner/store/atomicfile"
	"garner/store/copy"
	"garner/store/vfs"
)

// markerName is the file in the state folder that stands for an opening under way: the
// checksum of the record that it is made from.
const markerName = "opening.txt"

// believe holds every file of the record against the manifest.
func (r *runner) believe() error {
	for _, name := range r.rec.Names() {
		at := record.RunFolder(r.rec.Job.Run) + "/" + name
		sum, ok := r.bag.Sum(at)
		switch {
		case !ok && name == record.WroteName && r.rec.Job.Wrote == 0:
			continue // of a bag that was made before there was such a file
		case !ok:
			return &UnreadError{fmt.Errorf("%s is in no manifest of the bag: it was being added to, or that was interrupted", at)}
		}
		if err := r.plain(at); err != nil {
			return fmt.Errorf("%s: %w", at, err)
		}
		if _, err := copy.Verify(r.ctx, r.o.fsys, r.inBag(at), sum); err != nil {
			return fmt.Errorf("%s: %w", at, &UnreadError{err})
		}
		if name == record.JobName {
			r.marker = store.Hex(sum) + "\n"
		}
	}
	return nil
}

func (r *runner) inBag(p string) string { return filepath.Join(r.rec.Bag, filepath.FromSlash(p)) }
func (r *runner) inJob(p string) string { return filepath.Join(r.root, filepath.FromSlash(p)) }

// plain makes sure that a path of the bag is a file, and that no link is on the way.
func (r *runner) plain(p string) error {
	at := r.rec.Bag
	var parts []string
	for rest := filepath.FromSlash(p); rest != "."; rest = filepath.Dir(rest) {
		parts = append(parts, filepath.Base(rest))
	}
	slices.Reverse(parts)
	for i, part := range parts {
		at = filepath.Join(at, part)
		last := i == len(parts)-1
		if !last && r.folders[at] {
			continue
		}
		info, err := r.o.fsys.Lstat(at)
		switch {
		case err != nil:
			return err
		case last && !info.Mode().IsRegular(), !last && !info.IsDir():
			return errors.New("it is no file of the bag but a link, or something else")
		}
		if !last {
			r.folders[at] = true
		}
	}
	return nil
}

// enter takes the folder that becomes the job: one that is new, empty, or that an
// interrupted run was making from the same record.
func (r *runner) enter() error {
	if within(r.rec.Bag, r.root) || within(r.root, r.rec.Bag) {
		return ErrInside
	}
	switch was, err := r.begun(); {
	case err != nil:
		return err
	case was == r.marker:
		r.sum.Resumed = true
		return r.room()
	case was != "":
		return ErrOther
	}
	if err := r.empty(); err != nil {
		return err
	}
	if err := r.room(); err != nil {
		return err
	}
	for _, dir := range []string{r.root, r.state} {
		if err := vfs.MkdirAll(r.o.fsys, dir, 0o777); err != nil {
			return err
		}
	}
	return atomicfile.WriteFile(r.o.fsys, filepath.Join(r.state, markerName), []byte(r.marker), 0o666)
}

// begun reads the marker; "" = there is none.
func (r *runner) begun() (string, error) {
	path := filepath.Join(r.state, markerName)
	f, _, err := vfs.OpenPlain(path)
	if errors.Is(err, fs.ErrNotExist) {
		return "", nil
	}
	if err != nil {
		return "", err
	}
	defer f.Close()
	b, err := io.ReadAll(io.LimitReader(f, 4*sha256.Size))
	if err == nil && len(b) == 0 {
		b = []byte("?")
	}
	return string(b), err
}

// empty makes sure that there is nothing in the folder but what a run leaves that was
// interrupted at its very beginning.
func (r *runner) empty() error {
	entries, err := os.ReadDir(r.root)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return store.Wrap("read", r.root, err)
	}
	for _, e := range entries {
		if filepath.Join(r.root, e.Name()) != r.state || !e.IsDir() {
			return ErrNotEmpty
		}
	}
	entries, err = os.ReadDir(r.state)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if slices.ContainsFunc(entries, func(e fs.DirEntry) bool { return !store.IsPartial(e.Name()) }) {
		return ErrNotEmpty
	}
	return err
}

// room makes sure that everything fits.
func (r *runner) room() error {
	vol, err := r.o.VolumeOf(r.root)
	if err != nil {
		return nil // the disk will say when it is full
	}
	var need int64
	for _, m := range r.moves {
		info, err := r.o.fsys.Lstat(r.inBag(m.from))
		if err != nil {
			continue // that is said when it is copied
		}
		need += info.Size()
		if there, err := r.o.fsys.Lstat(r.inJob(m.to)); err == nil {
			need -= min(there.Size(), info.Size())
		}
	}
	if need > vol.Free {
		return &RoomError{need, vol.Free}
	}
	return nil
}

// within reports whether a path, or what exists of it, is the folder top or lies below
// it: names may differ by links and by case.
func within(top, p string) bool {
	at, err := os.Stat(top)
	if err != nil {
		return false
	}
	for {
		real, err := filepath.EvalSymlinks(p)
		if err == nil {
			for q := real; ; q = filepath.Dir(q) {
				if is, err := os.Stat(q); err == nil && os.SameFile(is, at) {
					return true
				}
				if q == filepath.Dir(q) {
					return false
				}
			}
		}
		if p == filepath.Dir(p) {
			return false
		}
		p = filepath.Dir(p)
	}
}
