package group

import (
	"math/rand/v2"
	"testing"

	"garner/cull"
	"garner/testdata/testday"
)

// TestCorrectionsOutliveRegrouping corrects a day by hand in many places, none of
// which touches another, and groups it anew in every way that happens: with a card
// that came late, with other clocks, with other limits. What was said by hand stays.
func TestCorrectionsOutliveRegrouping(t *testing.T) {
	d := testday.New(1, small())
	frames := framesOf(d, true)
	r := rand.New(rand.NewPCG(4, 4))
	var early []Frame
	for _, f := range frames {
		if f.Body != testday.Phone && r.IntN(10) > 0 {
			early = append(early, f)
		}
	}
	first := Layout(early, Options{})
	cs := correctionsOf(first)
	count := map[cull.CorrectionKind]int{}
	for _, c := range cs {
		count[c.Kind]++
	}
	t.Logf("%v", count)
	if len(count) != 7 && !testing.Short() {
		t.Fatalf("not every kind of correction: %v", count)
	}
	late, _ := Update(first, frames, func(cull.ID) bool { return false }, Options{})
	for what, l := range map[string]cull.Layout{
		"as it was":       first,
		"late cards":      late,
		"other clocks":    Layout(framesOf(d, false), Options{}),
		"stricter limits": Layout(frames, Options{Near: 2, Quick: 4, Far: 6, Alike: 2}),
		"looser limits":   Layout(frames, Options{Near: 30, Quick: 30, Far: 40, Alike: 24}),
	} {
		place := map[cull.ID]cull.Place{}
		at := map[cull.ID]int{}
		corrected := l.With(cs)
		for i, p := range corrected.Places {
			place[p.Frame], at[p.Frame] = p, i
		}
		if len(place) != len(l.Places) || len(corrected.Places) != len(l.Places) {
			t.Errorf("%s: %d frames in %d places, were %d", what, len(place), len(corrected.Places), len(l.Places))
		}
		size := map[int]int{}
		for _, p := range corrected.Places {
			size[p.Moment]++
		}
		for _, c := range cs {
			a := place[c.Frames[0]]
			ok := true
			switch c.Kind {
			case cull.JoinMoment, cull.JoinSeries:
				for _, id := range c.Frames {
					ok = ok && place[id].Moment == a.Moment && (c.Kind == cull.JoinMoment || place[id].Kind == cull.Series)
				}
			case cull.SplitAt:
				for _, x := range c.Frames {
					for _, y := range c.Others {
						ok = ok && place[x].Moment != place[y].Moment
					}
				}
			case cull.TakeOut:
				ok = size[a.Moment] == 1
			case cull.LetGo:
				sets := map[int]int{} // set → moment that was met of it
				for _, id := range c.Frames {
					p := place[id]
					m, met := sets[p.Alike]
					ok = ok && (p.Alike == 0 || !met || m == p.Moment)
					sets[p.Alike] = p.Moment
				}
			case cull.BeginScene, cull.JoinScene:
				// A scene begins with a whole moment, and the job with one.
				i := at[a.Frame]
				for i > 0 && corrected.Places[i-1].Moment == a.Moment {
					i--
				}
				begins := i == 0 || corrected.Places[i-1].Scene != a.Scene
				ok = begins == (c.Kind == cull.BeginScene) || i == 0
			}
			if !ok {
				t.Errorf("%s: %s of %v does not hold", what, c.Kind, c.Frames)
			}
		}
	}
}

// correctionsOf makes corrections of all kinds, each of frames that no other is
// about and with a moment between them that none is about.
func correctionsOf(l cull.Layout) (cs []cull.Correction) {
	groups := byMoment(l)
	ids := func(places []cull.Place) (out []cull.ID) {
		for _, p := range places {
			out = append(out, p.Frame)
		}
		return out
	}
	kind := 0
	for i := 0; i+2 < len(groups); {
		g, next := groups[i], groups[i+1]
		if g[0].Alike != 0 && next[0].Alike == g[0].Alike {
			var all []cull.ID
			set := g[0].Alike
			for i < len(groups) && groups[i][0].Alike == set {
				all = append(all, ids(groups[i])...)
				i++
			}
			cs = append(cs, cull.Correction{Kind: cull.LetGo, Frames: all})
			i++
			continue
		}
		switch kind++; {
		case i > 0 && g[0].Scene != groups[i-1][0].Scene:
			cs = append(cs, cull.Correction{Kind: cull.JoinScene, Frames: ids(g)[:1]})
		case len(g) >= 4 && kind%2 == 0:
			cs = append(cs, cull.Correction{Kind: cull.SplitAt, Frames: ids(g[:2]), Others: ids(g[2:])})
		case len(g) >= 2 && kind%2 == 1:
			cs = append(cs, cull.Correction{Kind: cull.TakeOut, Frames: ids(g)[1:2]})
		case kind%7 == 0:
			cs = append(cs, cull.Correction{Kind: cull.BeginScene, Frames: ids(g)[:1]})
		case g[0].Scene == next[0].Scene:
			how := cull.JoinMoment
			if kind%3 == 0 {
				how = cull.JoinSeries
			}
			cs = append(cs, cull.Correction{Kind: how, Frames: append(ids(g), ids(next)...)})
			i++
		}
		i += 2
	}
	return cs
}
