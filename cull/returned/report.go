package returned

import (
	"cmp"
	"fmt"
	"math/bits"
	"slices"
	"strings"

	"garner/cull"
)

// Report is what a person should know before sets are cut.
type Report struct {
	Unread   []Failure  // could not be read; by path
	Missing  []cull.ID  // keepers without a picture, in the order of the layout
	Smaller  []Smaller  // by path
	Profiles []Profiled // by path
	Twice    []Twice    // in the order of the layout
	Dropped  []Shown    // pictures of frames that were dropped, by path
	Doubtful []Shown    // pictures that are not tied, with the frame that they show most likely; by path
	Open     []string   // paths of pictures that are not tied and look like no frame
}

// Shown is a picture and a frame.
type Shown struct {
	Path  string
	Frame cull.ID
}

// Smaller is a picture that has fewer pixels than what it shows of its frame.
type Smaller struct {
	Path          string
	Frame         cull.ID
	Width, Height int // of the picture
	Long          int // pixels that its long edge would have at the frame's size
}

// Profiled is a picture whose colours are not said, or said oddly.
type Profiled struct{ Path, Reason string }

// Twice is a frame of which several pictures look the same: no versions of it.
type Twice struct {
	Frame cull.ID
	Paths []string
}

// smallerBy is how much shorter the long edge has to be: raw developers cut some
// pixels off each edge, and the share of a crop is known to a few hundredths.
const smallerBy = 0.85

// Check says what is missing or odd. The ties are those of the pictures, in their
// order.
func Check(pictures []Picture, ties []Tie, frames []Frame) Report {
	var r Report
	x := newIndex(frames)
	shown := map[cull.ID]bool{}
	of := map[cull.ID][]int{}
	for i, t := range ties {
		p := &pictures[i]
		for _, id := range t.Frames {
			shown[id] = true
		}
		switch {
		case t.State == Open && len(t.Nearest) > 0:
			r.Doubtful = append(r.Doubtful, Shown{p.Path, t.Nearest[0]})
		case t.State == Open:
			r.Open = append(r.Open, p.Path)
		case len(t.Frames) > 0:
			of[t.Frames[0]] = append(of[t.Frames[0]], i)
			if f, ok := x.byID[t.Frames[0]]; ok && x.frames[f].Answer == cull.No {
				r.Dropped = append(r.Dropped, Shown{p.Path, t.Frames[0]})
			}
			if s, ok := x.smaller(p, t); ok {
				r.Smaller = append(r.Smaller, s)
			}
		}
		if why := profile(p); why != "" {
			r.Profiles = append(r.Profiles, Profiled{p.Path, why})
		}
	}
	for _, f := range frames {
		if f.Answer == cull.Yes && !shown[f.ID] {
			r.Missing = append(r.Missing, f.ID)
		}
		r.Twice = append(r.Twice, twice(f.ID, pictures, of[f.ID])...)
	}
	return r
}

// smaller compares the long edge of a picture with that of the part of the frame that
// it shows. A merge has no size to compare with.
func (x *index) smaller(p *Picture, t Tie) (Smaller, bool) {
	f, ok := x.byID[t.Frames[0]]
	if !ok || len(t.Frames) > 1 {
		return Smaller{}, false
	}
	frame, share := &x.frames[f], 1.0
	for _, l := range p.Likes {
		if l.Frame == frame.ID && l.Bits <= alikeMost {
			share = l.Share
		}
	}
	// The share is that of the edge of which more is left.
	long := share * min(float64(frame.Width)/float64(max(p.Width, 1)), float64(frame.Height)/float64(max(p.Height, 1))) * float64(max(p.Width, p.Height))
	if share == 1 {
		long = float64(max(frame.Width, frame.Height))
	}
	if long <= 0 || float64(max(p.Width, p.Height)) >= smallerBy*long {
		return Smaller{}, false
	}
	return Smaller{p.Path, frame.ID, p.Width, p.Height, int(long + 0.5)}, true
}

// usual are the profiles that pictures for printing and for screens have, by how
// their names begin, in lower case; those of greys besides (common practice).
var usual = []string{"srgb", "adobe rgb", "adobergb", "compatible with adobe rgb", "display p3", "dot gain", "gray gamma", "grey gamma", "sgray", "sgrey", "gray", "grey", "eci"}

// profile says what is odd about a picture's profile; "" = nothing.
func profile(p *Picture) string {
	switch {
	case p.ProfileFault != "":
		return "its colour profile cannot be used: " + p.ProfileFault
	case p.HasProfile:
		name := strings.ToLower(strings.TrimSpace(p.Profile))
		if name == "" {
			return "its colour profile has no name"
		}
		if !slices.ContainsFunc(usual, func(u string) bool { return strings.HasPrefix(name, u) }) {
			return "its colour profile is " + cull.Plain(p.Profile)
		}
	case p.ColorSpace == "":
		return "it has no colour profile"
	}
	return ""
}

// twiceBits is how far two pictures of one frame are at most that look the same.
const twiceBits = 1.0

// twice finds those of one frame's pictures that look the same.
func twice(frame cull.ID, pictures []Picture, is []int) (out []Twice) {
	had := map[int]bool{}
	for a, i := range is {
		if had[i] {
			continue
		}
		same := Twice{Frame: frame, Paths: []string{pictures[i].Path}}
		for _, k := range is[a+1:] {
			if !had[k] && lookSame(&pictures[i], &pictures[k]) {
				had[k] = true
				same.Paths = append(same.Paths, pictures[k].Path)
			}
		}
		if len(same.Paths) > 1 {
			slices.Sort(same.Paths)
			out = append(out, same)
		}
	}
	return out
}

// lookSame reports whether two pictures show the same part in about the same colours.
func lookSame(a, b *Picture) bool {
	if a.Grey != b.Grey || !a.Look.Known() || a.Look.Method != b.Look.Method {
		return false
	}
	sum := 0
	for i := range a.Look.Parts {
		sum += bits.OnesCount64(a.Look.Parts[i] ^ b.Look.Parts[i])
	}
	near := func(u, v uint8) bool { return max(u, v)-min(u, v) <= 6 }
	return float64(sum)/cull.LookParts <= twiceBits && near(a.Look.Red, b.Look.Red) && near(a.Look.Green, b.Look.Green) && near(a.Look.Blue, b.Look.Blue)
}

// Lines says it in sentences, a line each; nothing where all is well. name gives the
// names of frames.
func (r Report) Lines(name func(cull.ID) string) (lines []string) {
	add := func(n int, one, many string, list func(i int) string) {
		if n == 0 {
			return
		}
		text := one
		if n > 1 {
			text = fmt.Sprintf(many, n)
		}
		var items []string
		for i := range min(n, mostListed) {
			items = append(items, list(i))
		}
		if n > mostListed {
			items = append(items, fmt.Sprintf("and %d more", n-mostListed))
		}
		lines = append(lines, text+": "+strings.Join(items, ", "))
	}
	shown := func(path string) string { return cull.Plain(strings.TrimPrefix(path, Folder+"/")) }
	add(len(r.Unread), "a finished picture cannot be read", "%d finished pictures cannot be read", func(i int) string {
		return shown(r.Unread[i].Path) + " (" + cull.Plain(r.Unread[i].Reason) + ")"
	})
	add(len(r.Missing), "a keeper has no finished picture", "%d keepers have no finished picture", func(i int) string { return name(r.Missing[i]) })
	of := func(list []Shown) func(i int) string {
		return func(i int) string { return shown(list[i].Path) + " (" + name(list[i].Frame) + ")" }
	}
	add(len(r.Dropped), "a finished picture shows a frame that was dropped", "%d finished pictures show frames that were dropped", of(r.Dropped))
	add(len(r.Doubtful), "of a finished picture it is not sure which frame it shows, perhaps the one named", "of %d finished pictures it is not sure which frames they show, perhaps those named", of(r.Doubtful))
	add(len(r.Open), "a finished picture looks like no frame", "%d finished pictures look like no frame", func(i int) string { return shown(r.Open[i]) })
	add(len(r.Smaller), "a finished picture is smaller than its frame", "%d finished pictures are smaller than their frames", func(i int) string {
		s := r.Smaller[i]
		return fmt.Sprintf("%s (%dx%d, could be %d long)", shown(s.Path), s.Width, s.Height, s.Long)
	})
	alike, rest := byReason(r.Profiles)
	for _, same := range alike {
		why := strings.ReplaceAll(same[0].Reason, "%", "%%")
		add(len(same), "", "of %d finished pictures the colours are not sure ("+why+")", func(i int) string { return shown(same[i].Path) })
	}
	add(len(rest), "of a finished picture the colours are not sure", "of %d finished pictures the colours are not sure", func(i int) string {
		return shown(rest[i].Path) + " (" + rest[i].Reason + ")"
	})
	slices.SortStableFunc(r.Twice, func(a, b Twice) int { return cmp.Compare(len(b.Paths), len(a.Paths)) })
	add(len(r.Twice), "of a frame two finished pictures look the same", "of %d frames several finished pictures look the same", func(i int) string {
		var paths []string
		for _, p := range r.Twice[i].Paths {
			paths = append(paths, shown(p))
		}
		return strings.Join(paths, " and ")
	})
	return lines
}

// mostSpelled is of how many pictures the same reason is said beside each.
const mostSpelled = 2

// byReason parts pictures of which the same has to be said of many from the rest.
func byReason(list []Profiled) (alike [][]Profiled, rest []Profiled) {
	groups := map[string][]Profiled{}
	for _, p := range list {
		groups[p.Reason] = append(groups[p.Reason], p)
	}
	for _, p := range list {
		switch g := groups[p.Reason]; {
		case len(g) <= mostSpelled:
			rest = append(rest, p)
		case g[0].Path == p.Path:
			alike = append(alike, g)
		}
	}
	return alike, rest
}

// mostListed is how many names a line has.
const mostListed = 8
