package gaps

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"
)

const (
	// jitter is how far a number may be behind those before it and still belong to
	// them: frames of one second come in any order.
	jitter = 100
	// overTheEnd is how many numbers may be missing where the counter begins again
	// at 0001; more is a counter that was set back.
	overTheEnd = 1000
	// interleaved is how close in time a number from inside a gap has to be to mean
	// that two counters go side by side: two bodies that can't be told apart.
	interleaved = 10 * time.Minute
)

// numbered is a shot with its place on the counter.
type numbered struct {
	prefix string
	number int // 0 to 9999
	abs    int // number that goes on rising where the counter begins again
	at     time.Time
}

// run is a stretch of one body's counter without a new beginning.
type run struct {
	body   string
	period int // numbers until the counter begins again
	shots  []numbered
	all    []numbered // of the body, whatever run they are in
}

// runs takes the bodies' shots apart.
func runs(shots []Shot, o Options) []run {
	bodies := map[string][]numbered{}
	for _, s := range shots {
		if n, ok := parse(s.Stem); ok && s.Body != "" {
			n.at = s.At
			bodies[s.Body] = append(bodies[s.Body], n)
		}
	}
	var all []run
	for _, body := range slices.Sorted(maps.Keys(bodies)) {
		list := bodies[body]
		slices.SortFunc(list, func(a, b numbered) int {
			return cmp.Or(a.at.Compare(b.at), cmp.Compare(a.number, b.number), strings.Compare(a.prefix, b.prefix))
		})
		period := 9999
		if slices.ContainsFunc(list, func(n numbered) bool { return n.number == 0 }) {
			period = 10000 // not of DCF, but there are bodies that have it
		}
		all = append(all, split(body, list, period, o)...)
	}
	return all
}

// split begins a run where the body paused, or where its counter was set back.
func split(body string, list []numbered, period int, o Options) (out []run) {
	var now *run
	last := time.Time{}
	top := 0 // greatest abs of the run
	for _, n := range list {
		if n.at.IsZero() {
			continue
		}
		step := 0
		if now != nil {
			step = mod(n.number-top, period)
			if step > period/2 {
				step -= period
			}
		}
		wraps := round(top+step, period) > round(top, period)
		if now == nil || n.at.Sub(last) > o.Pause || step < -jitter || wraps && step > overTheEnd {
			out = append(out, run{body: body, period: period, all: list})
			now = &out[len(out)-1]
			top, step = n.number, 0
		}
		n.abs = top + step
		now.shots = append(now.shots, n)
		top, last = max(top, n.abs), n.at
	}
	return out
}

// round is how often the counter has begun again at a place; a step back from the
// first number may lead to the round before.
func round(abs, period int) int {
	first := 10000 - period // the number that it begins with
	return (abs - first + period) / period
}

func mod(a, m int) int { return ((a % m) + m) % m }

// gap is a stretch of numbers that nobody has, between two that somebody has.
type gap struct {
	before, after numbered
	first, last   int // missing, as abs
	missing       int
}

func (r run) gaps() (out []gap) {
	list := slices.Clone(r.shots)
	slices.SortStableFunc(list, func(a, b numbered) int { return cmp.Compare(a.abs, b.abs) })
	seen := map[int][]time.Time{} // number on the counter → when
	for _, n := range r.all {
		seen[mod(n.number, r.period)] = append(seen[mod(n.number, r.period)], n.at)
	}
	for i := 1; i < len(list); i++ {
		a, b := list[i-1], list[i]
		if b.abs-a.abs < 2 {
			continue
		}
		g := gap{before: a, after: b}
		two := false
		for n := a.abs + 1; n < b.abs; n++ {
			films, others := 0, 0
			for _, at := range seen[mod(n, r.period)] {
				switch {
				case at.IsZero():
					films++
				case !at.Before(a.at.Add(-interleaved)) && !at.After(b.at.Add(interleaved)):
					others++
				}
			}
			two = two || others > 0
			if films > 0 {
				continue
			}
			if g.missing++; g.missing == 1 {
				g.first = n
			}
			g.last = n
		}
		if g.missing > 0 && !two {
			out = append(out, g)
		}
	}
	return out
}

func (r run) alarms(o Options) (out []Alarm) {
	for _, g := range r.gaps() {
		if g.missing < o.Least {
			continue
		}
		after, before := g.before.at, g.after.at
		if before.Before(after) { // frames of one second, in the other order
			after, before = before, after
		}
		out = append(out, Alarm{Kind: Numbers, Body: r.body, Missing: g.missing, After: after, Before: before,
			From: r.name(g.before.prefix, g.first), To: r.name(g.after.prefix, g.last)})
	}
	return out
}

// name is the file name of a place on the counter.
func (r run) name(prefix string, abs int) string {
	n := mod(abs, r.period)
	if n == 0 && r.period == 9999 {
		n = 9999
	}
	return fmt.Sprintf("%s%04d", prefix, n)
}

// parse reads a DCF file name without its extension.
func parse(stem string) (numbered, bool) {
	if len(stem) != 8 {
		return numbered{}, false
	}
	n := 0
	for i, c := range []byte(stem) {
		digit := c >= '0' && c <= '9'
		switch {
		case i >= 4 && digit:
			n = 10*n + int(c-'0')
		case i >= 4, !digit && c != '_' && (c < 'A' || c > 'Z') && (c < 'a' || c > 'z'):
			return numbered{}, false
		}
	}
	return numbered{prefix: strings.ToUpper(stem[:4]), number: n}, true
}
