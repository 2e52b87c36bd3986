package group

import (
	"fmt"
	"strings"
	"testing"
	"text/tabwriter"

	"garner/cull"
	"garner/testdata/testday"
)

// days are the invented ones. The first is there to try things on; what is tried
// must hold on the second as it is, so nobody looks at its faults.
var days = []struct {
	name string
	seed uint64
}{{"day one", 1}, {"day two", 20261126}}

// small is how many frames a day has that is there for what holds of any day.
func small() int {
	if testing.Short() {
		return 150
	}
	return 600
}

// framesOf are a day's frames with the clocks put right, or as they were.
func framesOf(d testday.Day, corrected bool) []Frame {
	bodies := map[string]cull.Body{}
	for key := range d.Clocks {
		b := cull.Body{Key: key}
		if corrected {
			b.Offsets = d.Offsets(key)
		}
		bodies[key] = b
	}
	out := make([]Frame, len(d.Frames))
	for i, f := range d.Frames {
		out[i] = Frame{
			ID: f.ID, Name: f.Name, Body: f.Body, Time: bodies[f.Body].Correct(f.Shown), Counter: f.Counter,
			Fingerprint: f.Look.Parts[0], HasFingerprint: true, Look: f.Look, Luma: f.Luma,
			Flash: f.Flash, Focal: f.Focal, Lens: f.Lens, ManualWB: f.ManualWB, Upright: f.Upright, Sensor: f.Sensor,
			Seconds: f.Seconds, EV100: f.EV100, HasEV: true, Bias: f.Bias, AutoBracket: f.AutoBracket,
		}
	}
	return out
}

// dayResult is how well a day was grouped.
type dayResult struct {
	result
	scenes              score
	foundScenes         []cull.ID
	alike               score
	seriesFound, series map[cull.SeriesKind]int // found whole and as what they are, of so many
	falseSeries         int                     // called series, or another kind of series than they are
}

// measureDay groups the frames of a day and compares.
func measureDay(d testday.Day, frames []Frame) (out dayResult) {
	r := reel{frames: frames, known: map[cull.ID]string{}}
	truth := map[cull.ID]testday.Truth{}
	size := map[string]int{}
	for _, f := range d.Frames {
		truth[f.ID] = f.Truth
		r.known[f.ID] = fmt.Sprintf("%s %d", f.Body[len(f.Body)-1:], f.Truth.Moment)
		size[r.known[f.ID]]++
	}
	l := Layout(frames, Options{})
	out.result = r.measure(l)

	// A scene begins with its first frame by the clocks as they are here: of two
	// bodies that press in the same second, drift alone may say which was first.
	var begins []cull.ID
	begun := map[int]bool{}
	for _, f := range sorted(frames) {
		if s := truth[f.ID].Scene; !begun[s] {
			begun[s] = true
			begins = append(begins, f.ID)
		}
	}
	begins = begins[1:]
	for _, s := range l.Scenes[1:] {
		out.foundScenes = append(out.foundScenes, s.First)
	}
	out.scenes = boundaries(out.foundScenes, begins)

	out.series, out.seriesFound = map[cull.SeriesKind]int{}, map[cull.SeriesKind]int{}
	for _, group := range byMoment(l) {
		first, whole := truth[group[0].Frame], true
		for _, p := range group {
			whole = whole && truth[p.Frame].Moment == first.Moment
		}
		whole = whole && len(group) == size[r.known[group[0].Frame]]
		switch {
		case group[0].Kind != cull.Series:
		case whole && group[0].Series == first.Series:
			out.seriesFound[first.Series]++
		case first.Series == "" || group[0].Series != first.Series:
			out.falseSeries++
		}
	}
	seen := map[int]bool{}
	for _, t := range truth {
		if t.Series != "" && !seen[t.Moment] {
			seen[t.Moment] = true
			out.series[t.Series]++
		}
	}

	// Look-alikes: moments of one view in one scene. Each moment counts once, by its
	// first frame; a set that is no set is the moment alone.
	sets, views := map[cull.ID]int{}, map[cull.ID]string{}
	for i, group := range byMoment(l) {
		id := group[0].Frame
		if sets[id] = group[0].Alike; sets[id] == 0 {
			sets[id] = -1 - i
		}
		views[id] = fmt.Sprint(truth[id].Scene, " ", truth[id].View)
	}
	out.alike = bCubed(sets, views)
	return out
}

func byMoment(l cull.Layout) (out [][]cull.Place) {
	for i, p := range l.Places {
		if i == 0 || p.Moment != l.Places[i-1].Moment {
			out = append(out, nil)
		}
		out[len(out)-1] = append(out[len(out)-1], p)
	}
	return out
}

// leastSeries is how many of the series must be found, as shares. Some panoramas are
// not: a view that shares little with the last is no proof of one, and what is called
// a series wrongly is worse than what has to be joined by hand.
var leastSeries = map[cull.SeriesKind]float64{cull.Bracket: .85, cull.FocusStack: .85, cull.Panorama: .7}

// dayRows prints a row for each day and state of its clocks, and asserts what must
// hold where the clocks are right.
func dayRows(t *testing.T) string {
	var out strings.Builder
	w := tabwriter.NewWriter(&out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "invented day\tframes\tbursts\tF1\tprecision\trecall\ttime alone\tlikeness alone\tjoined\tscenes\tfound\tboundary F1\tprecision\trecall\tseries found\tfalse\tlook-alikes F1\tprecision\trecall\tworst group")
	for _, day := range days {
		n := 6000
		if testing.Short() {
			n = small()
		}
		d := testday.New(day.seed, n)
		for _, corrected := range []bool{true, false} {
			r := measureDay(d, framesOf(d, corrected))
			name := day.name + ", clocks right"
			if !corrected {
				name = day.name + ", clocks as they were"
			}
			var series []string
			for _, kind := range []cull.SeriesKind{cull.Bracket, cull.Panorama, cull.FocusStack} {
				series = append(series, fmt.Sprintf("%s %d of %d", kind, r.seriesFound[kind], r.series[kind]))
			}
			fmt.Fprintf(w, "%s\t%d\t%d\t%.3f\t%.3f\t%.3f\t%.3f (%.2g s)\t%.3f (%d bits)\t%d\t%d\t%d\t%.3f\t%.3f\t%.3f\t%s\t%d\t%.3f\t%.3f\t%.3f\t%s\n", name, len(d.Frames), r.bursts, r.full.f1, r.full.precision, r.full.recall,
				r.time.f1, r.pause.Seconds(), r.likeness.f1, r.bits, r.joined, len(d.Scenes), len(r.foundScenes)+1, r.scenes.f1, r.scenes.precision, r.scenes.recall,
				strings.Join(series, ", "), r.falseSeries, r.alike.f1, r.alike.precision, r.alike.recall, r.worst)
			if !corrected || testing.Short() {
				continue // a small day has the same scenes with few frames in them
			}
			if r.scenes.f1 < .9 {
				t.Errorf("%s: boundary F1 of scenes %.3f, want 0.9", name, r.scenes.f1)
			}
			if r.full.f1 < .98 || r.full.precision < .995 {
				t.Errorf("%s: F1 %.3f, precision %.3f, want 0.98, 0.995; the worst group %s", name, r.full.f1, r.full.precision, r.worst)
			}
			if r.full.f1 <= max(r.time.f1, r.likeness.f1) {
				t.Errorf("%s: time alone %.3f, likeness alone %.3f", name, r.time.f1, r.likeness.f1)
			}
			if r.falseSeries > 2 {
				t.Errorf("%s: %d groups are called series and are none", name, r.falseSeries)
			}
			if r.alike.f1 < .95 || r.alike.precision < .98 {
				t.Errorf("%s: look-alikes F1 %.3f, precision %.3f, want 0.95, 0.98", name, r.alike.f1, r.alike.precision)
			}
			for kind, least := range leastSeries {
				if found := float64(r.seriesFound[kind]) / float64(r.series[kind]); found < least {
					t.Errorf("%s: %s %.2f found, want %.2f", name, kind, found, least)
				}
			}
		}
	}
	_ = w.Flush()
	return out.String()
}
