package returned

import (
	"fmt"
	"math/rand/v2"
	"path"
	"slices"
	"testing"

	"garner/cull"
	"garner/cull/demo"
	"garner/testdata/testjob"
)

// exported is a wedding of which pictures came back.
type exported struct {
	*exporter
	truth   map[string][]cull.ID
	known   known
	dropped map[string]bool // exports of frames that were dropped
}

// decideAll keeps the second frame of every moment and drops the rest; of the bracket
// the rest is material.
func decideAll(t testing.TB, e *exporter) (kept, dropped []cull.ID, merge []cull.ID) {
	t.Helper()
	l, err := e.j.Layout()
	if err != nil {
		t.Fatal(err)
	}
	var entries []cull.Entry
	answer := func(id cull.ID, a cull.Answer) {
		entries = append(entries, cull.Entry{Verb: cull.VerbAnswer, Pass: cull.KeepPass, Changes: []cull.Change{{Frame: id, After: a, Explicit: true}}})
	}
	for from := 0; from < len(l.Places); {
		to := from
		for to < len(l.Places) && l.Places[to].Moment == l.Places[from].Moment {
			to++
		}
		best, series := min(from+1, to-1), l.Places[from].Kind == cull.Series
		for i := from; i < to; i++ {
			id := l.Places[i].Frame
			f := e.frame[id]
			switch {
			case i == best && series:
				answer(id, cull.Yes)
				merge = append([]cull.ID{id}, merge...)
			case i == best:
				answer(id, cull.Yes)
				if f.CanBeShown() {
					kept = append(kept, id)
				}
			case series:
				answer(id, cull.Part)
				merge = append(merge, id)
			default:
				answer(id, cull.No)
				if f.CanBeShown() {
					dropped = append(dropped, id)
				}
			}
		}
		from = to
	}
	if _, err := e.j.Append(entries...); err != nil {
		t.Fatal(err)
	}
	return kept, dropped, merge
}

// wedding is the demo, exported flat under new names and without metadata: one
// picture of every keeper, of every third a second version, and the merge.
func wedding(t testing.TB) *exported {
	e := &exported{exporter: newExporter(t, testjob.Demo(t, demo.DefaultFrames, true)), truth: map[string][]cull.ID{}, dropped: map[string]bool{}}
	kept, dropped, merge := decideAll(t, e.exporter)
	if len(merge) < 3 || len(kept) < 40 {
		t.Fatalf("%d keepers, a merge of %d", len(kept), len(merge))
	}
	r := rand.New(rand.NewPCG(8, 13))
	r.Shuffle(len(kept), func(i, k int) { kept[i], kept[k] = kept[k], kept[i] })
	n := 0
	export := func(ids []cull.ID, as edit) string {
		n++
		p := fmt.Sprintf("finished/Anna & Ben %04d.jpg", n)
		e.write(ids[0], as, p)
		e.truth[p] = ids
		return p
	}
	for i, id := range kept {
		export([]cull.ID{id}, edits[i%len(edits)])
		if i%3 == 0 {
			export([]cull.ID{id}, edits[(i+2)%len(edits)])
		}
	}
	export(merge, edit{name: "merge", gamma: 0.8})
	for i, id := range dropped[:min(6, len(dropped))] {
		e.dropped[export([]cull.ID{id}, edits[i%len(edits)])] = true
	}
	var err error
	if e.known, err = framesOf(e.j); err != nil {
		t.Fatal(err)
	}
	return e
}

func (e *exported) name(id cull.ID) string { return e.frame[id].Name }

// with gives copies of the pictures that say more of themselves.
func (e *exported) with(pictures []Picture, say func(p *Picture, f Frame)) []Picture {
	out := slices.Clone(pictures)
	x := newIndex(e.known.frames)
	for i := range out {
		say(&out[i], e.known.frames[x.byID[e.truth[out[i].Path][0]]])
	}
	return out
}

func renamed(p *Picture, to string) { p.Path = path.Dir(p.Path) + "/" + to }

// A flat export under new names is tied without a mistake, whatever it says of
// itself; how much stays open depends on that.
func TestWedding(t *testing.T) {
	if testing.Short() {
		t.Skip("draws 120 frames")
	}
	e := wedding(t)
	m := e.match(Options{})
	if len(m.Failed) > 0 || len(m.Pictures) != len(e.truth) || m.Read != len(m.Pictures) {
		t.Fatalf("%v, %d of %d pictures, %d read", m.Failed, len(m.Pictures), len(e.truth), m.Read)
	}
	again := e.match(Options{})
	if m.Closer == 0 || again.Closer != 0 || again.Read != 0 || fmt.Sprint(again.Ties) != fmt.Sprint(m.Ties) || fmt.Sprint(again.Report) != fmt.Sprint(m.Report) {
		t.Errorf("%d pictures are read the second time, or tied otherwise", again.Read)
	}

	asKept, all := []Picture{}, m.Pictures
	for _, p := range all {
		if !e.dropped[p.Path] {
			asKept = append(asKept, p)
		}
	}
	undecided := slices.Clone(e.known.frames)
	for i := range undecided {
		undecided[i].Answer = cull.Open
	}
	// Of frames about which nobody decided there is no merge: its lead is right.
	truthOf := func(pictures []Picture, undecided bool) (out [][]cull.ID) {
		for _, p := range pictures {
			ids := e.truth[p.Path]
			if undecided {
				ids = ids[:1]
			}
			out = append(out, ids)
		}
		return out
	}
	corrected := func(p *Picture, f Frame) { p.Taken = f.Corrected }
	body := func(p *Picture, f Frame) { p.Make, p.Model, p.Serial = f.Make, f.Model, f.Serial }
	for _, c := range []struct {
		name      string
		pictures  []Picture
		say       func(p *Picture, f Frame)
		undecided bool
		open      int // at most, of a hundred
	}{
		{"nothing but pixels", asKept, nil, false, 10},
		{"nothing but pixels, nobody decided", all, nil, true, 15},
		{"time to the second", all, func(p *Picture, f Frame) {
			p.Taken = f.Taken
			p.Taken.Wall, p.Taken.Digits = p.Taken.Wall.Truncate(1e9), 0
		}, true, 15},
		{"time as the body had it, and serial", all, func(p *Picture, f Frame) { p.Taken = f.Taken; body(p, f) }, true, 0},
		{"time as corrected, and model", all, func(p *Picture, f Frame) { corrected(p, f); p.Make, p.Model = f.Make, f.Model }, true, 0},
		{"name", all, func(p *Picture, f Frame) { renamed(p, path.Base(f.Name)+"-Edit.jpg") }, true, 10},
		{"name as handoff gives it", all, func(p *Picture, f Frame) {
			renamed(p, fmt.Sprintf("%04d-%s-%s-2.jpg", 1+f.Place, f.Letter, path.Base(f.Name)))
		}, true, 0},
		{"the name inside", all, func(p *Picture, f Frame) { p.Sources = []string{path.Base(f.Files[0])} }, true, 10},
		{"the name inside, and decided", asKept, func(p *Picture, f Frame) { p.Sources = []string{path.Base(f.Files[0])} }, false, 8},
	} {
		pictures, frames := c.pictures, e.known.frames
		if c.say != nil {
			pictures = e.with(pictures, c.say)
		}
		truth := truthOf(c.pictures, c.undecided)
		if c.undecided {
			frames = undecided
		}
		got := count(t, c.name, Find(pictures, frames).Ties, truth, e.name)
		if got.wrong > 0 || 100*got.open > c.open*len(pictures) {
			t.Errorf("%s: %d wrong, %d of %d open, want at most %d %%", c.name, got.wrong, got.open, len(pictures), c.open)
		}
	}
	// What nobody should give back: frames that were dropped, which the report names.
	ties := Find(all, e.known.frames).Ties
	got := count(t, "with six that were dropped", ties, truthOf(all, false), e.name)
	if got.wrong > 0 || got.open > 9 {
		t.Errorf("%+v", got)
	}
	dropped := Check(all, ties, e.known.frames).Dropped
	for _, d := range dropped {
		if !e.dropped[d.Path] {
			t.Errorf("%s is said to be of a dropped frame", d.Path)
		}
	}
	if len(dropped) < 4 {
		t.Errorf("%d of six are said to be of dropped frames", len(dropped))
	}
}
