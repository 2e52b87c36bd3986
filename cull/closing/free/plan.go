package free

import (
	"cmp"
	"slices"
	"strings"

	"garner/cull"
	"garner/cull/intake/plan"
	"garner/preview/raw"
)

// Plan says which originals may go and which stay, before anything is proved.
type Plan struct {
	Go   []File // by path
	Stay []Stay // by path
	Bags []string
}

// Bytes is what the originals that may go take.
func (p Plan) Bytes() (n int64) {
	for _, f := range p.Go {
		n += f.Bytes
	}
	return n
}

// known is what a plan is made of.
type known struct {
	frames  map[cull.ID]cull.Frame
	answers map[cull.ID]cull.Decision // of the pass keep
	back    map[cull.ID]bool          // dropped there, and taken back by a later pass
	shown   map[cull.ID]bool          // frames of which there may be a finished picture
	bags    []testimony
}

// testimony is what a bag says of the job's originals, by their paths in the job.
type testimony struct {
	dir     string
	smalls  map[string]kept // of which it has a small picture
	whole   map[string]kept // that it has themselves
	dropped map[string]bool // whose frames had been dropped when the record was made
	edges   map[string]int  // by the place of a small picture in the bag: its long edge, in pixels
}

// kept is what a bag has of an original.
type kept struct {
	at    string   // in the bag
	sum   [32]byte // of the original
	bytes int64    // of the original
}

// draw makes the plan. It is pure, and every doubt keeps the file.
func draw(k known, o Options) Plan {
	var p Plan
	owners := owners(k.frames)
	for _, b := range k.bags {
		p.Bags = append(p.Bags, b.dir)
	}
	for id, f := range k.frames {
		for _, x := range f.Files {
			if !o.concerns(x, k.answers[id]) {
				continue
			}
			file, why, what := k.judge(f, x, o)
			if why < 0 && owners[plan.Fold(x.Path)] != 1 {
				why = Shared
			}
			if why < 0 {
				p.Go = append(p.Go, file)
			} else {
				p.Stay = append(p.Stay, Stay{x.Path, id, x.Size, why, what})
			}
		}
	}
	slices.SortFunc(p.Go, func(a, b File) int { return strings.Compare(a.Path, b.Path) })
	slices.SortFunc(p.Stay, func(a, b Stay) int {
		return cmp.Or(strings.Compare(a.Path, b.Path), strings.Compare(string(a.Frame), string(b.Frame)))
	})
	return p
}

// owners counts how often a path stands in frames, by its folded form: some systems
// take names for one that differ in case.
func owners(frames map[cull.ID]cull.Frame) map[string]int {
	n := map[string]int{}
	for _, f := range frames {
		for _, x := range f.Files {
			n[plan.Fold(x.Path)]++
		}
	}
	return n
}

// concerns reports whether a file is one that might be asked to go: a raw of a frame
// that was dropped, or kept where those are retired.
func (o Options) concerns(x cull.File, d cull.Decision) bool {
	if !raw.Kind(x.Kind).Raw() {
		return false
	}
	switch x.Role {
	case cull.RoleMain, cull.RoleTwin, cull.RoleVersion:
	default:
		return false
	}
	return d.Answer == cull.No || o.Retire && d.Answer == cull.Yes
}

// goes is the reason that is none.
const goes Why = -1

// judge says whether a file may go, as far as job and bags tell.
func (k known) judge(f cull.Frame, x cull.File, o Options) (File, Why, string) {
	d := k.answers[f.ID]
	file := File{Path: x.Path, Frame: f.ID, Name: f.Name, Bytes: x.Size, Kept: d.Answer == cull.Yes}
	switch {
	case !o.concerns(x, d):
		return file, Changed, ""
	case k.back[f.ID]:
		return file, TakenBack, ""
	case !file.Kept && !d.Shown && !o.Unshown:
		return file, NotShown, ""
	case !file.Kept && k.shown[f.ID]:
		return file, Finished, ""
	}
	for i, b := range k.bags {
		has, ok := b.smalls[x.Path]
		if file.Kept {
			has, ok = b.whole[x.Path]
		}
		switch {
		case !ok && file.Kept:
			return file, NotTwice, b.dir
		case !ok && b.dropped[x.Path] && b.whole[x.Path].at != "":
			return file, NoPicture, ""
		case !ok:
			return file, NotArchived, b.dir
		case has.bytes != x.Size || i > 0 && has.sum != file.Sum:
			return file, Differs, "not of the size or sum that " + b.dir + " has of it"
		}
		file.Sum = has.sum
		file.bags = append(file.bags, has.at)
	}
	if len(file.bags) == 0 {
		return file, NotArchived, ""
	}
	return file, goes, ""
}

// reduced counts the originals of which a picture is to stay that has less than half of
// the frame's long edge, and gives the edges, in pixels, of the one that loses most.
func (k known) reduced(files []File) (n, edge, of int) {
	for _, f := range files {
		if f.Kept {
			continue
		}
		shot := k.frames[f.Frame].Shot
		long, small := max(shot.Width, shot.Height), 0
		for i, at := range f.bags {
			if e := k.bags[i].edges[at]; e > 0 && (small == 0 || e < small) {
				small = e
			}
		}
		if small <= 0 || 2*small >= long {
			continue
		}
		if n++; n == 1 || small*of < edge*long {
			edge, of = small, long
		}
	}
	return n, edge, of
}
