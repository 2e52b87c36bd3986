package cull

import (
	"errors"
	"slices"
	"testing"
)

// do plans and commits, or fails the test.
func do(t *testing.T, s *Session, a Action) Entry {
	t.Helper()
	e, err := s.Plan(a, at(int64(s.LastSeq())), "anna")
	if err != nil {
		t.Fatalf("%+v: %v", a, err)
	}
	if err := s.Commit(e); err != nil {
		t.Fatal(err)
	}
	return e
}

func refused(t *testing.T, s *Session, a Action, want error) {
	t.Helper()
	if e, err := s.Plan(a, at(0), "anna"); !errors.Is(err, want) {
		t.Errorf("%+v: %+v, %v; want %v", a, e, err, want)
	}
}

// answers spells the answers of a pass in layout order: y, n, p, o for open,
// upper case where explicit.
func answers(s *Session, pass string) string {
	var out []byte
	for _, p := range s.layout.Places {
		d := s.Decision(pass, p.Frame)
		c := d.Answer.String()[0]
		if d.Explicit {
			c -= 'a' - 'A'
		}
		out = append(out, c)
	}
	return string(out)
}

func wantAnswers(t *testing.T, s *Session, want string) {
	t.Helper()
	if got := answers(s, KeepPass); got != want {
		t.Errorf("answers %s, want %s", got, want)
	}
}

func TestBurstSaysWhatItDid(t *testing.T) {
	s := NewSession(testLayout(8, 1))
	do(t, s, Decide{Pass: KeepPass, Frames: []ID{testID(1)}, Answer: Yes, Shown: true, RequireShown: true})
	do(t, s, Decide{Pass: KeepPass, Frames: []ID{testID(2)}, Answer: Part, Shown: true})
	shown := map[ID]bool{testID(0): true, testID(1): true, testID(3): true, testID(4): true, testID(5): true}
	e := do(t, s, DecideBurst{Pass: KeepPass, Frame: testID(0), Answer: No, Shown: shown})
	wantAnswers(t, s, "nYPnnnnno")
	if got, want := Summary(e), "6 dropped, 2 of them never shown"; got != want {
		t.Errorf("summary %q, want %q", got, want)
	}
	u := do(t, s, Undo{})
	wantAnswers(t, s, "oYPoooooo")
	if got, want := Summary(u), "6 open again"; got != want {
		t.Errorf("summary %q, want %q", got, want)
	}
	if got, want := Summary(do(t, s, Redo{})), "6 dropped again"; got != want {
		t.Errorf("summary %q, want %q", got, want)
	}
}

func TestOnly(t *testing.T) {
	s := NewSession(testLayout(5, 2))
	do(t, s, Decide{Pass: KeepPass, Frames: []ID{testID(4)}, Answer: Yes})
	do(t, s, DecideBurst{Pass: KeepPass, Frame: testID(0), Answer: Yes})
	wantAnswers(t, s, "yyyyYoo")
	e := do(t, s, Only{Pass: KeepPass, Frame: testID(2), Shown: map[ID]bool{testID(2): true}, RequireShown: true})
	wantAnswers(t, s, "nnYnYoo")
	if got, want := Summary(e), "1 kept; 3 dropped, never shown"; got != want {
		t.Errorf("summary %q, want %q", got, want)
	}
	refused(t, s, Only{Pass: KeepPass, Frame: testID(2)}, ErrNothing)
	refused(t, s, Only{Pass: KeepPass, Frame: testID(2), RequireShown: true}, ErrNotShown)
	do(t, s, Undo{})
	wantAnswers(t, s, "yyyyYoo")
}

func TestRefusals(t *testing.T) {
	s := NewSession(testLayout(3, 1))
	one := []ID{testID(0)}
	refused(t, s, Undo{}, ErrNothing)
	refused(t, s, Redo{}, ErrNothing)
	refused(t, s, Decide{Pass: KeepPass, Frames: one, Answer: No, RequireShown: true}, ErrNotShown)
	refused(t, s, Decide{Pass: KeepPass, Frames: one, Answer: Open}, ErrNothing)
	refused(t, s, Decide{Pass: KeepPass, Answer: No}, ErrNothing)
	refused(t, s, Decide{Pass: KeepPass, Frames: one, Answer: 7}, ErrAnswer)
	refused(t, s, Decide{Pass: "album", Frames: one, Answer: Yes}, ErrUnknownPass)
	refused(t, s, Decide{Pass: KeepPass, Frames: []ID{testID(9)}, Answer: Yes}, ErrUnknownFrame)
	refused(t, s, Decide{Pass: KeepPass, Frames: []ID{one[0], testID(9)}, Answer: Yes}, ErrUnknownFrame)
	refused(t, s, DefinePass{Pass{Name: "Album"}}, ErrBadAction)
	refused(t, s, DefinePass{Pass{Name: "undo"}}, ErrBadAction)
	refused(t, s, DefinePass{Pass{Name: "album", Source: Source{Of: "retouch", Answer: Yes}}}, ErrUnknownPass)
	refused(t, s, DefinePass{Pass{Name: KeepPass, Source: Source{Of: KeepPass, Answer: Yes}}}, ErrBadAction)
	refused(t, s, Record{Verb: VerbUndo, Args: []string{"x"}}, ErrBadAction)
	refused(t, s, NameScene{Frame: testID(9), Name: "x"}, ErrUnknownFrame)
	do(t, s, DefinePass{Pass{Name: "album"}})
	refused(t, s, DefinePass{Pass{Name: "album"}}, ErrNothing)
	refused(t, s, Decide{Pass: "album", Frames: one, Answer: Part}, ErrAnswer)

	do(t, s, DecideBurst{Pass: KeepPass, Frame: one[0], Answer: No})
	// The same answer again: an entry only where it makes a burst's answer one's own.
	do(t, s, Decide{Pass: KeepPass, Frames: one, Answer: No})
	wantAnswers(t, s, "Nnno")
	refused(t, s, Decide{Pass: KeepPass, Frames: one, Answer: No}, ErrNothing)
	refused(t, s, DecideBurst{Pass: KeepPass, Frame: one[0], Answer: No}, ErrNothing)
	for _, e := range []Entry{{Seq: s.LastSeq(), Verb: VerbUndo}, {Seq: 99, Verb: "mend"}, {Seq: 99, Verb: VerbPass}, {Seq: 99, Verb: VerbScene}, {Seq: 99, Verb: VerbAnswer}, {Seq: 99, Verb: VerbUndo, Pass: "Über"}} {
		if err := s.Commit(e); !errors.Is(err, ErrBadAction) {
			t.Errorf("%+v: %v", e, err)
		}
	}
}

// TestOpenAgain: opening a frame again is no decision that a burst key must
// leave alone, whatever an entry calls it.
func TestOpenAgain(t *testing.T) {
	s := NewSession(testLayout(3))
	do(t, s, Decide{Pass: KeepPass, Frames: []ID{testID(0), testID(1)}, Answer: Yes})
	e := do(t, s, Decide{Pass: KeepPass, Frames: []ID{testID(0)}, Answer: Open})
	if e.Changes[0].Explicit {
		t.Error("open is called a decision")
	}
	wantAnswers(t, s, "oYo")
	if err := s.Commit(Entry{Seq: 50, Verb: VerbAnswer, Pass: KeepPass, Changes: []Change{{Frame: testID(2), Explicit: true}}}); err != nil {
		t.Fatal(err)
	}
	do(t, s, DecideBurst{Pass: KeepPass, Frame: testID(0), Answer: No})
	wantAnswers(t, s, "nYn")
}

// TestFrameTwiceInOneEntry: Plan never writes such an entry, an alias learned
// later makes one.
func TestFrameTwiceInOneEntry(t *testing.T) {
	s := NewSession(testLayout(2))
	e := Entry{Seq: 1, Verb: VerbAnswer, Pass: KeepPass, Changes: []Change{{testID(0), Open, Yes, true, true}, {testID(0), Yes, No, true, true}}}
	if err := s.Commit(e); err != nil {
		t.Fatal(err)
	}
	wantAnswers(t, s, "No")
	do(t, s, Undo{})
	wantAnswers(t, s, "oo")
	do(t, s, Redo{})
	wantAnswers(t, s, "No")
}

func TestUndoRestoresTheWholeDecision(t *testing.T) {
	s := NewSession(testLayout(2))
	do(t, s, Decide{Pass: KeepPass, Frames: []ID{testID(0)}, Answer: Yes, Shown: true})
	before := s.Decision(KeepPass, testID(0))
	e, _ := s.Plan(Decide{Pass: KeepPass, Frames: []ID{testID(0)}, Answer: No}, at(5000), "ben")
	_ = s.Commit(e)
	u := do(t, s, Undo{})
	if got := s.Decision(KeepPass, testID(0)); got != before {
		t.Errorf("got %+v, want %+v", got, before)
	}
	if u.Of != e.Seq || u.Pass != KeepPass || len(u.Changes) != 1 || !u.Changes[0].Shown {
		t.Errorf("undo entry %+v", u)
	}
	if got := s.Touched(testID(0)); !got.Equal(u.At) {
		t.Errorf("touched %v, want %v", got, u.At)
	}
}

func TestLaterPassFollowsItsSource(t *testing.T) {
	s := NewSession(testLayout(3, 2))
	do(t, s, DefinePass{Pass{Name: "retouch", Source: Source{Of: KeepPass, Answer: Yes}}})
	do(t, s, DefinePass{Pass{Name: "album", Question: "In the album?", Source: Source{Of: "retouch", Answer: No}}})
	first := []ID{testID(0)}
	refused(t, s, Decide{Pass: "retouch", Frames: first, Answer: Yes}, ErrNotInPass)
	do(t, s, Decide{Pass: KeepPass, Frames: []ID{testID(0), testID(1), testID(3)}, Answer: Yes})
	do(t, s, DecideBurst{Pass: "retouch", Frame: testID(0), Answer: No})
	if got := answers(s, "retouch"); got != "nnooo" {
		t.Errorf("a burst key in a later pass: %s, want nnooo", got)
	}
	if got, want := s.Progress("retouch"), (Counts{No: 2, Open: 1}); got != want {
		t.Errorf("progress %+v, want %+v", got, want)
	}
	if got := s.Frames("album"); !slices.Equal(got, []ID{testID(0), testID(1)}) {
		t.Errorf("album %v", got)
	}
	do(t, s, Decide{Pass: KeepPass, Frames: first, Answer: No})
	if s.Eligible("retouch", first[0]) || s.Eligible("album", first[0]) || s.Decision("retouch", first[0]).Answer != No {
		t.Error("dropping a frame must take it out of the later passes and leave its answers there")
	}
	do(t, s, Undo{})
	if !s.Eligible("album", first[0]) {
		t.Error("undo must let it in again")
	}
	refused(t, s, DefinePass{Pass{Name: "retouch", Source: Source{Of: "album", Answer: Yes}}}, ErrBadAction)
}

// TestLostLines replays a journal that lost its first lines.
func TestLostLines(t *testing.T) {
	s := NewSession(testLayout(2))
	var journal []Entry
	journal = append(journal, do(t, s, DefinePass{Pass{Name: "album"}}))
	journal = append(journal, do(t, s, Decide{Pass: "album", Frames: []ID{testID(0)}, Answer: Yes}))
	journal = append(journal, do(t, s, Decide{Pass: "album", Frames: []ID{testID(0)}, Answer: No}))
	journal = append(journal, do(t, s, Undo{}))
	for lost := range journal {
		again := NewSession(testLayout(2))
		for i, e := range journal {
			if i != lost {
				if err := again.Commit(e); err != nil {
					t.Fatal(err)
				}
			}
		}
		want := Yes
		switch lost {
		case 1:
			want = Open // what the lost line said is nowhere else
		case 3:
			want = No
		}
		if got := again.Decision("album", testID(0)).Answer; got != want {
			t.Errorf("without line %d: %v, want %v", lost, got, want)
		}
	}
}

// TestUndoOfALostLine: the frames that an undo or redo lists say what is left
// to say.
func TestUndoOfALostLine(t *testing.T) {
	s := NewSession(testLayout(2))
	do(t, s, Decide{Pass: KeepPass, Frames: []ID{testID(0)}, Answer: Yes, Shown: true})
	undo, redo := do(t, s, Undo{}), do(t, s, Redo{})
	again := NewSession(testLayout(2))
	for _, e := range []Entry{undo, redo} {
		if err := again.Commit(e); err != nil {
			t.Fatal(err)
		}
	}
	want := Decision{Answer: Yes, Who: "anna", At: redo.At, Shown: true, Explicit: true, Seq: redo.Seq}
	if got := again.Decision(KeepPass, testID(0)); got != want {
		t.Errorf("got %+v, want %+v", got, want)
	}
}
