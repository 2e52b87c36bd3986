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
	base   Layout     // as it was grouped
	layout Layout     // as it was corrected, with the scenes' names
	places map[ID]int // frame → index into layout.Places
	names  nameIndex
	alias  map[ID]ID // former id → id
	// formerly turns alias round, so that many of them cost one step each.
	formerly map[ID][]ID

	passes  []Pass // in order of definition; keep first
	answers map[string]map[ID]Decision
	touched map[ID]int64 // frame → At of the last entry that changed it, Unix milliseconds
	scenes  map[ID]string
	named   bool   // a scene was given a name at some time
	made    []made // corrections of the groups, in the order of their entries

	done, undone []step // what undo and redo take from their ends
	past         []step // undone, and out of reach since something was done after
	replaying    bool   // the layout is put right at the end of Replay
	lastSeq      uint64
	version      uint64

	at   int         // cursor: index into layout.Places
	pass string      // the pass that the cursor walks
	only restriction // frames that it walks
}

// step is one thing that can be undone, with what stood before and after it.
type step struct {
	seq     uint64
	kind    stepKind
	pass    string
	changes []replaced // complete decisions

	hook         ID // of a scene's name
	was, becomes sceneName
}

type stepKind uint8

const (
	stepAnswers stepKind = iota
	stepCorrection
	stepScene
)

// sceneName is what hangs on a frame; not given is not the same as taken back.
type sceneName struct {
	name  string
	given bool
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

// SetLayout changes order, moments and scenes as they were grouped; what was
// corrected by hand is corrected in the new ones too. Decisions stay as they are,
// since they belong to frames: one that joins a decided burst is open. The
// cursor stays on its frame, or where that is gone, at its place.
func (s *Session) SetLayout(l Layout) {
	s.base = Layout{Places: slices.Clone(l.Places), Scenes: slices.Clone(l.Scenes)}
	s.correct()
}

// Layout returns the layout in use, corrected and with the scenes' names; it must
// not be changed.
func (s *Session) Layout() Layout { return s.layout }

// Base returns the layout without corrections, as SetLayout was given it: what a
// newer one is to be joined with. It must not be changed.
func (s *Session) Base() Layout { return s.base }

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
