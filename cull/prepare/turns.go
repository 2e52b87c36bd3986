package prepare

import "garner/cull"

// Turns says whose turn it is: frames in the order given, but first those that
// somebody waits for.
type Turns struct {
	urgent func() []cull.ID // nil = nobody waits
	index  map[cull.ID]int  // with urgent
	had    []bool
	at     int // none before it is left
	left   int
}

// NewTurns gives each frame one turn. What urgent returns is asked for before each;
// it may be nil.
func NewTurns(frames []cull.Frame, urgent func() []cull.ID) *Turns {
	t := &Turns{urgent: urgent, had: make([]bool, len(frames)), left: len(frames)}
	if urgent != nil {
		t.index = make(map[cull.ID]int, len(frames))
		for i, f := range frames {
			t.index[f.ID] = i
		}
	}
	return t
}

// Left is how many frames had no turn yet.
func (t *Turns) Left() int { return t.left }

// Next gives the index of a frame that had no turn yet; one must be left.
func (t *Turns) Next() int {
	t.left--
	if t.urgent != nil {
		for _, id := range t.urgent() {
			if i, ok := t.index[id]; ok && !t.had[i] {
				t.had[i] = true
				return i
			}
		}
	}
	for t.had[t.at] {
		t.at++
	}
	t.had[t.at] = true
	return t.at
}
