package handoff

import (
	"path"
	"slices"

	"garner/cull"
	"garner/cull/sidecar"
)

// naming knows which sidecar names belong to which frames of the job.
type naming struct {
	style  sidecar.Style
	shared map[string]bool    // main files whose short name another frame claims too
	full   map[string]cull.ID // whose main file has this full sidecar name
}

func newNaming(frames map[cull.ID]cull.Frame, style sidecar.Style) naming {
	n := naming{style: style, full: map[string]cull.ID{}}
	mains := map[string]string{}
	for id, f := range frames {
		if len(f.Files) > 0 {
			main := f.Files[0].Original()
			mains[main] = string(id)
			n.full[sidecar.Names(main, sidecar.Full)[0]] = id
		}
	}
	n.shared = sidecar.Shared(mains)
	return n
}

// of returns the sidecars of a frame, job-relative, given what lies in its
// folder. A name that is exactly another frame's is never taken for ours in
// another case of letters.
func (n naming) of(f cull.Frame, listing []string) []string {
	main := f.Files[0].Original()
	mine := make([]string, 0, len(listing))
	for _, name := range listing {
		if id, ok := n.full[name]; !ok || id == f.ID {
			mine = append(mine, name)
		}
	}
	return sidecar.Targets(main, n.style, mine, n.shared[main])
}

// existing returns those of a frame's sidecars that are there.
func (n naming) existing(f cull.Frame, listing []string) []string {
	return slices.DeleteFunc(n.of(f, listing), func(name string) bool { return !slices.Contains(listing, name) })
}

// folderOf is the folder of a frame's main file; of one that was freed, where it was.
func folderOf(f cull.Frame) string { return path.Dir(f.Files[0].Original()) }
