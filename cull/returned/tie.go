package returned

import (
	"cmp"
	"slices"

	"garner/cull"
)

// State says how it stands with a picture.
type State uint8

// The states. Foreign is what a person said: it shows none of the frames.
const (
	Open State = iota
	Tied
	ByHand
	Foreign
)

func (s State) String() string {
	switch s {
	case Open:
		return "open"
	case Tied:
		return "tied"
	case ByHand:
		return "by hand"
	case Foreign:
		return "foreign"
	}
	return "unknown"
}

// Tie is which frames a picture shows.
type Tie struct {
	Path   string
	State  State
	Frames []cull.ID // of a merge the lead first; empty where it is open or foreign

	Why     []string  // clauses for people: what speaks for it, or why it stays open
	Nearest []cull.ID // of an open one: the frames that it may show, best first

	// Version counts the pictures of one frame, in the order of their paths, from 1
	// to Versions; 0 where no frame is known.
	Version, Versions int
}

// Result is a tie for each picture, in their order.
type Result struct{ Ties []Tie }

const mostNearest = 8

// Find finds the frames of each picture. It is pure, and takes time in proportion to
// the pictures, their names and what they look like.
func Find(pictures []Picture, frames []Frame) Result {
	x := newIndex(frames)
	x.heedNumbers(pictures)
	out := Result{Ties: make([]Tie, len(pictures))}
	for i := range pictures {
		p := &pictures[i]
		t := Tie{Path: p.Path}
		if p.Said {
			x.byHand(p, &t)
		} else {
			x.judge(p, &t)
		}
		out.Ties[i] = t
	}
	out.countVersions()
	return out
}

// byHand takes over what a person said. A frame that is not in the job any more
// leaves the picture open.
func (x *index) byHand(p *Picture, t *Tie) {
	t.Why = []string{"said by hand"}
	if len(p.Shows) == 0 {
		t.State = Foreign
		return
	}
	for _, id := range p.Shows {
		if _, ok := x.byID[id]; ok {
			t.Frames = append(t.Frames, id)
		}
	}
	t.State = ByHand
	if len(t.Frames) == 0 {
		t.State, t.Why = Open, []string{"said by hand to show a frame that is not in the job"}
	}
}

// countVersions numbers the pictures of each frame.
func (r *Result) countVersions() {
	of := map[cull.ID][]int{}
	for i, t := range r.Ties {
		if len(t.Frames) > 0 {
			of[t.Frames[0]] = append(of[t.Frames[0]], i)
		}
	}
	for _, is := range of {
		slices.SortStableFunc(is, func(a, b int) int { return cmp.Compare(r.Ties[a].Path, r.Ties[b].Path) })
		for n, i := range is {
			r.Ties[i].Version, r.Ties[i].Versions = n+1, len(is)
		}
	}
}
