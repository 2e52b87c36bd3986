package cull

import (
	"slices"
	"testing"
)

func wantCursor(t *testing.T, s *Session, i int) {
	t.Helper()
	if got := slices.IndexFunc(s.layout.Places, func(p Place) bool { return p.Frame == s.Cursor() }); got != i {
		t.Errorf("the cursor is on frame %d, want %d", got, i)
	}
}

func TestMotions(t *testing.T) {
	// frames 0-2 | 3 | 4-5 || 6-8 | 9; two scenes
	s := NewSession(testLayout(3, 1, 2, 3, 1))
	for _, step := range []struct {
		m     Motion
		moved bool
		at    int
	}{
		{LadderUp, false, 0}, {PrevMoment, false, 0}, {PrevFrame, false, 0}, {LadderDown, true, 1}, {LadderDown, true, 2}, {LadderDown, false, 2},
		{NextMoment, true, 3}, {LadderDown, false, 3}, {PrevMoment, true, 0}, {NextMoment, true, 3}, {NextMoment, true, 4}, {NextScene, true, 6},
		{NextScene, false, 6}, {NextFrame, true, 7}, {PrevScene, true, 0}, {LastFrame, true, 9}, {NextOpen, true, 0}, {PrevOpen, true, 9},
		{PrevMoment, true, 6}, {PrevFrame, true, 5}, {LadderUp, true, 4}, {LadderUp, false, 4}, {FirstFrame, true, 0},
	} {
		if moved := s.Move(step.m); moved != step.moved {
			t.Errorf("motion %d moved %v, want %v", step.m, moved, step.moved)
		}
		wantCursor(t, s, step.at)
	}
}

func TestCursorAfterDecisions(t *testing.T) {
	s := NewSession(testLayout(3, 1, 2))
	decide := func(i int, a Answer) {
		t.Helper()
		do(t, s, Decide{Pass: KeepPass, Frames: []ID{testID(i)}, Answer: a})
	}
	decide(0, Yes)
	wantCursor(t, s, 1)
	decide(4, No) // elsewhere: the cursor stays
	wantCursor(t, s, 1)
	do(t, s, DecideBurst{Pass: KeepPass, Frame: testID(1), Answer: No})
	wantCursor(t, s, 3)
	decide(3, No)
	wantCursor(t, s, 5)
	do(t, s, Undo{})
	wantCursor(t, s, 3)
	do(t, s, Undo{})
	wantCursor(t, s, 1)
	do(t, s, Redo{})
	wantCursor(t, s, 1)
	s.MoveTo(testID(5))
	decide(5, Yes) // goes round the end
	wantCursor(t, s, 3)
	decide(3, Yes) // nothing open is left
	wantCursor(t, s, 3)
	decide(3, Open)
	wantCursor(t, s, 3)
	decide(0, Open)
	s.MoveTo(testID(3))
	decide(3, Yes)
	wantCursor(t, s, 0)
	decide(3, Open)
	s.MoveTo(testID(3))
	decide(0, Yes)
	wantCursor(t, s, 3) // the frame under the cursor was not the one decided
	if s.Move(NextOpen) || s.MoveTo(testID(17)) {
		t.Error("moved to nowhere")
	}

	decide(0, Open) // opened again under another cursor, and under its own
	s.MoveTo(testID(5))
	decide(5, Open)
	wantCursor(t, s, 5)
	decide(5, Yes)
	wantCursor(t, s, 0)
	decide(0, Yes)
	wantCursor(t, s, 3)

	do(t, s, DefinePass{Pass{Name: "album", Source: Source{Of: KeepPass, Answer: Yes}}})
	s.MoveTo(testID(0))
	do(t, s, Decide{Pass: "album", Frames: []ID{testID(0)}, Answer: Yes})
	wantCursor(t, s, 0) // decided in a pass that the cursor does not walk
	do(t, s, Undo{})
	s.MoveTo(testID(3))
	if err := s.EnterPass("album"); err != nil || s.CursorPass() != "album" {
		t.Fatal(err)
	}
	wantCursor(t, s, 5) // of 0 and 5, the kept ones, the next
	do(t, s, Decide{Pass: "album", Frames: []ID{testID(5)}, Answer: Yes})
	wantCursor(t, s, 0)
	if s.Move(NextMoment); s.Cursor() != testID(5) {
		t.Error("a motion must pass over what the pass does not ask about")
	}
	if err := s.EnterPass("none"); err == nil {
		t.Error("entered a pass that is not there")
	}
	do(t, s, Undo{})
	s.MoveTo(testID(4))
	do(t, s, Undo{}) // frame 0, in keep
	wantCursor(t, s, 0)
	if s.CursorPass() != KeepPass {
		t.Error("undo must show the pass that it changed")
	}
}

func TestRegrouping(t *testing.T) {
	s := NewSession(testLayout(3, 2))
	do(t, s, DecideBurst{Pass: KeepPass, Frame: testID(0), Answer: No})
	wantCursor(t, s, 3)
	do(t, s, NameScene{Frame: testID(4), Name: "Cake"})
	l, _ := testLayout(3, 2)
	joined := Layout{Scenes: []Scene{{Name: "01", First: testID(20)}}, Places: append([]Place{{Frame: testID(20)}}, l.Places...)}
	s.SetLayout(joined)
	wantCursor(t, s, 4)
	wantAnswers(t, s, "onnnoo")
	if got := s.Moment(testID(2)); len(got) != 4 {
		t.Errorf("the moment has %d frames, want 4", len(got))
	}
	if got := s.Layout().Scenes[0].Name; got != "Cake" {
		t.Errorf("the scene is named %q", got)
	}
	if l.Scenes[0].Name != "01" {
		t.Error("the caller's layout was written to")
	}
	// One name a scene, also when it hangs on a frame that is no longer the first.
	do(t, s, NameScene{Frame: testID(20), Name: "Speeches"})
	if got := s.Layout().Scenes[0].Name; got != "Speeches" || len(s.SceneNames()) != 1 {
		t.Errorf("the scene is named %q, of %v", got, s.SceneNames())
	}
	do(t, s, NameScene{Frame: testID(0), Name: ""})
	if got := s.Layout().Scenes[0].Name; got != "01" {
		t.Errorf("the scene is named %q", got)
	}
	s.SetLayout(Layout{Places: l.Places[:1], Scenes: l.Scenes})
	wantCursor(t, s, 0)
	s.SetLayout(Layout{})
	if s.Cursor() != "" || s.Move(NextOpen) || s.Moment(testID(0)) != nil {
		t.Error("an empty layout has a cursor")
	}
}

func TestAliases(t *testing.T) {
	l, names := testLayout(2, 1)
	former := ID("feedfeedfeedfeed")
	s := NewSession(Layout{Places: append([]Place{{Frame: former, Moment: 9}}, l.Places...), Scenes: l.Scenes}, names)
	do(t, s, Decide{Pass: KeepPass, Frames: []ID{former}, Answer: No, Shown: true})
	d := s.Decision(KeepPass, former)
	s.SetAlias("0000000000000001", former)
	s.SetAlias(former, testID(2))
	s.SetAlias(testID(2), former) // no circle
	s.SetLayout(l)
	for _, id := range []ID{former, testID(2), "0000000000000001"} {
		if got := s.Decision(KeepPass, id); got != d {
			t.Errorf("%s: %+v, want %+v", id, got, d)
		}
	}
	if id, err := s.Resolve(Name{Text: "feedfeed", ByID: true}); err != nil || id != testID(2) {
		t.Errorf("resolves to %s, %v", id, err)
	}
	e := do(t, s, Undo{})
	if s.Decision(KeepPass, testID(2)) != (Decision{}) || len(e.Changes) != 1 {
		t.Errorf("undo did not follow: %+v", s.Decision(KeepPass, testID(2)))
	}
	do(t, s, Decide{Pass: KeepPass, Frames: []ID{former}, Answer: Yes})
	if got := s.Progress(KeepPass); got != (Counts{Yes: 1, Open: 2}) {
		t.Errorf("progress %+v", got)
	}
	// Both decided: the later decision stands, whichever id it was made under.
	do(t, s, Decide{Pass: KeepPass, Frames: []ID{testID(0)}, Answer: No})
	do(t, s, Decide{Pass: KeepPass, Frames: []ID{testID(2)}, Answer: Part})
	s.SetAlias(testID(0), testID(2))
	if got := s.Decision(KeepPass, testID(2)).Answer; got != Part {
		t.Errorf("got %v, want part", got)
	}
	do(t, s, Decide{Pass: KeepPass, Frames: []ID{testID(1)}, Answer: No})
	s.SetAlias(testID(1), testID(2))
	if got := s.Decision(KeepPass, testID(2)).Answer; got != No {
		t.Errorf("got %v, want no", got)
	}
}

// Many ids learned at once are the same as each learned by itself.
func TestAliasesAtOnce(t *testing.T) {
	sessions := [2]*Session{}
	for k := range sessions {
		s := NewSession(testLayout(2, 2, 1))
		commitNow(t, s, Split{testID(1)})
		commitNow(t, s, Decide{Pass: KeepPass, Frames: []ID{testID(1)}, Answer: No})
		l := s.Base()
		l.Places = slices.Clone(l.Places)
		l.Places[0].Frame, l.Places[1].Frame = "learned 0", "learned 1"
		if k == 0 {
			s.SetAliases(map[ID]ID{testID(0): "learned 0", testID(1): "learned 1"})
		} else {
			s.SetAlias(testID(0), "learned 0")
			s.SetAlias(testID(1), "learned 1")
		}
		s.SetLayout(l)
		sessions[k] = s
	}
	a, b := sessions[0], sessions[1]
	if written(a.Layout()) != written(b.Layout()) || len(a.Moment("learned 0")) != 1 || a.Decision(KeepPass, "learned 1") != b.Decision(KeepPass, "learned 1") || a.Decision(KeepPass, "learned 1").Answer != No {
		t.Errorf("%v, each by itself %v", a.Layout(), b.Layout())
	}
}
