package intake

import (
	"fmt"
	"strings"

	"garner/cull/intake/plan"
	"garner/store/vfs"
)

// RoomError says that something does not fit, before the first byte was written.
type RoomError struct {
	Lacks []Lack
}

// Lack is a volume on which there is not enough room.
type Lack struct {
	Roots       []string // the destinations on it
	Needs, Free int64    // bytes
}

func (e *RoomError) Error() string {
	var parts []string
	for _, l := range e.Lacks {
		parts = append(parts, fmt.Sprintf("%s has %.1f GB free and would need %.1f GB", strings.Join(l.Roots, " and "), float64(l.Free)/1e9, float64(l.Needs)/1e9))
	}
	return "there is not enough room: " + strings.Join(parts, "; ")
}

// slack is what file systems need beside the files' bytes: one part in two hundred.
const slack = 200

// room counts what each destination will need, and fails when it isn't there.
// Destinations on one volume share its room.
func room(fsys vfs.FS, dests []*destination, sources []*source, p plan.Plan, x *index) error {
	for _, d := range dests {
		d.Needs = 0
		written := map[string]bool{}
		for _, s := range p.Steps {
			f := sources[s.Source].plan.Files[s.File]
			to := x.place(d.n, s.To, f)
			if s.Action == plan.Leave || x.on[d.n][to] || written[to] {
				continue
			}
			written[to] = true
			d.Needs += f.Size
		}
	}
	var err RoomError
	done := map[string]bool{}
	for _, d := range dests {
		free, ferr := fsys.FreeSpace(d.Root)
		if ferr != nil {
			return ferr
		}
		d.Free = free
		if d.vol.Root != "" && done[d.vol.Root] {
			continue
		}
		done[d.vol.Root] = true
		l := Lack{Free: free}
		for _, o := range dests {
			if o == d || d.vol.Root != "" && o.vol.Root == d.vol.Root {
				l.Roots, l.Needs = append(l.Roots, o.Root), l.Needs+o.Needs
			}
		}
		if l.Needs > 0 && l.Needs+l.Needs/slack > free {
			err.Lacks = append(err.Lacks, l)
		}
	}
	if len(err.Lacks) > 0 {
		return &err
	}
	return nil
}
