package station

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"garner/cull"
)

// layoutOf reads a layout from words: moments are separated by blanks, their
// frames are letters, | begins a scene, and ~ before a moment makes it a look-alike
// of the one before it.
func layoutOf(words string) cull.Layout {
	var l cull.Layout
	l.Scenes = []cull.Scene{{ID: 0, Name: "01"}}
	moment, sets := 0, 0
	for _, w := range strings.Fields(words) {
		if w == "|" {
			l.Scenes = append(l.Scenes, cull.Scene{ID: len(l.Scenes), Name: cull.SceneNumber(len(l.Scenes))})
			continue
		}
		w, alike := strings.CutPrefix(w, "~")
		set := 0
		if n := len(l.Places); alike && n > 0 && l.Places[n-1].Scene == len(l.Scenes)-1 {
			if set = l.Places[n-1].Alike; set == 0 {
				sets++
				set = sets
				for i := range l.Places {
					if l.Places[i].Moment == moment-1 {
						l.Places[i].Alike = set
					}
				}
			}
		}
		kind := cull.Single
		if len(w) > 1 {
			kind = cull.Burst
		}
		for _, r := range w {
			at := cull.Stamp{Wall: time.Date(2026, 6, 13, 12, len(l.Places), 0, 0, time.UTC)}
			l.Places = append(l.Places, cull.Place{Frame: cull.ID(r), Moment: moment, Kind: kind, Alike: set, Scene: len(l.Scenes) - 1, Corrected: at})
		}
		moment++
	}
	for i := range l.Scenes {
		for _, p := range slices.Backward(l.Places) {
			if p.Scene == i {
				l.Scenes[i].First = p.Frame
			}
		}
	}
	return l
}

func wordsOf(l cull.Layout) string {
	var b strings.Builder
	for i, p := range l.Places {
		if i > 0 {
			if p.Moment != l.Places[i-1].Moment {
				b.WriteString(" ")
			}
			if p.Scene != l.Places[i-1].Scene {
				b.WriteString("| ")
			}
			if p.Moment != l.Places[i-1].Moment && p.Alike > 0 && p.Alike == l.Places[i-1].Alike {
				b.WriteString("~")
			}
		}
		b.WriteString(string(p.Frame))
	}
	return b.String()
}

func TestAdopt(t *testing.T) {
	for _, c := range []struct {
		name, old, newer, cursor, want string
		arrived                        int
	}{
		{"nothing known before", "", "ab c", "", "ab c", 0},
		{"frames arrive behind the end", "a b", "a b c", "b", "a b c", 0},
		{"frames arrive before the cursor", "b d", "a b c d", "d", "a b c d", 2},
		{"a moment ahead is regrouped", "a b c d", "a bcd", "a", "a bcd", 0},
		{"a moment ahead is torn", "a bcd", "a b c d", "a", "a b c d", 0},
		{"a moment behind grows", "a b c d", "ab c d", "d", "ab c d", 0},
		{"a moment behind is not torn", "ab c d", "a b c d", "d", "ab c d", 0},
		{"order behind the cursor stays", "a b c d", "b a c d", "d", "a b c d", 0},
		{"order ahead is the new one", "a b c d", "a d c b", "a", "a d c b", 0},
		{"a frame ahead that is now before comes next", "a b c d", "d a b c", "b", "a b d c", 0},
		{"a frame joins the cursor's burst", "ab c", "abx c", "b", "abx c", 0},
		{"a frame joins a burst behind", "ab c", "axb c", "c", "axb c", 1},
		{"the cursor's frame is gone", "a b c", "a c", "b", "a c", 0},
		{"a frame behind is gone", "a b c", "b c", "c", "b c", 0},
		{"scenes", "a b | c", "a | b c", "c", "a | b c", 0},
		{"look-alikes ahead are the new ones", "a b ~c d", "a ~b c ~d", "a", "a ~b c ~d", 0},
		{"look-alikes behind may grow", "a b c d", "a ~b ~c d", "d", "a ~b ~c d", 0},
		{"look-alikes behind are not let go", "a ~b c", "a b c", "c", "a ~b c", 0},
		{"look-alikes that came apart", "a b c d", "a ~c b d", "d", "a b c d", 0},
		{"a late frame among look-alikes", "a ~b c", "a ~x ~b c", "c", "a ~x ~b c", 1},
		{"a late frame between look-alikes", "a ~b c", "a x b c", "c", "a x b c", 1},
		{"a scene begins between look-alikes", "a ~b c", "a | b c", "a", "a | b c", 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, arrived := adopt(layoutOf(c.old), layoutOf(c.old), layoutOf(c.newer), cull.ID(c.cursor))
			if w := wordsOf(got); w != c.want || arrived != c.arrived {
				t.Errorf("got %q with %d arrived, want %q with %d", w, arrived, c.want, c.arrived)
			}
		})
	}
}

// Whatever preparation finds: every frame of the newer order stands once, nothing
// behind the cursor changes its order, moments and scenes are one run each.
func TestAdoptKeepsItsPromises(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		old, newer := drawLayout(t, "old"), drawLayout(t, "newer")
		cursor := cull.ID("")
		if len(old.Places) > 0 {
			cursor = old.Places[rapid.IntRange(0, len(old.Places)-1).Draw(t, "cursor")].Frame
		}
		got, _ := adopt(old, old, newer, cursor)
		ids := func(l cull.Layout) (all []string) {
			for _, p := range l.Places {
				all = append(all, string(p.Frame))
			}
			return all
		}
		a, b := ids(got), ids(newer)
		slices.Sort(a)
		slices.Sort(b)
		if !slices.Equal(a, b) {
			t.Fatalf("frames %v, want %v", a, b)
		}
		holdRuns(t, got)
		if !slices.Contains(b, string(cursor)) {
			return
		}
		at := map[cull.ID]int{}
		for i, p := range got.Places {
			at[p.Frame] = i
		}
		last := -1
		for _, p := range old.Places {
			if i, there := at[p.Frame]; there {
				if i < last {
					t.Fatalf("%s went before what stood before it: %s → %s, cursor %s", p.Frame, wordsOf(old), wordsOf(got), cursor)
				}
				last = i
			}
			if p.Frame == cursor {
				break
			}
		}
	})
}

// holdRuns checks what cull.Layout promises.
func holdRuns(t *rapid.T, l cull.Layout) {
	for i, p := range l.Places {
		if i == 0 {
			continue
		}
		before := l.Places[i-1]
		if p.Moment != before.Moment && p.Moment != before.Moment+1 || p.Scene < before.Scene ||
			p.Moment == before.Moment && (p.Scene != before.Scene || p.Kind != before.Kind || p.Series != before.Series || p.Alike != before.Alike) {
			t.Fatalf("place %d: %+v after %+v", i, p, before)
		}
	}
	moments := map[int]map[int]bool{} // set → its moments
	for i, p := range l.Places {
		if p.Alike == 0 {
			continue
		}
		if moments[p.Alike] == nil {
			moments[p.Alike] = map[int]bool{}
		} else if b := l.Places[i-1]; b.Alike != p.Alike || b.Scene != p.Scene {
			t.Fatalf("place %d: the set of %+v is not one run in one scene: %s", i, p, wordsOf(l))
		}
		moments[p.Alike][p.Moment] = true
	}
	for set, m := range moments {
		if len(m) < 2 {
			t.Fatalf("set %d has one moment: %s", set, wordsOf(l))
		}
	}
}

func drawLayout(t *rapid.T, name string) cull.Layout {
	letters := []rune("abcdefghijkl")
	letters = rapid.Permutation(letters).Draw(t, name)
	letters = letters[:rapid.IntRange(0, len(letters)).Draw(t, name+" frames")]
	var b strings.Builder
	for i, r := range letters {
		if i > 0 {
			b.WriteString(rapid.SampledFrom([]string{"", "", " ", " ", " ~", " | "}).Draw(t, fmt.Sprintf("%s gap %d", name, i)))
		}
		b.WriteRune(r)
	}
	return layoutOf(b.String())
}
