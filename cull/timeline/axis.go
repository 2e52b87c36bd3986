package timeline

import (
	"cmp"
	"math"
	"slices"
	"time"
)

// Pauses that are left out of the axis: a night, or a clock that was never set; and
// where most of the day is pauses, those too in which one would go and eat.
const (
	longPause  = 5 * time.Hour
	shortPause = 30 * time.Minute
)

// axis maps times to columns. Each column stands for the same time; long pauses
// are a gap.
type axis struct {
	parts   []part
	columns int
	minutes float64 // of a column
}

// part is a stretch of the day on the axis.
type part struct {
	from, until time.Time
	column      float64 // where it begins
}

// gapColumns is the width of a pause that is left out.
const gapColumns = 2

// newAxis lays sorted frames out on so many columns.
func newAxis(frames []Frame, columns int) axis {
	a := axis{columns: max(1, columns), minutes: 1}
	limit := leaveOut(frames)
	for i, f := range frames {
		if n := len(a.parts); i == 0 || f.At.Sub(a.parts[n-1].until) > limit {
			a.parts = append(a.parts, part{from: f.At, until: f.At})
		} else {
			a.parts[n-1].until = f.At
		}
	}
	if len(a.parts) == 0 {
		return a
	}
	if most := max(1, a.columns/(2*gapColumns)); len(a.parts) > most { // so many days: no pause is left out
		a.parts = []part{{from: a.parts[0].from, until: a.parts[len(a.parts)-1].until}}
	}
	var total time.Duration
	for _, p := range a.parts {
		total += max(p.until.Sub(p.from), time.Minute)
	}
	room := float64(a.columns - gapColumns*(len(a.parts)-1))
	a.minutes = max(total.Minutes()/room*1.0001, 1e-9)
	column := 0.0
	for i := range a.parts {
		p := &a.parts[i]
		p.column = column
		column += max(p.until.Sub(p.from), time.Minute).Minutes()/a.minutes + gapColumns
	}
	return a
}

// leaveOut is how long a pause of sorted frames must be to be left out.
func leaveOut(frames []Frame) time.Duration {
	var day, paused time.Duration
	for i := 1; i < len(frames); i++ {
		pause := frames[i].At.Sub(frames[i-1].At)
		if pause > longPause {
			continue
		}
		day += pause
		if pause > shortPause {
			paused += pause
		}
	}
	if 2*paused > day {
		return shortPause
	}
	return longPause
}

// at is the column of a time, with its share.
func (a axis) at(t time.Time) float64 {
	if len(a.parts) == 0 {
		return 0
	}
	p := a.parts[0]
	for _, q := range a.parts[1:] {
		if !t.Before(q.from) {
			p = q
		}
	}
	return max(0, min(p.column+t.Sub(p.from).Minutes()/a.minutes, float64(a.columns)-1e-6))
}

// part is the number of the part that a column lies in.
func (a axis) part(column float64) int {
	n := 0
	for i, p := range a.parts {
		if column >= math.Floor(p.column) {
			n = i
		}
	}
	return n
}

// end is the column in which a part ends.
func (a axis) end(p part) float64 {
	return p.column + max(p.until.Sub(p.from), time.Minute).Minutes()/a.minutes
}

// tick is a full hour, or a part of one, on the axis.
type tick struct {
	column float64
	text   string
}

// ticks are the round times of the axis, at least so many columns apart, with the
// hour as text, or the day where another one begins.
func (a axis) ticks(apart float64) []tick {
	step := time.Duration(0)
	for _, s := range []time.Duration{time.Minute, 5 * time.Minute, 15 * time.Minute, 30 * time.Minute, time.Hour, 2 * time.Hour, 3 * time.Hour, 6 * time.Hour, 12 * time.Hour, 24 * time.Hour, 168 * time.Hour} {
		if step = s; s.Minutes()/a.minutes >= apart {
			break
		}
	}
	var at []time.Time // where the axis goes on after a pause says when that is; then the round times
	var columns []float64
	put := func(p part, t time.Time) {
		c := p.column + t.Sub(p.from).Minutes()/a.minutes
		if !slices.ContainsFunc(columns, func(x float64) bool { return math.Abs(x-c) < apart-1e-9 }) {
			at, columns = append(at, t), append(columns, c)
		}
	}
	for _, p := range a.parts {
		if len(a.parts) > 1 {
			put(p, p.from)
		}
	}
	for _, p := range a.parts {
		t := p.from.Truncate(step)
		for n := 0; !t.After(p.until) && n < 1000; n++ {
			if !t.Before(p.from) {
				put(p, t)
			}
			t = t.Add(step)
		}
	}
	out := make([]tick, len(at))
	for i, t := range at {
		out[i] = tick{columns[i], t.Format("15:04")}
	}
	slices.SortFunc(out, func(p, q tick) int { return cmp.Compare(p.column, q.column) })
	slices.SortFunc(at, time.Time.Compare)
	const day = "2 Jan"
	for i, t := range at {
		first, last := a.parts[0].from, a.parts[len(a.parts)-1].until
		another := i == 0 || t.Format(day) != at[i-1].Format(day)
		if step >= 24*time.Hour || first.Format(day) != last.Format(day) && another {
			out[i].text = t.Format(day)
		}
	}
	return out
}

// nice is the least round number that is not below v.
func nice(v float64) float64 {
	if !(v > 0) {
		return 1
	}
	unit := math.Pow(10, math.Floor(math.Log10(v)))
	for _, k := range []float64{1, 1.5, 2, 3, 4, 5, 6, 8, 10} {
		if k*unit >= v*(1-1e-9) {
			return k * unit
		}
	}
	return 10 * unit
}

func floor(v float64) float64 { return math.Floor(v) }
func ceil(v float64) float64  { return math.Ceil(v) }

// time is the time of a column.
func (a axis) time(column float64) time.Time {
	p := a.parts[0]
	for _, q := range a.parts[1:] {
		if column >= q.column {
			p = q
		}
	}
	return p.from.Add(time.Duration((column - p.column) * a.minutes * float64(time.Minute))).Round(time.Minute)
}
