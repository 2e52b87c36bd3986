package review

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"garner/cull"
)

func id(i int) cull.ID { return cull.ID(fmt.Sprintf("%016x", i)) }

// sample is a job of three scenes: 0 1 2 (burst) and 3 in the first, 4 5 (bracket), 6 and
// 7 8 (burst, a look-alike of 4 5) in the second, 9 and 10 in the third, an hour apart
// each; 10 could not be shown.
func sample(t *testing.T) Input {
	t.Helper()
	var l cull.Layout
	names, frames := map[cull.ID]string{}, map[cull.ID]cull.Frame{}
	for m, ids := range [][]int{{0, 1, 2}, {3}, {4, 5}, {7, 8}, {6}, {9}, {10}} {
		scene := []int{0, 0, 1, 1, 1, 2, 2}[m]
		if scene == len(l.Scenes) {
			l.Scenes = append(l.Scenes, cull.Scene{ID: scene, Name: []string{"Church", "02", "Evening dance"}[scene], First: id(ids[0])})
		}
		for _, i := range ids {
			p := cull.Place{Frame: id(i), Moment: m, Kind: cull.Single, Scene: scene}
			p.Corrected.Wall = time.Date(2026, 6, 13, 14+4*scene, i, 0, 0, time.UTC)
			switch {
			case m == 2:
				p.Kind, p.Series, p.Alike = cull.Series, cull.Bracket, 1
			case m == 3:
				p.Kind, p.Alike = cull.Burst, 1
			case len(ids) > 1:
				p.Kind = cull.Burst
			}
			l.Places = append(l.Places, p)
			f := cull.Frame{ID: id(i), Body: []string{"one", "two"}[i%2]}
			if i == 10 {
				f.Problems = []cull.Problem{{Code: cull.ProblemNoPicture}}
			}
			names[id(i)], frames[id(i)] = fmt.Sprintf("A/F_%02d", i), f
		}
	}
	return Input{Session: cull.NewSession(l, names), Frames: frames, Bodies: []cull.Body{{Key: "one", Letter: "A", Photographer: "Ann"}, {Key: "two", Letter: "B"}}}
}

func do(t *testing.T, s *cull.Session, actions ...cull.Action) {
	t.Helper()
	for _, a := range actions {
		e, err := s.Plan(a, time.Date(2026, 6, 14, 9, 0, 0, 0, time.UTC), "anna")
		if err == nil {
			err = s.Commit(e)
		}
		if err != nil {
			t.Fatalf("%+v: %v", a, err)
		}
	}
}

func decide(a cull.Answer, shown bool, frames ...int) cull.Decide {
	d := cull.Decide{Pass: cull.KeepPass, Answer: a, Shown: shown}
	for _, i := range frames {
		d.Frames = append(d.Frames, id(i))
	}
	return d
}

// said writes the lines with the numbers of their frames.
func said(p Page) []string {
	var out []string
	for _, l := range p.Lines {
		var ids []string
		for _, f := range l.Frames {
			ids = append(ids, strings.TrimLeft(string(f)[8:], "0"))
		}
		out = append(out, fmt.Sprintf("%s | %s | %s", p.Name(l), l.Text, strings.Join(ids, " ")))
	}
	return out
}

func TestLines(t *testing.T) {
	for _, tc := range []struct {
		name string
		a    []cull.Action
		with func(*Input)
		want []string
	}{
		{"untouched", nil, nil, []string{"open | not decided yet: 11 frames |  1 2 3 4 5 7 8 6 9 a", "broken | could not be shown: 1 frame, 1 of them open | a"}},
		{"everything kept", []cull.Action{decide(cull.Yes, true, 0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10)}, nil, []string{"broken | could not be shown: 1 frame | a"}},
		{"a scene, a burst and a lone frame", []cull.Action{decide(cull.No, true, 0, 1, 2, 6, 7, 8, 9, 10), decide(cull.Yes, true, 3), decide(cull.Part, true, 4, 5)}, nil, []string{
			"scene | nothing kept of scene 03 Evening dance, 2 frames | 9 a",
			"moment | nothing kept of a burst of 3 in scene 01 Church at 14:00, from A/F_00 on |  1 2",
			"covered | nothing kept of 1 moment, but of look-alikes of theirs | 7 8",
			"lone | dropped by themselves in scene 02: 1 frame | 6",
			"broken | could not be shown: 1 frame | a",
		}},
		{"one open frame is not nothing kept", []cull.Action{decide(cull.No, true, 0, 1, 3, 4, 5, 6, 7, 9, 10), decide(cull.Yes, true, 8)}, nil, []string{
			"scene | nothing kept of scene 03 Evening dance, 2 frames | 9 a",
			"covered | nothing kept of 1 moment, but of look-alikes of theirs | 4 5",
			"lone:1 | dropped by themselves in scene 01 Church: 1 frame | 3",
			"lone:2 | dropped by themselves in scene 02: 1 frame | 6",
			"open | not decided yet: 1 frame | 2",
			"broken | could not be shown: 1 frame | a",
		}},
		{"unseen, and seen in a later pass", []cull.Action{decide(cull.Yes, true, 0, 3, 4, 5, 6, 7, 8, 9, 10), decide(cull.No, false, 1, 2),
			cull.DefinePass{Pass: cull.Pass{Name: cull.RescuePass, Source: cull.Source{Of: cull.KeepPass, Answer: cull.No}}},
			cull.Decide{Pass: cull.RescuePass, Frames: []cull.ID{id(1)}, Answer: cull.No, Shown: true}}, nil, []string{
			"unseen | dropped and never shown: 1 frame | 2",
			"broken | could not be shown: 1 frame | a",
		}},
		{"must have", []cull.Action{decide(cull.Yes, true, 0, 3, 4, 6, 9), decide(cull.No, true, 1, 2, 5, 7, 8, 10)}, func(in *Input) {
			in.Musts = []Wanted{
				{Name: "church", Least: 2}, {Name: "Rings", Scene: "church", From: 15 * time.Hour, Until: 16 * time.Hour, Least: 1},
				{Name: "Kiss", Scene: "Church", From: 14 * time.Hour, Until: 14*time.Hour + 2*time.Minute, Least: 2},
				{Name: "Cake", Least: 1}, {Name: "Dance", Least: 3}, {Name: "Late dance", Scene: "dance", From: 22 * time.Hour, Until: 2 * time.Hour, Least: 1},
				{Name: "By hand", Least: 1}, {Name: "Hand", Least: 1}}
			in.Has = map[string][]cull.ID{"by hand": {id(4)}, "hand": {id(5)}}
		}, []string{
			"must:1 | must have Rings: none kept; no frame of its scene is from that time | ",
			"must:2 | must have Kiss: 1 of 2 kept; 3 frames could be it |  1 2",
			"must:3 | must have Cake: none kept; no scene is named Cake | ",
			"must:4 | must have Dance: 1 of 3 kept; 2 frames could be it | 9 a",
			"must:5 | must have Hand: none kept; 1 frame could be it | 5",
			"covered | nothing kept of 1 moment, but of look-alikes of theirs | 7 8",
			"lone | dropped by themselves in scene 03 Evening dance: 1 frame | a",
			"broken | could not be shown: 1 frame | a",
		}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			in := sample(t)
			do(t, in.Session, tc.a...)
			if tc.with != nil {
				tc.with(&in)
			}
			if d := cmp.Diff(tc.want, said(Make(in))); d != "" {
				t.Error(d)
			}
		})
	}
}

func TestShares(t *testing.T) {
	in := sample(t)
	in.Goal = 22
	do(t, in.Session, decide(cull.Yes, true, 0, 9), decide(cull.No, true, 1, 2, 3))
	p := Make(in)
	want := Page{Frames: 11, Kept: 2, Goal: 22, Lines: p.Lines,
		ByScene: []Share{{"01 Church", 1, 0, 4, 8}, {"02", 0, 5, 5, 10}, {"03 Evening dance", 1, 1, 2, 4}},
		ByHour:  []Share{{"14:00", 1, 0, 4, 8}, {"18:00", 0, 5, 5, 10}, {"22:00", 1, 1, 2, 4}},
		ByBody:  []Share{{"A (Ann)", 1, 4, 6, 12}, {"B", 1, 2, 5, 10}},
	}
	if d := cmp.Diff(want, p); d != "" {
		t.Error(d)
	}
}

func TestFind(t *testing.T) {
	in := sample(t)
	do(t, in.Session, decide(cull.No, true, 0, 1, 3, 4, 5, 6, 7, 9, 10), decide(cull.Yes, true, 8))
	p := Make(in)
	for name, want := range map[string]any{
		"lone": []cull.ID{id(3), id(6)}, "lone:2": []cull.ID{id(6)}, "open": []cull.ID{id(2)}, "open:1": []cull.ID{id(2)},
		"lone:3":   "the review has no line lone:3 now; there are scene, covered, lone:1 to lone:2, open, broken",
		"unseen":   "the review has no line unseen now; there are scene, covered, lone:1 to lone:2, open, broken",
		"dropped":  "the review has no lines called dropped; there are scene, covered, lone:1 to lone:2, open, broken",
		"lone:two": "lone:two is no line of the review: after lone: comes its number", "": "the review has no lines called ; there are scene, covered, lone:1 to lone:2, open, broken",
	} {
		ids, err := Find(p, name)
		if text, ok := want.(string); ok {
			if err == nil || err.Error() != text || ids != nil {
				t.Errorf("%s: %v, %v", name, ids, err)
			}
		} else if err != nil || !slices.Equal(ids, want.([]cull.ID)) {
			t.Errorf("%s: %v, %v", name, ids, err)
		}
	}
	if _, err := Find(Page{}, "open"); err == nil || !strings.Contains(err.Error(), "nothing is on it") {
		t.Error(err)
	}
}

// TestSums: however a job is decided, every table counts every frame once, and every
// line leads to frames of the job that Find gives too.
func TestSums(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		in := sample(t)
		for i := range 11 {
			if a := cull.Answer(rapid.IntRange(0, 3).Draw(r, "answer")); a != cull.Open {
				do(t, in.Session, decide(a, rapid.Bool().Draw(r, "shown"), i))
			}
		}
		in.Goal = rapid.IntRange(0, 30).Draw(r, "goal")
		p := Make(in)
		for _, shares := range [][]Share{p.ByScene, p.ByHour, p.ByBody} {
			frames, kept := 0, 0
			for _, s := range shares {
				frames, kept = frames+s.Frames, kept+s.Kept
				if s.Kept+s.Open > s.Frames {
					r.Fatalf("%+v", s)
				}
			}
			if frames != p.Frames || kept != p.Kept {
				r.Fatalf("%d of %d in %+v", kept, frames, shares)
			}
		}
		for _, l := range p.Lines {
			ids, err := Find(p, p.Name(l))
			if err != nil || !slices.Equal(ids, l.Frames) {
				r.Fatalf("%+v: %v, %v", l, ids, err)
			}
		}
	})
}
