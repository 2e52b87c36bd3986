package cull

import (
	"errors"
	"strings"
	"testing"
	"time"
)

// TestLimits: what Plan allows can always be written and read.
func TestLimits(t *testing.T) {
	s := NewSession(testLayout(MaxChanges, 1))
	e := do(t, s, DecideBurst{Pass: KeepPass, Frame: testID(0), Answer: No})
	line := FormatEntry(e)
	if back, err := ParseEntry(line); err != nil || len(back.Changes) != MaxChanges {
		t.Errorf("the largest entry is %d bytes and reads back %d frames, %v", len(line), len(back.Changes), err)
	}
	all := make([]ID, MaxChanges+1)
	for i := range all {
		all[i] = testID(i)
	}
	refused(t, s, Decide{Pass: KeepPass, Frames: all, Answer: Yes}, ErrBadAction)
	refused(t, s, Record{VerbCorrect, []string{strings.Repeat("x", MaxLine)}}, ErrBadAction)
	refused(t, s, Record{VerbCorrect, nil}, ErrBadAction)
	refused(t, s, nil, ErrBadAction)
	if _, err := s.Plan(Undo{}, time.Date(10000, 1, 1, 0, 0, 0, 0, time.UTC), "anna"); !errors.Is(err, ErrBadAction) {
		t.Errorf("a year of five digits: %v", err)
	}
	names := strings.Repeat(" #012345", MaxChanges+1)
	var le *LineError
	if _, err := ParseLine("drop" + names); !errors.As(err, &le) {
		t.Errorf("%d names: %v", MaxChanges+1, err)
	}
	body := "drop" + strings.Repeat(" #0123456789abcdef", MaxChanges+1) + ` ; seq=1 at=2026-06-13T12:02:11.130Z who="" pass=keep was=open shown=1 explicit=1`
	if _, err := ParseEntry(body + " sum=" + lineSum(body)); !errors.As(err, &le) || le.Damaged {
		t.Errorf("%d frames: %v", MaxChanges+1, err)
	}
}

// TestActionOfBadCommands: commands come from ParseLine, which makes none of
// these; a program that builds its own gets an error, not a panic.
func TestActionOfBadCommands(t *testing.T) {
	s := NewSession(testLayout(2))
	one := []Name{{Text: "A/IMG_0001"}}
	for _, c := range []Command{
		{Verb: VerbAnswer, Pass: KeepPass}, {Verb: VerbBurst}, {Verb: VerbOnly}, {Verb: VerbScene, Names: one}, {Verb: VerbScene, Args: []string{"x"}},
		{Verb: "mend", Names: one}, {Verb: VerbAnswer, Names: []Name{{Text: "A/IMG_0009"}}},
	} {
		if a, err := s.Action(c); err == nil || a != nil {
			t.Errorf("%+v: %+v, %v", c, a, err)
		}
	}
	if a, err := s.Action(Command{}); a != nil || err != nil {
		t.Errorf("an empty line: %+v, %v", a, err)
	}
}

// TestTimesAreMilliseconds: an entry holds what its line can hold, so that a
// session that made a decision and one that replayed it agree.
func TestTimesAreMilliseconds(t *testing.T) {
	s := NewSession(testLayout(1))
	local := time.Date(2026, 6, 13, 14, 2, 11, 130_456_789, time.FixedZone("", 7200))
	e, err := s.Plan(Decide{Pass: KeepPass, Frames: []ID{testID(0)}, Answer: Yes}, local, "anna")
	if err != nil {
		t.Fatal(err)
	}
	if !e.At.Equal(at(0)) || e.At.Location() != time.UTC {
		t.Errorf("at %v, want %v", e.At, at(0))
	}
	e.At = local
	if err := s.Commit(e); err != nil {
		t.Fatal(err)
	}
	if d := s.Decision(KeepPass, testID(0)); d.At != at(0) || s.Touched(testID(0)) != at(0) {
		t.Errorf("decided at %v, touched at %v", d.At, s.Touched(testID(0)))
	}
	if !s.Touched("none").IsZero() {
		t.Error("a frame that nothing touched has a time")
	}
}

// TestSceneNameFollowsItsFrame when the frame's id changes.
func TestSceneNameFollowsItsFrame(t *testing.T) {
	l, names := testLayout(2)
	former := ID("feedfeedfeedfeed")
	old := Layout{Places: []Place{{Frame: former}, l.Places[1]}, Scenes: []Scene{{Name: "01", First: former}}}
	s := NewSession(old, names)
	e := do(t, s, NameScene{Frame: testID(1), Name: "Cake ; and more"})
	if e.Args[0] != "#"+string(former) {
		t.Errorf("the name hangs on %s", e.Args[0])
	}
	c, err := ParseLine(FormatEntry(e))
	if err != nil || len(c.Args) != 1 || c.Args[0] != "Cake ; and more" {
		t.Errorf("%+v, %v", c, err)
	}
	s.SetAlias(former, testID(0))
	s.SetLayout(l)
	if got := s.Layout().Scenes[0].Name; got != "Cake ; and more" {
		t.Errorf("the scene is named %q", got)
	}
	refused(t, s, NameScene{Frame: testID(0), Name: "Cake ; and more"}, ErrNothing)
	noScene := NewSession(Layout{Places: []Place{{Frame: testID(0), Scene: 4}}}, names)
	refused(t, noScene, NameScene{Frame: testID(0), Name: "x"}, ErrBadAction)
}

// TestEnterPass goes to the nearest frame of a pass in which nothing is open.
func TestEnterPass(t *testing.T) {
	s := NewSession(testLayout(1, 1, 1, 1))
	do(t, s, DefinePass{Pass{Name: "album", Source: Source{Of: KeepPass, Answer: Yes}}})
	do(t, s, Decide{Pass: KeepPass, Frames: []ID{testID(1)}, Answer: Yes})
	do(t, s, Decide{Pass: "album", Frames: []ID{testID(1)}, Answer: No})
	for _, from := range []int{0, 1, 3} {
		_ = s.EnterPass(KeepPass)
		s.MoveTo(testID(from))
		if err := s.EnterPass("album"); err != nil {
			t.Fatal(err)
		}
		wantCursor(t, s, 1)
	}
}
