package intake

import (
	"context"
	"path/filepath"
	"strings"

	"garner/cull"
	"garner/cull/intake/plan"
	"garner/cull/scan"
	"garner/store"
	"garner/store/vfs"
)

// index is what the destinations have already.
type index struct {
	have []plan.Have
	at   map[string]int // path → index into have
	// content is, per destination, where contents lie: a file may have been moved
	// in one of them.
	content []map[content][]string
	on      []map[string]bool // per destination: the paths it has
}

// content is what tells two files apart before they are read.
type content struct {
	size int64
	ends [32]byte
}

// notTaken are folders of a job that hold no originals.
func notTaken(rel string) bool { return rel == ".garner" || rel == "finished" || rel == "sets" }

// takeStock lists the destinations. Ends are read of files that have the size of a
// source's file, exposures of all pictures, unless the catalogue knows them.
func takeStock(ctx context.Context, fsys vfs.FS, dests []*destination, sources []*source, known map[string]knownFile, damaged map[string]bool) (*index, error) {
	sizes := map[int64]bool{}
	for _, s := range sources {
		for _, f := range s.plan.Files {
			sizes[f.Size] = true
		}
	}
	x := &index{at: map[string]int{}}
	for n, d := range dests {
		x.content = append(x.content, map[content][]string{})
		x.on = append(x.on, map[string]bool{})
		if !d.exists {
			continue
		}
		t, err := walk(fsys, d.Root, notTaken)
		if err != nil {
			return nil, err
		}
		d.partials = t.partials
		for _, f := range t.files {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			x.add(fsys, n, d.Root, f, sizes[f.size], known, damaged)
		}
		x.rewritten(n, d, sources)
	}
	return x, nil
}

// rewritten gives sidecars that a handoff has written to since they were taken in
// the content that they had then, so that the card's are known again.
func (x *index) rewritten(n int, d *destination, sources []*source) {
	for p, sum := range d.listed {
		if !sidecar(p) || !x.on[n][p] {
			continue
		}
		for _, s := range sources {
			if c, ok := s.arrived[sum]; ok {
				h := &x.have[x.at[p]]
				h.Size, h.Ends, h.HasEnds = c.size, c.ends, true
			}
		}
	}
}

// knownFile is what the catalogue knows of a file.
type knownFile struct {
	file cull.File
	shot scan.Exposure
}

// add takes one file of destination n into the index.
func (x *index) add(fsys vfs.FS, n int, root string, f found, candidate bool, known map[string]knownFile, damaged map[string]bool) {
	x.on[n][f.path] = true
	_, listed := x.at[f.path]
	if listed && !candidate {
		return
	}
	h := plan.Have{Path: f.path, Size: f.size, Aside: strings.HasPrefix(f.path, "aside/"), Damaged: damaged[f.path]}
	at := filepath.Join(root, filepath.FromSlash(f.path))
	k, ok := known[f.path]
	ok = ok && n == 0 && k.file.Size == f.size && k.file.Mod.Equal(f.mod)
	switch {
	case candidate:
		ends, shot, err := lookAt(fsys, at, f)
		h.Ends, h.HasEnds, h.Shot = ends, err == nil, shot
		if err == nil {
			c := content{f.size, ends}
			x.content[n][c] = append(x.content[n][c], f.path)
		}
	case ok:
		h.Shot = k.shot
	case mayBePicture(f.path):
		h.Shot = lookOnly(fsys, at, f)
	default:
		h.Shot.Class = scan.NoPicture
	}
	if listed {
		return
	}
	x.at[f.path] = len(x.have)
	x.have = append(x.have, h)
}

func lookOnly(fsys vfs.FS, at string, f found) scan.Exposure {
	r, err := fsys.Open(at)
	if err != nil {
		return scan.Exposure{Class: scan.NoPicture}
	}
	defer r.Close()
	shot, _ := scan.Look(r, f.path, f.size) // an unreadable file still has its name
	return shot
}

// place is where a file goes at destination n: the planned path, unless only
// another one there has the content.
func (x *index) place(n int, to string, f plan.File) string {
	if x.on[n][to] || f.Err != nil || !f.Shot.Known() {
		return to // equal sidecars belong to different pictures: each has its place
	}
	for _, p := range x.content[n][content{f.Size, f.Ends}] {
		return p
	}
	return to
}

// sweep removes what an interrupted run left. Sidecars in the making may be a
// handoff's, and stay while somebody works on the job.
func sweep(fsys vfs.FS, d *destination, busy bool) {
	for _, p := range d.partials {
		if busy && strings.Contains(strings.ToLower(p), ".xmp.") {
			continue
		}
		if fsys.Remove(filepath.Join(d.Root, filepath.FromSlash(p))) == nil {
			d.Swept++
		}
	}
	// Others write into this folder too: only what this work makes is swept.
	entries, err := fsys.ReadDir(filepath.Join(d.Root, stateFolder))
	if err != nil {
		return
	}
	for _, e := range entries {
		ours := strings.HasPrefix(e.Name(), "."+manifestName) || strings.HasPrefix(e.Name(), "."+sidecarsName)
		if ours && store.IsPartial(e.Name()) && fsys.Remove(filepath.Join(d.Root, stateFolder, e.Name())) == nil {
			d.Swept++
		}
	}
}

// Names below every destination.
const (
	stateFolder  = ".garner"
	manifestName = "manifest-sha256.txt"
	sidecarsName = "sidecars-sha256.txt"
	lockName     = "offload"
)

// sidecar reports whether a file may be rewritten later by a handoff, so that its
// sum is kept apart.
func sidecar(p string) bool { return strings.EqualFold(filepath.Ext(p), ".xmp") }
