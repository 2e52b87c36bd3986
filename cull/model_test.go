package cull

import (
	"fmt"
	"maps"
	"reflect"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// testID makes the id of the i-th frame of a test.
func testID(i int) ID { return ID(fmt.Sprintf("%08x%08x", uint32(i+1)*2654435761, i)) }

// testLayout lines up moments of the given sizes, three moments a scene.
func testLayout(sizes ...int) (Layout, map[ID]string) {
	var l Layout
	names := map[ID]string{}
	for m, size := range sizes {
		if m%3 == 0 {
			l.Scenes = append(l.Scenes, Scene{ID: m / 3, Name: SceneNumber(m / 3), First: testID(len(l.Places))})
		}
		kind := Burst
		if size == 1 {
			kind = Single
		}
		for range size {
			id := testID(len(l.Places))
			l.Places = append(l.Places, Place{Frame: id, Moment: m, Kind: kind, Scene: m / 3})
			names[id] = fmt.Sprintf("A/IMG_%04d", len(names)+1)
		}
	}
	return l, names
}

// genSession makes a session over a layout of its own.
func genSession(t *rapid.T) (s *Session, fresh func() *Session) {
	l, names := testLayout(rapid.SliceOfN(rapid.IntRange(1, 5), 1, 7).Draw(t, "moments")...)
	if rapid.Bool().Draw(t, "alike") {
		for i, p := range l.Places {
			if p.Moment%3 < 2 && p.Scene == (len(l.Places)-1)/7%2 {
				l.Places[i].Alike = p.Scene + 1
			}
		}
		numberSets(l.Places)
	}
	fresh = func() *Session { return NewSession(l, names) }
	return fresh(), fresh
}

// genAction makes any action, sensible or not.
func genAction(s *Session) *rapid.Generator[Action] {
	return rapid.Custom(func(t *rapid.T) Action {
		frame := rapid.Custom(func(t *rapid.T) ID { return testID(rapid.IntRange(0, len(s.layout.Places)).Draw(t, "frame")) })
		pass := rapid.SampledFrom([]string{KeepPass, KeepPass, KeepPass, "retouch", "album", "none"}).Draw(t, "pass")
		answer := rapid.SampledFrom([]Answer{Open, Yes, No, Part}).Draw(t, "answer")
		shown := map[ID]bool{}
		for _, id := range rapid.SliceOfN(frame, 0, 6).Draw(t, "shown") {
			shown[id] = true
		}
		switch rapid.IntRange(0, 18).Draw(t, "action") {
		case 0, 1, 2:
			return Decide{pass, rapid.SliceOfN(frame, 1, 3).Draw(t, "frames"), answer, rapid.Bool().Draw(t, "drawn"), rapid.Bool().Draw(t, "need")}
		case 3, 4:
			return DecideBurst{Pass: pass, Frame: frame.Draw(t, "on"), Answer: answer, Shown: shown}
		case 5:
			return Only{Pass: pass, Frame: frame.Draw(t, "on"), Shown: shown}
		case 6, 7:
			return Undo{}
		case 8:
			return Redo{}
		case 9:
			return DefinePass{Pass{pass, "", Source{rapid.SampledFrom([]string{"", KeepPass, "retouch", "album"}).Draw(t, "of"), answer}}}
		case 10:
			return NameScene{frame.Draw(t, "on"), rapid.SampledFrom([]string{"", "First dance", "Cake"}).Draw(t, "name")}
		case 11:
			return Merge{Pass: pass, Frame: frame.Draw(t, "on"), Shown: shown}
		case 12:
			return Join{frame.Draw(t, "on"), rapid.Bool().Draw(t, "series")}
		case 13:
			return Split{frame.Draw(t, "on")}
		case 14:
			return Out{frame.Draw(t, "on")}
		case 15:
			return Apart{frame.Draw(t, "on")}
		case 16:
			return SceneBegin{frame.Draw(t, "on")}
		case 17:
			return Correct{genCorrection(frame).Draw(t, "correction")}
		}
		return Record{VerbLetter, []string{"model:X", "A"}}
	})
}

// state is everything that an entry can change, without the cursor.
type state struct {
	Answers      map[string]map[ID]Decision
	Passes       []Pass
	Scenes       map[ID]string
	Made         []made
	Layout       Layout
	Done, Undone []step
	Seq          uint64
}

func stateOf(s *Session) state {
	answers := map[string]map[ID]Decision{}
	for pass, m := range s.answers {
		if len(m) > 0 {
			answers[pass] = maps.Clone(m)
		}
	}
	return state{answers, s.Passes(), s.SceneNames(), append([]made{}, s.made...),
		Layout{slices.Clone(s.layout.Places), slices.Clone(s.layout.Scenes)},
		append([]step{}, s.done...), append([]step{}, s.undone...), s.lastSeq}
}

// play plans and commits actions and returns the entries; refused ones change
// nothing and are left out. With time passing, no two entries are alike.
func play(t *rapid.T, s *Session, n int) (journal []Entry) {
	start := time.Date(2026, 6, 13, 12, 0, 0, 0, time.UTC)
	for i := range n {
		a := genAction(s).Draw(t, "action")
		e, err := s.Plan(a, start.Add(time.Duration(i)*time.Second), "anna")
		if err != nil {
			continue
		}
		if err := s.Commit(e); err != nil {
			t.Fatalf("planned %+v, but: %v", e, err)
		}
		journal = append(journal, e)
	}
	return journal
}

func same(t *rapid.T, what string, got, want any) {
	t.Helper()
	if !reflect.DeepEqual(got, want) {
		t.Fatalf("%s:\ngot  %+v\nwant %+v", what, got, want)
	}
}

func TestPlanChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, _ := genSession(t)
		play(t, s, 15)
		before, cursor, version := stateOf(s), s.Cursor(), s.Version()
		a := genAction(s).Draw(t, "action")
		e1, err1 := s.Plan(a, at(0), "anna")
		e2, err2 := s.Plan(a, at(0), "anna")
		same(t, "planned twice", e2, e1)
		same(t, "errors", fmt.Sprint(err2), fmt.Sprint(err1))
		if err1 != nil && !reflect.DeepEqual(e1, Entry{}) {
			t.Fatalf("an error and an entry: %v, %+v", err1, e1)
		}
		same(t, "state", stateOf(s), before)
		if s.Cursor() != cursor || s.Version() != version {
			t.Fatal("the cursor or the version changed")
		}
	})
}

func TestReplayGivesTheSameState(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, fresh := genSession(t)
		journal := play(t, s, 40)
		again := fresh()
		for _, e := range journal {
			back, err := ParseEntry(FormatEntry(e))
			if err != nil {
				t.Fatal(err)
			}
			if err := again.Commit(back); err != nil {
				t.Fatal(err)
			}
		}
		same(t, "replayed", stateOf(again), stateOf(s))
		// A rebuild replays before it knows the frames, and lays them out at last.
		late := NewSession(Layout{}, nil)
		for _, e := range journal {
			if err := late.Commit(e); err != nil {
				t.Fatal(err)
			}
		}
		late.SetLayout(fresh().base)
		same(t, "laid out late", stateOf(late), stateOf(s))
		once := fresh()
		once.Replay(journal, nil)
		same(t, "replayed in one go", stateOf(once), stateOf(s))
	})
}

func TestUndoIsTheInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, _ := genSession(t)
		play(t, s, 20)
		before := stateOf(s)
		e, err := s.Plan(genAction(s).Draw(t, "action"), at(0), "ben")
		if err != nil || !isStep(e.Verb) {
			return
		}
		commit(t, s, e)
		after := stateOf(s)
		act(t, s, Undo{})
		sameWork(t, "undone", stateOf(s), before)
		act(t, s, Redo{})
		sameWork(t, "done again", stateOf(s), after)
	})
}

func TestUndoAllThenRedoAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, _ := genSession(t)
		play(t, s, 40)
		for len(s.undone) > 0 {
			act(t, s, Redo{})
		}
		end, steps := stateOf(s), len(s.done)
		for range steps {
			act(t, s, Undo{})
		}
		same(t, "the start", stateOf(s).Answers, map[string]map[ID]Decision{})
		same(t, "the groups at the start", s.layout, s.base)
		if _, err := s.Plan(Undo{}, at(0), ""); err == nil {
			t.Fatal("undo beyond the start")
		}
		for range steps {
			act(t, s, Redo{})
		}
		sameWork(t, "the end", stateOf(s), end)
		same(t, "the stack", stateOf(s).Done, end.Done)
	})
}

func isStep(v Verb) bool {
	switch v {
	case VerbAnswer, VerbBurst, VerbOnly, VerbMerge, VerbCorrect, VerbScene:
		return true
	}
	return false
}

// sameWork holds against each other what undo is about.
func sameWork(t *rapid.T, what string, got, want state) {
	t.Helper()
	same(t, what+": answers", got.Answers, want.Answers)
	same(t, what+": names", got.Scenes, want.Scenes)
	same(t, what+": groups", got.Layout, want.Layout)
}

func commit(t *rapid.T, s *Session, e Entry) {
	t.Helper()
	if err := s.Commit(e); err != nil {
		t.Fatal(err)
	}
}

func act(t *rapid.T, s *Session, a Action) Entry {
	t.Helper()
	e, err := s.Plan(a, at(0), "carla")
	if err != nil {
		t.Fatalf("%+v: %v", a, err)
	}
	commit(t, s, e)
	return e
}
