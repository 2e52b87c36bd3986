package group

import (
	"fmt"
	"strings"
	"testing"
	"text/tabwriter"
	"time"

	"garner/cull"
)

// TestTruth groups frames of which it is known what belongs together, and
// prints how well: B-cubed F1 with precision and recall of the whole method,
// F1 of time alone and of likeness alone, each with the limit that is best for
// the case; how many groups hold frames of two known bursts; and the worst one.
func TestTruth(t *testing.T) {
	var out strings.Builder
	w := tabwriter.NewWriter(&out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "case\tframes\tbursts\tF1\tprecision\trecall\ttime alone\tlikeness alone\tjoined\tverdict\tworst group")
	bursts := 0
	reels := filmReels(t)
	if !testing.Short() {
		reels = append(append(reels, photoReels(t)...), editReel(t))
	}
	for _, r := range reels {
		res := r.measure(Layout(shuffled(r.frames, 3), Options{}))
		bursts += res.bursts
		verdict := "-"
		if faults := r.faults(res); len(faults) > 0 {
			verdict = "FAILS: " + strings.Join(faults, ", ")
			t.Errorf("%s: %s; the worst group %s", r.name, strings.Join(faults, ", "), res.worst)
		} else if r.least > 0 {
			verdict = "holds"
		}
		fmt.Fprintf(w, "%s\t%d\t%d\t%.3f\t%.3f\t%.3f\t%.3f (%.2g s)\t%.3f (%d bits)\t%d\t%s\t%s\n", r.name, len(r.frames), res.bursts, res.full.f1, res.full.precision, res.full.recall,
			res.time.f1, res.pause.Seconds(), res.likeness.f1, res.bits, res.joined, verdict, res.worst)
	}
	_ = w.Flush()
	t.Logf("%d known bursts\n%s\n%s", bursts, out.String(), dayRows(t))
	if bursts < 40 {
		t.Errorf("%d known bursts are too few to say anything", bursts)
	}
}

// result is what was measured of one reel.
type result struct {
	bursts               int
	full, time, likeness score
	pause                time.Duration
	bits, joined         int
	worst                string
}

// measure compares a layout of the frames with the truth, and what is simpler too.
func (r reel) measure(l cull.Layout) (out result) {
	sizes := map[string]int{}
	for _, k := range r.known {
		if sizes[k]++; sizes[k] == 2 {
			out.bursts++
		}
	}
	found := momentOf(l)
	out.full, out.joined, out.worst = bCubed(found, r.known), joined(found, r.known), worst(found, r.known)
	out.time, out.pause = timeAlone(r.frames, r.known)
	out.likeness, out.bits = likenessAlone(r.frames, r.known)
	return out
}

func momentOf(l cull.Layout) map[cull.ID]int {
	found := make(map[cull.ID]int, len(l.Places))
	for _, p := range l.Places {
		found[p.Frame] = p.Moment
	}
	return found
}

// faults says where a reel's result falls short of its goal, and where a simple
// method is good enough after all, so that the case shows nothing.
func (r reel) faults(res result) (out []string) {
	if res.full.f1 < r.least {
		out = append(out, fmt.Sprintf("F1 %.3f < %.2f", res.full.f1, r.least))
	}
	if r.least > 0 && !r.mayJoin && res.joined > 0 {
		out = append(out, fmt.Sprintf("%d groups join bursts", res.joined))
	}
	if strings.Contains(r.beats, "time") && res.time.f1 >= r.least {
		out = append(out, "time alone would do")
	}
	if strings.Contains(r.beats, "likeness") && res.likeness.f1 >= r.least {
		out = append(out, "likeness alone would do")
	}
	return out
}
