package station

import (
	"errors"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"garner/cull"
)

// Corrections are made to what comes of joining the orders without them: a frame that
// arrives in a moment that was corrected goes with the one that it follows, and what
// was corrected behind the cursor stays so.
func TestAdoptWithCorrections(t *testing.T) {
	ids := func(s string) (list []cull.ID) {
		for _, r := range s {
			list = append(list, cull.ID(r))
		}
		return list
	}
	join := func(s string) cull.Correction { return cull.Correction{Kind: cull.JoinMoment, Frames: ids(s)} }
	for _, c := range []struct {
		name, old, newer, cursor string
		made                     []cull.Correction
		want                     string
	}{
		{"a late frame in a joined moment", "a b c", "ax b c", "c", []cull.Correction{join("ab")}, "axb c"},
		{"a late frame between joined moments", "a b c", "a x b c", "c", []cull.Correction{join("ab")}, "ab x c"},
		{"a late frame before a split", "abcd e", "abxcd e", "e", []cull.Correction{{Kind: cull.SplitAt, Frames: ids("ab"), Others: ids("cd")}}, "abx cd e"},
		{"a late frame beside one taken out", "abc d", "abxc d", "d", []cull.Correction{{Kind: cull.TakeOut, Frames: ids("b")}}, "ac b d"},
		{"grouped anew, still joined", "a b c d", "ab c d", "d", []cull.Correction{join("bc")}, "abc d"},
		{"let go, and found alike again", "a b c", "a ~b c", "c", []cull.Correction{{Kind: cull.LetGo, Frames: ids("ab")}}, "a b c"},
	} {
		t.Run(c.name, func(t *testing.T) {
			old := layoutOf(c.old)
			base, _ := adoptCorrected(old, old.With(c.made), layoutOf(c.newer), cull.ID(c.cursor), c.made)
			got := wordsOf(base.With(c.made))
			// Where a late frame goes beside one taken out is With's to say.
			if c.name == "a late frame beside one taken out" {
				if l := base.With(c.made); !byItself(l, "b") {
					t.Errorf("got %q, b is not alone", got)
				}
				return
			}
			if got != c.want {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}

// byItself reports whether a frame is a moment of its own.
func byItself(l cull.Layout, id cull.ID) bool {
	at := slices.IndexFunc(l.Places, func(p cull.Place) bool { return p.Frame == id })
	n := 0
	for _, p := range l.Places {
		if p.Moment == l.Places[at].Moment {
			n++
		}
	}
	return n == 1
}

// Whatever was corrected and whatever preparation finds: what stood behind the
// cursor on the screen stays in its order there.
func TestAdoptKeepsTheCorrectedOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		old := drawDay(t, "old", cull.Layout{})
		newer := drawDay(t, "newer", old)
		if len(old.Places) == 0 {
			return
		}
		s := cull.NewSession(old, nil)
		for n := range rapid.IntRange(0, 4).Draw(t, "corrections") {
			id := old.Places[rapid.IntRange(0, len(old.Places)-1).Draw(t, "frame")].Frame
			act := rapid.SampledFrom([]cull.Action{cull.Join{Frame: id}, cull.Join{Frame: id, Series: true}, cull.Split{Frame: id}, cull.Out{Frame: id},
				cull.Apart{Frame: id}, cull.SceneBegin{Frame: id}}).Draw(t, "correction")
			e, err := s.Plan(act, at(n), "anna")
			if err != nil {
				if !errors.Is(err, cull.ErrNothing) && !errors.Is(err, cull.ErrBadAction) {
					t.Fatal(err)
				}
				continue
			}
			if err := s.Commit(e); err != nil {
				t.Fatal(err)
			}
		}
		walked := s.Layout()
		cursor := walked.Places[rapid.IntRange(0, len(walked.Places)-1).Draw(t, "cursor")].Frame
		s.MoveTo(cursor)
		base, _ := adoptCorrected(s.Base(), walked, newer, cursor, s.Corrections())
		s.SetLayout(base)
		holdRuns(t, s.Layout())
		if !slices.ContainsFunc(newer.Places, func(p cull.Place) bool { return p.Frame == cursor }) {
			return
		}
		if s.Cursor() != cursor {
			t.Fatalf("the cursor went from %s to %s", cursor, s.Cursor())
		}
		now := map[cull.ID]int{}
		for i, p := range s.Layout().Places {
			now[p.Frame] = i
		}
		last := -1
		for _, p := range walked.Places {
			if i, there := now[p.Frame]; there {
				if i < last {
					t.Fatalf("%s went before what stood before it: %s → %s, cursor %s; without corrections %s → %s with %s", p.Frame,
						wordsOf(walked), wordsOf(s.Layout()), cursor, wordsOf(old), wordsOf(base), wordsOf(newer))
				}
				last = i
			}
			if p.Frame == cursor {
				break
			}
		}
	})
}

// drawDay draws a layout as grouping makes it: frames by time, each with its own; the
// moments of a set of look-alikes where the first of them is. All of some other are
// there: frames arrive and do not go.
func drawDay(t *rapid.T, name string, with cull.Layout) cull.Layout {
	var l cull.Layout
	type moment struct {
		places []cull.Place
		set    int
	}
	var scene []moment
	moments, sets := 0, 0
	flush := func() {
		first := map[int]int{} // drawn set → number
		count := map[int]int{}
		for _, m := range scene {
			count[m.set]++
		}
		put := func(m moment, set int) {
			for _, p := range m.places {
				p.Moment, p.Alike, p.Scene, p.Kind = moments, set, len(l.Scenes)-1, cull.Burst
				if len(m.places) == 1 {
					p.Kind = cull.Single
				}
				l.Places = append(l.Places, p)
			}
			moments++
		}
		for i, m := range scene {
			switch {
			case m.set == 0 || count[m.set] < 2:
				put(m, 0)
			case first[m.set] == 0:
				sets++
				first[m.set] = sets
				for _, other := range scene[i:] {
					if other.set == m.set {
						put(other, sets)
					}
				}
			}
		}
		scene = nil
	}
	for i, r := range "abcdefghijkl" {
		there := slices.ContainsFunc(with.Places, func(p cull.Place) bool { return p.Frame == cull.ID(r) })
		if !there && rapid.IntRange(0, 3).Draw(t, name+" without") == 0 {
			continue
		}
		p := cull.Place{Frame: cull.ID(r), Corrected: cull.Stamp{Wall: at(i * 10)}}
		gap := rapid.SampledFrom([]string{"", " ", " ", " | "}).Draw(t, name+" gap")
		if gap == " | " || len(l.Scenes) == 0 {
			flush()
			l.Scenes = append(l.Scenes, cull.Scene{ID: len(l.Scenes), Name: cull.SceneNumber(len(l.Scenes)), First: p.Frame})
		}
		if gap != "" || len(scene) == 0 {
			scene = append(scene, moment{set: rapid.IntRange(0, 2).Draw(t, name+" set")})
		}
		m := &scene[len(scene)-1]
		m.places = append(m.places, p)
	}
	flush()
	return l
}

func at(seconds int) time.Time { return time.Date(2026, 6, 13, 20, 0, seconds, 0, time.UTC) }
