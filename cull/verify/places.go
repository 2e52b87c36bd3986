package verify

import (
	"context"
	"errors"
	"io/fs"
	"maps"
	"path/filepath"
	"slices"

	"garner/cull/job"
	"garner/store"
	"garner/store/manifest"
	"garner/store/vfs"
)

// The files that an offload leaves in every folder that it copies to.
const (
	stateFolder   = ".garner"
	manifestName  = "manifest-sha256.txt"
	sidecarsName  = "sidecars-sha256.txt"
	catalogueName = "catalog.db"
)

// listed is a folder, or its sidecars, and what its files have to be.
type listed struct {
	root     string
	sums     map[string]manifest.Sum
	sidecars bool
	counts   map[State]int
}

// Alone reports whether a folder is a copy of a job: it has a manifest, and no
// catalogue.
func Alone(dir string) bool {
	_, err := vfs.OS{}.Stat(filepath.Join(dir, stateFolder, catalogueName))
	if !errors.Is(err, fs.ErrNotExist) {
		return false
	}
	_, err = vfs.OS{}.Stat(filepath.Join(dir, stateFolder, manifestName))
	return err == nil
}

// Folder reads every file of a folder that an offload copied to, and writes
// nothing there: it holds them against the folder's own manifest.
func Folder(ctx context.Context, dir string, o Options) (sum Summary, err error) {
	sum.Files, sum.Sidecars, sum.NoCatalogue = map[State]int{}, map[State]int{}, true
	originals, err := load(dir, filepath.Join(dir, stateFolder), manifestName)
	if err != nil {
		return sum, err
	}
	sidecars, err := sidecarsOf(dir, filepath.Join(dir, stateFolder))
	if err != nil {
		return sum, err
	}
	r := &run{ctx: ctx, o: o, sum: &sum}
	r.expect(dir, slices.Collect(maps.Keys(originals.sums)))
	r.expect(dir, slices.Collect(maps.Keys(sidecars.sums)))
	if err := r.compare(originals, "", sum.Files); err != nil {
		return sum, err
	}
	return sum, r.compare(sidecars, "", sum.Sidecars)
}

func load(root, state, name string) (listed, error) {
	sums, err := manifest.Load(vfs.OS{}, filepath.Join(state, name))
	return listed{root: root, sums: sums}, err
}

func sidecarsOf(root, state string) (listed, error) {
	l, err := load(root, state, sidecarsName)
	l.sidecars = true
	return l, err
}

// places are the manifests of the job's other folders, as far as they are there.
// What can't be compared is in the summary.
func (r *run) places() (all []listed, err error) {
	dirs, err := r.job.Also()
	if err != nil {
		return nil, err
	}
	for _, dir := range dirs {
		p := Place{Path: dir, Reachable: job.Reachable(dir), Files: map[State]int{}, Sidecars: map[State]int{}}
		if p.Reachable {
			state := filepath.Join(dir, stateFolder)
			originals, err1 := load(dir, state, manifestName)
			sidecars, err2 := sidecarsOf(dir, state)
			if err := errors.Join(err1, err2); err != nil {
				p.Fault = "its manifest cannot be read: " + err.Error()
				var e *store.Error
				if errors.As(err, &e) {
					p.Fault = "its manifest cannot be read: " + e.Err.Error()
				}
			} else {
				originals.counts, sidecars.counts = p.Files, p.Sidecars
				all = append(all, originals, sidecars)
				r.agree(&p, originals.sums)
			}
		}
		r.sum.Places = append(r.sum.Places, p)
	}
	return all, nil
}

// agree holds two manifests against each other: everything lies at the same path
// everywhere.
func (r *run) agree(p *Place, theirs map[string]manifest.Sum) {
	for _, path := range slices.Sorted(maps.Keys(r.manifest)) {
		switch sum, ok := theirs[path]; {
		case r.freed[path] || r.small[path]:
		case !ok:
			p.Lacks++
		case job.Sum(sum) != r.manifest[path]:
			p.Files[Changed]++
			r.line(Line{Path: path, Place: p.Path, State: Changed, Reason: "its manifest and that of the job do not agree"})
		}
	}
}

// compare reads the files of a manifest.
func (r *run) compare(l listed, place string, counts map[State]int) error {
	for _, p := range slices.Sorted(maps.Keys(l.sums)) {
		sum, err := r.read(l.root, p)
		line := Line{Path: p, Place: place, Sidecar: l.sidecars}
		switch {
		case r.ctx.Err() != nil:
			return r.ctx.Err()
		case errors.Is(err, fs.ErrNotExist):
			line.State = Missing
		case err != nil:
			line.State, line.Reason = Unreadable, reason(err)
		case sum != job.Sum(l.sums[p]) && l.sidecars:
			line.State, line.Reason = Changed, "it is not as it came from the card any more"
		case sum != job.Sum(l.sums[p]):
			line.State, line.Reason = Changed, "its bytes are not those of the manifest"
		default:
			counts[Same]++
			continue
		}
		counts[line.State]++
		r.line(line)
	}
	return nil
}
