package cull

import (
	"maps"
	"slices"
)

// Session is one person's deciding on one job: the standing decisions of every
// pass, what can be undone and redone, and the cursor. It is a pure reducer:
// Plan says what an action would journal and changes nothing; Commit applies an
// entry, new or replayed, and is the only thing that changes a decision. So a
// program plans, makes the entry durable, commits, and only then shows. It
// holds no lock: one goroutine uses it.
type Session struct {
	layout Layout
	places map[ID]int // frame → index into layout.Places
	names  nameIndex
	alias  map[ID]ID // former id → id
	// formerly turns alias round, so that many of them cost one step each.
	formerly map[ID][]ID

	passes  []Pass // in order of definition; keep first
	answers map[string]map[ID]Decision
	touched map[ID]int64 // frame → At of the last entry that changed it, Unix milliseconds
	scenes  map[ID]string

	done, undone []step // what undo and redo take from their ends
	lastSeq      uint64
	version      uint64

	at   int    // cursor: index into layout.Places
	pass string // the pass that the cursor walks
}

// step is one thing that can be undone, with the complete decisions before and
// after it.
type step struct {
	seq     uint64
	pass    string
	changes []replaced
}

type replaced struct {
	frame         ID
	before, after Decision
}

// NewSession begins with nothing decided. names gives the frames' names, for
// lines of decide.
func NewSession(l Layout, names map[ID]string) *Session {
	s := &Session{
		alias:    map[ID]ID{},
		formerly: map[ID][]ID{},
		passes:   []Pass{{Name: KeepPass}},
		answers:  map[string]map[ID]Decision{},
		touched:  map[ID]int64{},
		scenes:   map[ID]string{},
		pass:     KeepPass,
	}
	s.SetNames(names)
	s.SetLayout(l)
	return s
}

// SetLayout changes order, moments and scenes. Decisions stay as they are,
// since they belong to frames: one that joins a decided burst is open. The
// cursor stays on its frame, or where that is gone, at its place.
func (s *Session) SetLayout(l Layout) {
	on := s.Cursor()
	s.layout = Layout{Places: slices.Clone(l.Places), Scenes: slices.Clone(l.Scenes)}
	s.places = make(map[ID]int, len(l.Places))
	for i, p := range l.Places {
		s.places[p.Frame] = i
	}
	s.nameScenes()
	if i, ok := s.places[s.canon(on)]; ok {
		s.at = i
	} else {
		s.at = max(0, min(s.at, len(l.Places)-1))
	}
	s.version++
}

// Layout returns the layout in use, with the scenes' names; it must not be
// changed.
func (s *Session) Layout() Layout { return s.layout }

// Decision returns the standing decision; the zero Decision is open.
func (s *Session) Decision(pass string, id ID) Decision { return s.answers[pass][s.canon(id)] }

// Decisions returns a copy of all decisions of a pass that were ever made,
// those that were opened again included.
func (s *Session) Decisions(pass string) map[ID]Decision { return maps.Clone(s.answers[pass]) }

// Version grows with every change of the session, its cursor included.
func (s *Session) Version() uint64 { return s.version }

// LastSeq is the number of the last entry committed.
func (s *Session) LastSeq() uint64 { return s.lastSeq }

// Moment returns the frames of the moment that holds id, in order; nil if the
// frame is not in the layout.
func (s *Session) Moment(id ID) []ID {
	i, ok := s.places[s.canon(id)]
	if !ok {
		return nil
	}
	places := s.layout.Places[s.momentStart(i) : s.momentEnd(i)+1]
	frames := make([]ID, len(places))
	for k, p := range places {
		frames[k] = p.Frame
	}
	return frames
}

// Place returns where a frame stands in the layout.
func (s *Session) Place(id ID) (Place, bool) {
	i, ok := s.places[s.canon(id)]
	if !ok {
		return Place{}, false
	}
	return s.layout.Places[i], true
}

func (s *Session) momentStart(i int) int {
	for i > 0 && s.layout.Places[i-1].Moment == s.layout.Places[i].Moment {
		i--
	}
	return i
}

func (s *Session) momentEnd(i int) int {
	for i+1 < len(s.layout.Places) && s.layout.Places[i+1].Moment == s.layout.Places[i].Moment {
		i++
	}
	return i
}
