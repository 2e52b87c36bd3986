package prepare

import "garner/cull"

// turns says whose turn it is: frames by name, but first those that somebody
// waits for.
type turns struct {
	urgent func() []cull.ID // nil = nobody waits
	index  map[cull.ID]int  // with urgent
	had    []bool
	at     int // none before it is left
	left   int
}

func newTurns(frames []cull.Frame, urgent func() []cull.ID) *turns {
	t := &turns{urgent: urgent, had: make([]bool, len(frames)), left: len(frames)}
	if urgent != nil {
		t.index = make(map[cull.ID]int, len(frames))
		for i, f := range frames {
			t.index[f.ID] = i
		}
	}
	return t
}

// next gives the index of a frame that had no turn yet; one must be left.
func (t *turns) next() int {
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
