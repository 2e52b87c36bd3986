package cull

import (
	"fmt"
	"reflect"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// genCorrection makes corrections of any kind, also such that make no sense.
func genCorrection(frame *rapid.Generator[ID]) *rapid.Generator[Correction] {
	return rapid.Custom(func(t *rapid.T) Correction {
		c := Correction{Kind: rapid.SampledFrom([]CorrectionKind{JoinMoment, JoinSeries, SplitAt, TakeOut, LetGo, BeginScene, JoinScene}).Draw(t, "kind")}
		ids := rapid.SliceOfNDistinct(frame, 1, 5, rapid.ID[ID]).Draw(t, "frames")
		switch c.Kind {
		case BeginScene, JoinScene:
			ids = ids[:1]
		case SplitAt:
			if len(ids) > 1 {
				c.Others, ids = ids[len(ids)/2:], ids[:len(ids)/2]
			}
		}
		c.Frames = ids
		return c
	})
}

// genLayout groups some of n frames, in the order of their numbers and as group
// does it: every frame once, moments of one kind in one scene each, the moments of
// a set beside each other where its first moment stands.
func genLayout(t *rapid.T, n int) Layout {
	type moment struct {
		places []Place
		alike  int
	}
	var l Layout
	var ms []moment
	set := 0
	for i := range n {
		if rapid.IntRange(0, 9).Draw(t, "missing") == 0 {
			continue
		}
		p := Place{Frame: testID(i), Corrected: Stamp{Wall: time.Unix(int64(1000+10*i), 0).UTC()}}
		switch how := rapid.IntRange(0, 9).Draw(t, "how"); {
		case len(ms) == 0 || how == 0:
			p.Scene = len(l.Scenes)
			l.Scenes = append(l.Scenes, Scene{ID: p.Scene, Name: SceneNumber(p.Scene), First: p.Frame})
			ms = append(ms, moment{places: []Place{p}})
		case how < 5:
			p.Scene = len(l.Scenes) - 1
			m := moment{places: []Place{p}}
			if k := rapid.IntRange(0, len(ms)-1).Draw(t, "like"); how < 3 && ms[k].places[0].Scene == p.Scene {
				if ms[k].alike == 0 {
					set++
					ms[k].alike = set
				}
				m.alike = ms[k].alike
			}
			ms = append(ms, m)
		default:
			p.Scene = len(l.Scenes) - 1
			last := &ms[len(ms)-1]
			last.places = append(last.places, p)
		}
	}
	written := map[int]bool{}
	write := func(m moment, number int) {
		kind := [...]MomentKind{Burst, Series}[number%4/3]
		series := [...]SeriesKind{"", Bracket}[number%4/3]
		if len(m.places) == 1 {
			kind, series = Single, ""
		}
		for _, p := range m.places {
			p.Moment, p.Kind, p.Series, p.Alike = number, kind, series, m.alike
			l.Places = append(l.Places, p)
		}
	}
	number := 0
	for i, m := range ms {
		if m.alike != 0 && written[m.alike] {
			continue
		}
		written[m.alike] = true
		for k, o := range ms[i:] {
			if k == 0 || m.alike != 0 && o.alike == m.alike {
				write(o, number)
				number++
			}
		}
	}
	numberSets(l.Places)
	return l
}

// numberSets numbers the sets of look-alikes from 1, in order.
func numberSets(places []Place) {
	numbers := map[int]int{}
	for i := range places {
		if set := places[i].Alike; set != 0 {
			if numbers[set] == 0 {
				numbers[set] = len(numbers) + 1
			}
			places[i].Alike = numbers[set]
		}
	}
}

// checkLayout holds a layout against what every layout promises.
func checkLayout(l Layout, frames map[ID]bool) error {
	seen, runs, sets := map[ID]bool{}, map[int]bool{}, map[int]int{}
	for i, p := range l.Places {
		first := i == 0
		var q Place
		if !first {
			q = l.Places[i-1]
		}
		switch {
		case seen[p.Frame] || !frames[p.Frame]:
			return fmt.Errorf("frame %s is there twice or out of nowhere", p.Frame)
		case first && (p.Moment != 0 || p.Scene != 0):
			return fmt.Errorf("the first place is of moment %d, scene %d", p.Moment, p.Scene)
		case !first && p.Moment != q.Moment && p.Moment != q.Moment+1:
			return fmt.Errorf("moment %d after %d", p.Moment, q.Moment)
		case !first && p.Moment == q.Moment && (p.Scene != q.Scene || p.Alike != q.Alike || p.Kind != q.Kind || p.Series != q.Series):
			return fmt.Errorf("moment %d is of two kinds", p.Moment)
		case !first && p.Scene != q.Scene && p.Scene != q.Scene+1:
			return fmt.Errorf("scene %d after %d", p.Scene, q.Scene)
		case p.Scene >= len(l.Scenes):
			return fmt.Errorf("there is no scene %d", p.Scene)
		case (p.Kind == Single) != (l.momentSize(i) == 1):
			return fmt.Errorf("moment %d is %s", p.Moment, p.Kind)
		case p.Series != "" && p.Kind != Series:
			return fmt.Errorf("moment %d is %s and %s", p.Moment, p.Kind, p.Series)
		}
		if first || p.Scene != q.Scene {
			if s := l.Scenes[p.Scene]; s.First != p.Frame || s.ID != p.Scene || s.Name != SceneNumber(p.Scene) {
				return fmt.Errorf("scene %d is %+v", p.Scene, s)
			}
		}
		if p.Alike != 0 && (first || p.Alike != q.Alike) {
			if runs[p.Alike] || p.Alike != len(runs)+1 {
				return fmt.Errorf("set %d is torn, or not numbered in order", p.Alike)
			}
			runs[p.Alike] = true
		}
		if p.Alike != 0 && (first || p.Moment != q.Moment) {
			sets[p.Alike]++
		}
		seen[p.Frame] = true
	}
	for set, n := range sets {
		if n < 2 {
			return fmt.Errorf("set %d has one moment", set)
		}
	}
	if len(seen) != len(frames) {
		return fmt.Errorf("%d frames of %d", len(seen), len(frames))
	}
	return nil
}

func framesIn(l Layout) (map[ID]bool, map[ID]int) {
	frames, places := map[ID]bool{}, map[ID]int{}
	for i, p := range l.Places {
		frames[p.Frame], places[p.Frame] = true, i
	}
	return frames, places
}

// TestCorrectionsHold: however the frames are grouped, a corrected layout is a
// whole layout, and what a correction says is so unless a later one is about the
// same frames.
func TestCorrectionsHold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const n = 24
		frame := rapid.Custom(func(t *rapid.T) ID { return testID(rapid.IntRange(0, n-1).Draw(t, "frame")) })
		cs := rapid.SliceOfN(genCorrection(frame), 0, 7).Draw(t, "corrections")
		for range 2 { // grouped, and grouped anew
			base := genLayout(t, n)
			frames, _ := framesIn(base)
			if err := checkLayout(base, frames); err != nil {
				t.Fatalf("the generator: %v\n%+v", err, base)
			}
			kept := Layout{slices.Clone(base.Places), slices.Clone(base.Scenes)}
			l := base.With(cs)
			same(t, "the layout that was corrected", base, kept)
			if err := checkLayout(l, frames); err != nil {
				t.Fatalf("%v\nbase %+v\nwith %+v", err, base, l)
			}
			checkPromises(t, l, cs)
		}
	})
}

func checkPromises(t *rapid.T, l Layout, cs []Correction) {
	_, places := framesIn(l)
	later := map[ID]bool{}
	scenes := map[int]bool{}
	for _, c := range slices.Backward(cs) {
		about := slices.Concat(c.Frames, c.Others)
		holds := !slices.ContainsFunc(about, func(id ID) bool { return later[id] })
		switch c.Kind {
		case LetGo: // nothing makes look-alikes
			holds = true
		case BeginScene, JoinScene:
			i, ok := places[c.Frames[0]]
			holds = ok && !scenes[l.Places[i].Moment]
			if ok {
				scenes[l.Places[i].Moment] = true
			}
		default:
			for _, id := range about {
				later[id] = true
			}
		}
		if holds && !l.keeps(c, places) {
			t.Fatalf("broken: %+v\nof %+v\nin %+v", c, cs, l)
		}
	}
}

// TestNothingElseMoves: what no correction is about stays in its order and its
// groups.
func TestNothingElseMoves(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const n = 24
		base := genLayout(t, n)
		if len(base.Places) == 0 {
			return
		}
		same(t, "corrected by nothing", base.With(nil), base)
		same(t, "corrected for frames that are not there", base.With([]Correction{{Kind: TakeOut, Frames: []ID{"gone"}}}), base)
		frame := rapid.Custom(func(t *rapid.T) ID { return testID(rapid.IntRange(0, n-1).Draw(t, "frame")) })
		c := genCorrection(frame).Draw(t, "correction")
		l := base.With([]Correction{c})
		_, before := framesIn(base)
		_, places := framesIn(l)
		touched := map[int]bool{}
		for _, id := range slices.Concat(c.Frames, c.Others) {
			if i, ok := before[id]; ok {
				touched[base.Places[i].Moment] = true
			}
		}
		for i, p := range base.Places {
			if touched[p.Moment] {
				continue
			}
			q := l.Places[places[p.Frame]]
			if q.Kind != p.Kind || q.Series != p.Series || q.Corrected != p.Corrected {
				t.Fatalf("%+v became %+v by %+v", p, q, c)
			}
			if i > 0 && base.Places[i-1].Moment == p.Moment && l.Places[places[p.Frame]-1].Frame != base.Places[i-1].Frame {
				t.Fatalf("the moment of %+v was torn by %+v", p, c)
			}
			if i > 0 && !touched[base.Places[i-1].Moment] && p.Alike == 0 && base.Places[i-1].Alike == 0 && places[p.Frame] < places[base.Places[i-1].Frame] {
				t.Fatalf("%s moved by %+v", p.Frame, c)
			}
		}
	})
}

func TestCorrectionWords(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := genCorrection(genID()).Draw(t, "correction")
		back, ok := correctionOf(c.args())
		want := len(c.Frames) > 0 && (c.Kind != SplitAt || len(c.Others) > 0) &&
			!slices.Contains(c.Frames, "") && !slices.Contains(c.Others, "")
		if ok != want || ok && !reflect.DeepEqual(back, c) {
			t.Fatalf("%q reads back as %+v, %v, want %+v", c.args(), back, ok, c)
		}
	})
	for _, args := range [][]string{nil, {"join"}, {"also", "/mnt"}, {"join", "0123"}, {"join", "#a", "/", "#b"}, {"split", "#a", "#b"},
		{"split", "#a", "/"}, {"split", "/", "#b"}, {"split", "#a", "/", "#b", "/", "#c"}, {"out", "#"}, {"later-kind", "#a"}} {
		if c, ok := correctionOf(args); ok {
			t.Errorf("%q: %+v", args, c)
		}
	}
}
