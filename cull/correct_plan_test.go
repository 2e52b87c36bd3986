package cull

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
)

// written writes a layout's frames by number: moments apart by |, scenes by ||,
// moments of a set joined by ~.
func written(l Layout) string {
	var b strings.Builder
	for i, p := range l.Places {
		if i > 0 {
			q := l.Places[i-1]
			switch {
			case p.Scene != q.Scene:
				b.WriteString(" || ")
			case p.Moment != q.Moment && p.Alike != 0 && p.Alike == q.Alike:
				b.WriteString(" ~ ")
			case p.Moment != q.Moment:
				b.WriteString(" | ")
			default:
				b.WriteString(" ")
			}
		}
		for n := range 100 {
			if p.Frame == testID(n) {
				fmt.Fprint(&b, n)
			}
		}
	}
	return b.String()
}

// TestKeysOfCorrection goes through every key on a small job: 0 1 2 | 3 4 | 5 || 6 7
// | 8, with 0 1 2 and 5 look-alikes, so that 5 stands before 3.
func TestKeysOfCorrection(t *testing.T) {
	job := func() *Session {
		l, names := testLayout(3, 2, 1, 2, 1)
		for i := range l.Places {
			l.Places[i].Corrected.Wall = at(int64(i) * 10_000)
			if m := l.Places[i].Moment; m == 0 || m == 2 {
				l.Places[i].Alike = 1
			}
		}
		l.Places = append(append(append(l.Places[:3:3], l.Places[5]), l.Places[3:5]...), l.Places[6:]...)
		for i, m := range []int{0, 0, 0, 1, 2, 2} {
			l.Places[i].Moment = m
		}
		return NewSession(l, names)
	}
	const start = "0 1 2 ~ 5 | 3 4 || 6 7 | 8"
	for _, tc := range []struct {
		name string
		a    []Action
		want string
		last error // of the last action; the others go well
	}{
		{"nothing", nil, start, nil},
		{"join", []Action{Join{Frame: testID(4)}}, "0 1 2 | 3 4 5 || 6 7 | 8", nil},
		{"join over a scene", []Action{Join{Frame: testID(7)}}, "0 1 2 ~ 5 | 3 4 6 7 || 8", nil},
		{"join the first", []Action{Join{Frame: testID(1)}}, start, ErrNothing},
		{"join what is not there", []Action{Join{Frame: "none"}}, start, ErrUnknownFrame},
		{"split", []Action{Split{testID(1)}}, "0 ~ 1 2 ~ 5 | 3 4 || 6 7 | 8", nil},
		{"split at the first", []Action{Split{testID(3)}}, start, ErrNothing},
		{"out", []Action{Out{testID(1)}}, "0 2 ~ 5 | 1 | 3 4 || 6 7 | 8", nil},
		{"out of itself", []Action{Out{testID(8)}}, start, ErrNothing},
		{"out of the last of a set", []Action{Out{testID(0)}}, "0 | 1 2 ~ 5 | 3 4 || 6 7 | 8", nil},
		{"apart", []Action{Apart{testID(5)}}, "0 1 2 | 3 4 | 5 || 6 7 | 8", nil},
		{"apart without a set", []Action{Apart{testID(3)}}, start, ErrNothing},
		{"scene begins", []Action{SceneBegin{testID(4)}}, "0 1 2 || 3 4 | 5 || 6 7 | 8", nil},
		{"scene begins in a set", []Action{SceneBegin{testID(5)}}, "0 1 2 | 3 4 || 5 || 6 7 | 8", nil},
		{"scene goes on", []Action{SceneBegin{testID(7)}}, "0 1 2 ~ 5 | 3 4 | 6 7 | 8", nil},
		{"scene begins and goes on", []Action{SceneBegin{testID(8)}, SceneBegin{testID(8)}}, start, nil},
		{"the first scene", []Action{SceneBegin{testID(0)}}, start, ErrBadAction},
		{"out and back", []Action{Out{testID(1)}, Correct{Correction{Kind: JoinMoment, Frames: []ID{testID(1), testID(2)}}}}, "0 1 2 ~ 5 | 3 4 || 6 7 | 8", nil},
		{"undone", []Action{Apart{testID(5)}, Split{testID(2)}, Undo{}, Undo{}}, start, nil},
		{"undone and done again", []Action{Apart{testID(5)}, Split{testID(2)}, Undo{}, Undo{}, Redo{}}, "0 1 2 | 3 4 | 5 || 6 7 | 8", nil},
		{"undone out of turn", []Action{Apart{testID(5)}, Split{testID(2)}, Undo{Of: 1}}, "0 1 ~ 2 ~ 5 | 3 4 || 6 7 | 8", nil},
		{"an answer out of turn", []Action{Decide{Pass: KeepPass, Frames: []ID{testID(0)}, Answer: Yes}, Split{testID(2)}, Undo{Of: 1}}, "0 1 ~ 2 ~ 5 | 3 4 || 6 7 | 8", ErrBadAction},
		{"named twice", []Action{Correct{Correction{Kind: JoinMoment, Frames: []ID{testID(1), testID(1)}}}}, start, ErrBadAction},
		{"no kind", []Action{Correct{Correction{Kind: "mend", Frames: []ID{testID(1), testID(2)}}}}, start, ErrBadAction},
	} {
		t.Run(tc.name, func(t *testing.T) {
			s := job()
			for i, a := range tc.a {
				e, err := s.Plan(a, at(0), "anna")
				want := error(nil)
				if i == len(tc.a)-1 {
					want = tc.last
				}
				if !errors.Is(err, want) || want == nil && err != nil {
					t.Fatalf("%+v: %v", a, err)
				}
				if err != nil {
					break
				}
				if err := s.Commit(e); err != nil {
					t.Fatal(err)
				}
				if s.Tell(e) == "" {
					t.Errorf("%+v says nothing", e)
				}
			}
			if got := written(s.Layout()); got != tc.want {
				t.Errorf("got  %s\nwant %s", got, tc.want)
			}
			if written(s.Base()) != start {
				t.Errorf("the base is %s", written(s.Base()))
			}
		})
	}
	if got := job().Alikes(testID(5)); len(got) != 4 || got[3] != testID(5) {
		t.Errorf("alikes %v", got)
	}
	if got := job().Alikes(testID(3)); got != nil {
		t.Errorf("alikes of one without: %v", got)
	}
}

func TestKindsOfJoined(t *testing.T) {
	ids := func(ns ...int) (out []ID) {
		for _, n := range ns {
			out = append(out, testID(n))
		}
		return out
	}
	// 0 1 2 and 3 4 5 are brackets, 6 7 a burst, 8 by itself.
	l, _ := testLayout(3, 3, 2, 1)
	for i := range 6 {
		l.Places[i].Kind, l.Places[i].Series = Series, Bracket
	}
	for _, tc := range []struct {
		name   string
		cs     []Correction
		frame  int
		kind   MomentKind
		series SeriesKind
	}{
		{"as grouped", nil, 0, Series, Bracket},
		{"two brackets", []Correction{{Kind: JoinMoment, Frames: ids(0, 1, 2, 3, 4, 5)}}, 0, Series, Together},
		{"a bracket and a burst", []Correction{{Kind: JoinMoment, Frames: ids(3, 4, 5, 6, 7)}}, 6, Burst, ""},
		{"a bracket and a burst as a series", []Correction{{Kind: JoinSeries, Frames: ids(3, 4, 5, 6, 7)}}, 6, Series, Together},
		{"two frames of a bracket", []Correction{{Kind: SplitAt, Frames: ids(0), Others: ids(1, 2)}}, 1, Series, Bracket},
		{"one frame of a bracket", []Correction{{Kind: SplitAt, Frames: ids(0), Others: ids(1, 2)}}, 0, Single, ""},
		{"cut and put together", []Correction{{Kind: SplitAt, Frames: ids(0), Others: ids(1, 2)}, {Kind: JoinMoment, Frames: ids(0, 1, 2)}}, 0, Series, Bracket},
		{"a series no more", []Correction{{Kind: JoinSeries, Frames: ids(6, 7, 8)}, {Kind: TakeOut, Frames: ids(6)}, {Kind: TakeOut, Frames: ids(7)}}, 8, Single, ""},
		{"a series beside what is no series", []Correction{{Kind: JoinMoment, Frames: ids(7, 8)}, {Kind: JoinSeries, Frames: ids(6, 7)}}, 8, Series, Together},
	} {
		t.Run(tc.name, func(t *testing.T) {
			for _, p := range l.With(tc.cs).Places {
				if p.Frame == testID(tc.frame) && (p.Kind != tc.kind || p.Series != tc.series) {
					t.Errorf("%s %s, want %s %s", p.Kind, p.Series, tc.kind, tc.series)
				}
			}
		})
	}
}

// TestNameStaysWithItsHook: a scene that is cut has its name in one part only.
func TestNameStaysWithItsHook(t *testing.T) {
	l, names := testLayout(1, 1, 1)
	l.Scenes[0].Name = "Cake" // as it was saved after it was named
	s := NewSession(l, names)
	commitNow(t, s, NameScene{Frame: testID(1), Name: "Cake"})
	commitNow(t, s, SceneBegin{testID(2)})
	if got := s.Layout().Scenes; got[0].Name != "Cake" || got[1].Name != "02" {
		t.Errorf("%+v", got)
	}
	commitNow(t, s, NameScene{Frame: testID(2), Name: "Dance"})
	commitNow(t, s, SceneBegin{testID(2)})
	if got := s.Layout().Scenes; len(got) != 1 || got[0].Name != "Cake" {
		t.Errorf("%+v", got)
	}
	for range 3 {
		commitNow(t, s, Undo{})
	}
	if got := s.Layout().Scenes; len(got) != 1 || got[0].Name != "Cake" {
		t.Errorf("%+v", got)
	}
	commitNow(t, s, Undo{})
	if got := s.Layout().Scenes[0].Name; got != "01" {
		t.Errorf("a name that was taken back: %q", got)
	}
}

func commitNow(t *testing.T, s *Session, a Action) {
	t.Helper()
	e, err := s.Plan(a, at(0), "anna")
	if err == nil {
		err = s.Commit(e)
	}
	if err != nil {
		t.Fatalf("%+v: %v", a, err)
	}
}

// A journal from before corrections and names were steps of undo may do an answer
// again after a scene was named.
func TestRedoAcrossAName(t *testing.T) {
	s := NewSession(testLayout(2))
	id := testID(0)
	for i, e := range []Entry{
		{Verb: VerbAnswer, Pass: KeepPass, Changes: []Change{{id, Open, Yes, true, true}}},
		{Verb: VerbUndo, Pass: KeepPass, Of: 1, Changes: []Change{{id, Yes, Open, false, false}}},
		{Verb: VerbScene, Args: []string{"#" + string(id), "Cake"}},
		{Verb: VerbRedo, Pass: KeepPass, Of: 1, Changes: []Change{{id, Open, Yes, true, true}}},
	} {
		e.Seq, e.At, e.Who = uint64(i+1), at(int64(i)), "anna"
		if err := s.Commit(e); err != nil {
			t.Fatal(err)
		}
	}
	if d := s.Decision(KeepPass, id); d.Answer != Yes || d.Seq != 1 || d.At != at(0) {
		t.Errorf("%+v", d)
	}
}

func TestRestrict(t *testing.T) {
	s := NewSession(testLayout(2, 2, 1, 1))
	commitNow(t, s, Decide{Pass: KeepPass, Frames: []ID{testID(1), testID(4)}, Answer: No})
	s.MoveTo(testID(0))
	s.Restrict([]ID{testID(1), testID(4), "gone"}, "unseen")
	wantCursor(t, s, 1)
	if name, ok := s.Restricted(); name != "unseen" || !ok {
		t.Errorf("%s %v", name, ok)
	}
	if !s.Move(NextMoment) || s.Move(NextMoment) || s.Move(NextOpen) || s.Peek(NextFrame) != "" {
		t.Error("it walks elsewhere")
	}
	wantCursor(t, s, 4)
	s.Move(PrevMoment)
	commitNow(t, s, Decide{Pass: KeepPass, Frames: []ID{testID(1)}, Answer: Yes})
	wantCursor(t, s, 4) // nothing is open, so to the next of them
	s.SetLayout(s.Base())
	if s.Move(PrevFrame); s.Cursor() != testID(1) {
		t.Error("a new order lets it walk elsewhere")
	}
	s.SetAlias(testID(4), "learned")
	l := s.Base()
	l.Places = slices.Clone(l.Places)
	l.Places[4].Frame = "learned"
	s.SetLayout(l)
	if !s.Move(NextFrame) || s.Cursor() != "learned" {
		t.Error("a frame that got another id is walked no more")
	}
	s.Restrict(nil, "")
	if _, ok := s.Restricted(); ok || !s.Move(NextOpen) {
		t.Error("it is still restricted")
	}
	s.Restrict([]ID{}, "nothing")
	if on := s.Cursor(); s.Move(NextFrame) || s.Cursor() != on {
		t.Error("it walks though nothing is to be walked")
	}
}

// A name that is taken back, or given again, out of its turn leaves the later one.
func TestNamesOutOfTurn(t *testing.T) {
	s := NewSession(testLayout(2, 2))
	name := func(want string, a Action) {
		t.Helper()
		commitNow(t, s, a)
		if got := s.Layout().Scenes[0].Name; got != want {
			t.Errorf("after %+v: %q, want %q", a, got, want)
		}
	}
	name("Church", NameScene{testID(0), "Church"})
	name("Rings", NameScene{testID(0), "Rings"})
	name("Rings", Undo{Of: 1})
	name("01", Undo{})
	name("Rings", Redo{})
	name("Church", Redo{})
	name("Church", Undo{Of: 2})
	name("01", Undo{})
}
