// Package timeline draws a day as a picture: frames per minute, how many of them
// were kept, dropped or are open; scenes with their names; the light as exposure
// values; what each body did. One drawing for the terminal, one as SVG, one as PNG.
// What is told apart by colour is told apart without it, too: kept is full, dropped
// hatched, open an outline.
//
// It is pure: plain values in, the same bytes out. Names are made harmless here.
package timeline

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"garner/cull"
)

// Day is what is drawn.
type Day struct {
	Name   string   // of the job
	Frames []Frame  // in any order; those without a time are only counted
	Scenes []string // names, in order
	Bodies []string // what each body is called, in order
}

// Frame is one frame. Part counts as kept.
type Frame struct {
	At     time.Time // corrected, the clock's face; zero = unknown
	Scene  int       // index into Day.Scenes
	Body   int       // index into Day.Bodies; -1 = unknown
	Answer cull.Answer
	EV100  float64
	HasEV  bool // the exposure is known
	Flash  bool // fired: the exposure says nothing about the light
}

// The three ways in which frames are drawn, from the bottom of a bar up.
const (
	kept = iota
	dropped
	open
	ways
)

func way(a cull.Answer) int {
	switch a {
	case cull.Yes, cull.Part:
		return kept
	case cull.No:
		return dropped
	}
	return open
}

// chart is a day made ready to be drawn on so many columns.
type chart struct {
	day    Day
	axis   axis
	bins   []bin
	scenes []span
	total  [ways]int
	untime int // frames without a time
	most   float64
	low    float64 // the range of exposure values, whole ones
	high   float64
	light  bool // there are any
}

// bin is what falls into one column.
type bin struct {
	frames [ways]int
	bodies []int
	rate   float64 // frames a minute
	ev     []float64
	flash  int
}

// span is a scene on the axis, in columns.
type span struct {
	name     string
	index    int
	from, to float64
	frames   int
	kept     int
}

// leastColumns keeps the shortest job from being one bar.
const leastColumns = 12

// newChart sorts a day into columns, so many at most.
func newChart(d Day, columns int) *chart {
	c := &chart{day: d}
	frames := make([]Frame, 0, len(d.Frames))
	for _, f := range d.Frames {
		c.total[way(f.Answer)]++
		if f.At.IsZero() {
			c.untime++
			continue
		}
		frames = append(frames, f)
	}
	slices.SortStableFunc(frames, func(a, b Frame) int { return a.At.Compare(b.At) })
	c.axis = newAxis(frames, columns)
	if c.axis.minutes < 1 && len(c.axis.parts) > 0 { // a column is a minute at least
		c.axis = newAxis(frames, max(leastColumns, int(float64(columns)*c.axis.minutes)))
	}
	c.bins = make([]bin, c.axis.columns)
	for i := range c.bins {
		c.bins[i].bodies = make([]int, len(d.Bodies))
	}
	c.put(frames)
	c.measure()
	return c
}

// farthest bounds exposure values: the sun is at 30, and nothing is at NaN.
const farthest = 60

// put counts sorted frames.
func (c *chart) put(frames []Frame) {
	spans := map[int]*span{}
	for _, f := range frames {
		x := c.axis.at(f.At)
		b := &c.bins[min(int(x), len(c.bins)-1)]
		b.frames[way(f.Answer)]++
		if f.Body >= 0 && f.Body < len(b.bodies) {
			b.bodies[f.Body]++
		}
		switch {
		case f.Flash:
			b.flash++
		case f.HasEV && math.Abs(f.EV100) < farthest:
			b.ev = append(b.ev, f.EV100)
		}
		s := spans[f.Scene]
		if s == nil {
			s = &span{index: f.Scene, from: x}
			if f.Scene >= 0 && f.Scene < len(c.day.Scenes) {
				s.name = cull.Plain(c.day.Scenes[f.Scene])
			}
			spans[f.Scene] = s
		}
		s.to = x
		s.frames++
		if way(f.Answer) == kept {
			s.kept++
		}
	}
	for _, s := range spans {
		c.scenes = append(c.scenes, *s)
	}
	slices.SortFunc(c.scenes, func(a, b span) int { return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(a.index, b.index)) })
}

// measure finds the scales.
func (c *chart) measure() {
	for i := range c.bins {
		b := &c.bins[i]
		n := 0
		for _, k := range b.frames {
			n += k
		}
		b.rate = float64(n) / c.axis.minutes
		c.most = max(c.most, b.rate)
		slices.Sort(b.ev)
		if ev, ok := b.middle(); ok {
			if !c.light {
				c.low, c.high, c.light = ev, ev, true
			}
			c.low, c.high = min(c.low, ev), max(c.high, ev)
		}
	}
	c.low, c.high = floor(c.low), ceil(c.high)
	if c.high < c.low+2 {
		c.high = c.low + 2
	}
}

// middle is the median exposure of the bin's frames without flash.
func (b *bin) middle() (ev float64, ok bool) {
	if len(b.ev) == 0 {
		return 0, false
	}
	return b.ev[len(b.ev)/2], true
}

// summary says in a sentence what the drawing shows.
func (c *chart) summary() string {
	n := c.total[kept] + c.total[dropped] + c.total[open]
	s := fmt.Sprintf("%d frames: %d kept, %d dropped, %d open", n, c.total[kept], c.total[dropped], c.total[open])
	if c.untime > 0 {
		s += fmt.Sprintf("; %d without a time are not drawn", c.untime)
	}
	return s
}

// title is the job and its day or days.
func (c *chart) title() string {
	name := cull.Plain(c.day.Name)
	if len(c.axis.parts) == 0 {
		return name
	}
	first, last := c.axis.parts[0].from, c.axis.parts[len(c.axis.parts)-1].until
	const form = "Monday 2 January 2006"
	if first.Format(form) == last.Format(form) {
		return name + ", " + first.Format(form)
	}
	return name + ", " + first.Format("2 January 2006") + " to " + last.Format("2 January 2006")
}

func plain(s string) string { return cull.Plain(s) }
