package station

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"garner/cull"
)

// layoutOf reads a layout from words: moments are separated by blanks, their
// frames are letters, | begins a scene.
func layoutOf(words string) cull.Layout {
	var l cull.Layout
	l.Scenes = []cull.Scene{{ID: 0, Name: "01"}}
	moment := 0
	for _, w := range strings.Fields(words) {
		if w == "|" {
			l.Scenes = append(l.Scenes, cull.Scene{ID: len(l.Scenes), Name: cull.SceneNumber(len(l.Scenes))})
			continue
		}
		kind := cull.Single
		if len(w) > 1 {
			kind = cull.Burst
		}
		for _, r := range w {
			l.Places = append(l.Places, cull.Place{Frame: cull.ID(r), Moment: moment, Kind: kind, Scene: len(l.Scenes) - 1})
		}
		moment++
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
	} {
		t.Run(c.name, func(t *testing.T) {
			got, arrived := adopt(layoutOf(c.old), layoutOf(c.newer), cull.ID(c.cursor))
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
		got, _ := adopt(old, newer, cursor)
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
			p.Moment == before.Moment && (p.Scene != before.Scene || p.Kind != before.Kind) {
			t.Fatalf("place %d: %+v after %+v", i, p, before)
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
			b.WriteString(rapid.SampledFrom([]string{"", "", " ", " ", " | "}).Draw(t, fmt.Sprintf("%s gap %d", name, i)))
		}
		b.WriteRune(r)
	}
	return layoutOf(b.String())
}
