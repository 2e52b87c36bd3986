package intake

import (
	"context"
	"io"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"garner/cull/intake/plan"
	"garner/cull/scan"
	"garner/store"
	"garner/store/manifest"
	"garner/store/vfs"
	"garner/store/volume"
)

// look reads from a file what a plan needs to know of it: both ends, and what it
// says of its exposure.
func look(fsys vfs.FS, root string, f found) plan.File {
	p := plan.File{Path: f.path, Size: f.size, Mod: f.mod}
	p.Ends, p.Shot, p.Err = lookAt(fsys, filepath.Join(root, filepath.FromSlash(f.path)), f)
	return p
}

func lookAt(fsys vfs.FS, at string, f found) (ends [32]byte, shot scan.Exposure, err error) {
	r, err := fsys.Open(at)
	if err != nil {
		return ends, shot, err
	}
	defer r.Close()
	if ends, err = store.EndsHash(r, f.size); err != nil {
		return ends, shot, err
	}
	if !mayBePicture(f.path) {
		shot.Class = scan.NoPicture
		return ends, shot, nil
	}
	shot, err = scan.Look(r, f.path, f.size)
	return ends, shot, err
}

// mayBePicture keeps the search for embedded JPEGs away from films and sidecars.
func mayBePicture(p string) bool {
	switch strings.ToLower(path.Ext(p)) {
	case ".tif", ".tiff", ".fff", ".mef", ".mos", ".kdc", ".dcr":
		return true
	}
	return scan.CameraFile(p)
}

// source is one card as it was found.
type source struct {
	root   string // absolute, links followed
	card   *Card
	plan   plan.Source
	tree   tree
	reader *sync.Mutex // held by whoever reads the card
	volume volume.Volume
	// arrived are the sidecars by their sums: one that a handoff has written to since
	// is known again by the sum that was recorded.
	arrived map[manifest.Sum]content
}

// survey lists a source and looks at its files.
func survey(ctx context.Context, fsys vfs.FS, s *source, only []string) error {
	t, err := walk(fsys, s.root, ownFolder)
	if err != nil {
		return err
	}
	s.tree = t
	s.card.Litter = slices.Concat(t.litter, t.partials)
	s.card.DCIM = hasDCIM(fsys, s.root)
	s.plan.DCIM = s.card.DCIM
	wanted := map[string]bool{}
	for _, p := range only {
		wanted[p] = true
	}
	for _, f := range t.files {
		if err := ctx.Err(); err != nil {
			return err
		}
		if only != nil && !wanted[f.path] {
			continue
		}
		p := look(fsys, s.root, f)
		s.plan.Files = append(s.plan.Files, p)
		if sidecar(f.path) && p.Err == nil {
			s.note(fsys, f, p.Ends)
		}
		s.card.Files++
		s.card.Bytes += f.size
	}
	return nil
}

// mostSidecar is the largest sidecar that is known again after a handoff, in bytes.
const mostSidecar = 4 << 20

// note remembers a sidecar's sum.
func (s *source) note(fsys vfs.FS, f found, ends [32]byte) {
	if f.size > mostSidecar {
		return
	}
	r, err := fsys.Open(filepath.Join(s.root, filepath.FromSlash(f.path)))
	if err != nil {
		return
	}
	defer r.Close()
	d := store.NewDigest()
	if n, err := io.Copy(d, io.LimitReader(r, mostSidecar)); err != nil || n != f.size {
		return // the copy will say what is wrong
	}
	if s.arrived == nil {
		s.arrived = map[manifest.Sum]content{}
	}
	s.arrived[d.Sum()] = content{f.size, ends}
}

// hasDCIM reports whether a card's top has the folder that a camera's pictures lie
// in (DCF 2.0, JEITA CP-3461B; read in secondary sources), or one of those that
// cameras put films into (common practice).
func hasDCIM(fsys vfs.FS, root string) bool {
	entries, err := fsys.ReadDir(root)
	if err != nil {
		return false
	}
	for _, e := range entries {
		if !e.IsDir() {
			continue
		}
		switch strings.ToUpper(e.Name()) {
		case "DCIM", "PRIVATE", "AVCHD", "M4ROOT", "XDROOT", "BPAV", "CONTENTS":
			return true
		}
	}
	return false
}
