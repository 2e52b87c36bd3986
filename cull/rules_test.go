package cull

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// TestNoActionLosesADecision: an action changes the frames that its entry
// names and no other, tells truly what they were before, and never takes part
// of it out of reach of undo.
func TestNoActionLosesADecision(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, _ := genSession(t)
		play(t, s, 20)
		before := stateOf(s)
		e, err := s.Plan(genAction(s).Draw(t, "action"), at(0), "anna")
		if err != nil {
			return
		}
		commit(t, s, e)
		changed := map[ID]bool{}
		for _, c := range e.Changes {
			changed[c.Frame] = true
			if d := before.Answers[e.Pass][c.Frame]; d.Answer != c.Before {
				t.Fatalf("%s was %v, the entry says %v", c.Frame, d.Answer, c.Before)
			}
			if d := s.Decision(e.Pass, c.Frame); d.Answer != c.After {
				t.Fatalf("%s is %v, the entry says %v", c.Frame, d.Answer, c.After)
			}
		}
		for pass, m := range before.Answers {
			for id, d := range m {
				if (pass != e.Pass || !changed[id]) && s.Decision(pass, id) != d {
					t.Fatalf("%s in %s was %+v and is %+v", id, pass, d, s.Decision(pass, id))
				}
			}
		}
		switch {
		case isStep(e.Verb):
			if len(s.done) != len(before.Done)+1 || len(s.undone) != 0 {
				t.Fatal("the entry is not one step of undo, or the redo stack was kept")
			}
		case len(s.done)+len(s.undone) != len(before.Done)+len(before.Undone):
			t.Fatal("a step was lost")
		}
	})
}

// TestBurstKeysOverturnNothingExplicit also holds for Part, and for the frames
// of other moments.
func TestBurstKeysOverturnNothingExplicit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, _ := genSession(t)
		play(t, s, 20)
		on := testID(rapid.IntRange(0, len(s.layout.Places)-1).Draw(t, "on"))
		var a Action = DecideBurst{Pass: KeepPass, Frame: on, Answer: rapid.SampledFrom([]Answer{Open, Yes, No}).Draw(t, "answer")}
		only := rapid.Bool().Draw(t, "only")
		if only {
			a = Only{Pass: KeepPass, Frame: on}
			if rapid.Bool().Draw(t, "merge") {
				a = Merge{Pass: KeepPass, Frame: on}
			}
		}
		before := stateOf(s).Answers[KeepPass]
		e, err := s.Plan(a, at(0), "anna")
		if err != nil {
			return
		}
		commit(t, s, e)
		moment := map[ID]bool{}
		for _, id := range s.Moment(on) {
			moment[id] = true
		}
		for id, d := range before {
			explicit := d.Answer == Part || d.Answer != Open && d.Explicit
			if (explicit || !moment[id]) && !(only && id == on) && s.Decision(KeepPass, id) != d {
				t.Fatalf("%s was %+v and is %+v", id, d, s.Decision(KeepPass, id))
			}
		}
		for _, c := range e.Changes {
			if c.Explicit != (only && c.Frame == on) {
				t.Fatalf("%+v is explicit", c)
			}
		}
		if only && (s.Decision(KeepPass, on).Answer != Yes || !s.Decision(KeepPass, on).Explicit) {
			t.Fatal("the one was not kept")
		}
	})
}

// TestPartOnlyInKeep and its kin: whatever was played, these hold.
func TestInvariants(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, _ := genSession(t)
		for _, e := range play(t, s, 40) {
			if len(e.Changes) == 0 {
				continue
			}
			for _, c := range e.Changes {
				if c.After == Part && e.Pass != KeepPass {
					t.Fatalf("part in %s", e.Pass)
				}
			}
		}
		for _, p := range s.Passes() {
			if got, want := s.Progress(p.Name).All(), len(s.Frames(p.Name)); got != want {
				t.Fatalf("%s counts %d of %d", p.Name, got, want)
			}
			for _, id := range s.Frames(p.Name) {
				if src := p.Source; src.Of != "" && (s.Decision(src.Of, id).Answer != src.Answer || !s.Eligible(src.Of, id)) {
					t.Fatalf("%s is in %s but not in its source", id, p.Name)
				}
			}
		}
		if _, ok := s.places[s.Cursor()]; !ok {
			t.Fatal("the cursor is on no frame")
		}
	})
}

// TestRegroupingKeepsEverything: new moments, another order and frames that
// went away change no decision, no step of undo and not the cursor's frame.
func TestRegroupingKeepsEverything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, _ := genSession(t)
		play(t, s, 20)
		before, on := stateOf(s), s.Cursor()
		places := rapid.Permutation(s.base.Places).Draw(t, "places")
		places = places[rapid.IntRange(0, len(places)-1).Draw(t, "gone"):]
		still := false
		for i := range places {
			places[i].Moment, places[i].Scene, places[i].Alike = i/2, 0, 0
			still = still || places[i].Frame == on
		}
		s.SetLayout(Layout{Places: places, Scenes: []Scene{{First: places[0].Frame}}})
		after := stateOf(s)
		same(t, "answers", after.Answers, before.Answers)
		same(t, "steps", after.Done, before.Done)
		same(t, "undone steps", after.Undone, before.Undone)
		if still && s.Cursor() != on {
			t.Fatal("the cursor left its frame")
		}
		play(t, s, 20)
		for len(s.done) > 0 {
			act(t, s, Undo{})
		}
		same(t, "the start", stateOf(s).Answers, map[string]map[ID]Decision{})
		same(t, "the groups", s.layout.Places, s.base.Places)
	})
}

// A dropped frame is taken back by a yes of any pass that asks about it, and not by one
// that sleeps.
func TestTakenBack(t *testing.T) {
	of := func(name, source string, a Answer) Pass {
		return Pass{Name: name, Source: Source{Of: source, Answer: a}}
	}
	passes := []Pass{{Name: KeepPass}, of("album", KeepPass, Yes), of(RescuePass, KeepPass, No), of("client", RescuePass, No), of("web", "", Open), of("cover", "album", Yes)}
	for _, c := range []struct {
		yes, no []string
		want    bool
	}{
		{no: []string{KeepPass}},
		{no: []string{KeepPass}, yes: []string{"album", "cover"}},
		{no: []string{KeepPass}, yes: []string{RescuePass}, want: true},
		{yes: []string{KeepPass, RescuePass}},
		{yes: []string{RescuePass}},
		{no: []string{KeepPass}, yes: []string{"client"}},
		{no: []string{KeepPass, RescuePass}, yes: []string{"client"}, want: true},
		{no: []string{KeepPass}, yes: []string{"web"}, want: true},
	} {
		got := TakenBack(passes, func(pass string) Answer {
			switch {
			case slices.Contains(c.yes, pass):
				return Yes
			case slices.Contains(c.no, pass):
				return No
			}
			return Open
		})
		if got != c.want {
			t.Errorf("yes in %v, no in %v: %v", c.yes, c.no, got)
		}
	}
	if !TakenBack(nil, func(pass string) Answer { return map[string]Answer{KeepPass: No, RescuePass: Yes}[pass] }) {
		t.Error("what is handed over as rescued is not taken back")
	}
}

// What is handed over in the end, by the three passes that have a say in it.
func TestOutcome(t *testing.T) {
	for _, c := range []struct{ keep, review, rescue, want Answer }{
		{Open, Open, Open, Open}, {Open, No, Yes, Open},
		{Yes, Open, Open, Yes}, {Yes, Yes, Open, Yes}, {Yes, No, Open, No}, {Yes, No, Yes, No}, {Yes, Open, No, Yes},
		{Part, Open, Open, Part}, {Part, No, Open, No},
		{No, Open, Open, No}, {No, Open, No, No}, {No, Open, Yes, Yes}, {No, Yes, Open, No},
	} {
		if got := Outcome(c.keep, c.review, c.rescue); got != c.want {
			t.Errorf("keep %v, review %v, rescue %v: %v, want %v", c.keep, c.review, c.rescue, got, c.want)
		}
	}
}
