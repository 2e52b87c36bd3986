package pane

import (
	"math"
	"strconv"
	"time"

	"garner/cull"
)

// Pace is how the work stands.
type Pace struct {
	Pass                string // "" = keep
	Scene               string
	SceneDone, SceneAll int
	Kept                int
	Projected           int     // kept in the end if it goes on like this
	Goal                int     // 0 = none set
	PerMinute           float64 // frames decided a minute; 0 = not known yet
	Left                time.Duration
	Open, All           int
	Preparing           string // "preparing 412 of 3,120"; "" = done
	Arrived             int    // frames that came to stand before the cursor
}

// Line returns the scene at the left, and at the right what is kept and how long
// it will take; what matters least goes first where it is narrow.
func (p Pace) Line(st *Styles, w int) string {
	return spread(p.scene(st), p.state(st), 3, w).draw(Pen{}, w)
}

func (p Pace) scene(st *Styles) []part {
	var parts []part
	if s := clean(p.Scene); s != "" {
		n := number(p.SceneDone) + "/" + number(p.SceneAll)
		parts = append(parts, part{4, []row{
			{{st.Quiet, "scene "}, {st.Text, s + " " + n}},
			{{st.Text, s + " " + n}},
			{{st.Text, cut(s, 12) + " " + n}},
		}})
	}
	return parts
}

func (p Pace) state(st *Styles) []part {
	var parts []part
	if t := clean(p.Preparing); t != "" {
		parts = append(parts, say(3, st.Quiet, t))
	}
	if p.Arrived > 0 {
		n := number(p.Arrived)
		parts = append(parts, say(2, st.Here, n+" arrived before here", n+" before here"))
	}
	parts = append(parts, p.kept(st))
	if p.Open <= 0 {
		if p.All > 0 {
			parts = append(parts, say(1, st.Kept, "all "+number(p.All)+" decided", "all decided"))
		}
		return parts
	}
	parts = append(parts, say(5, st.Quiet, number(p.Open)+" open"))
	if p.PerMinute > 0 && !math.IsInf(p.PerMinute, 0) {
		parts = append(parts, say(6, st.Quiet, perMinute(p.PerMinute)))
	}
	if p.Left > 0 {
		parts = append(parts, say(1, st.Text, remaining(p.Left)))
	}
	return parts
}

func perMinute(f float64) string {
	if f < 9.95 {
		return strconv.FormatFloat(f, 'f', 1, 64) + " a minute"
	}
	return number(int(min(f, 1e6)+0.5)) + " a minute"
}

// kept is "kept 124, goal 600, about 610 in the end" or as much of it as there
// is.
func (p Pace) kept(st *Styles) part {
	short := row{{st.Quiet, word(cull.Yes, p.Pass) + " "}, {st.Kept, number(p.Kept)}}
	goal := ""
	if p.Goal > 0 {
		goal = ", goal " + number(p.Goal)
	}
	var forms []row
	add := func(text string) {
		if text != "" {
			forms = append(forms, append(short[:2:2], seg{st.Text, text}))
		}
	}
	if p.Open > 0 && p.Projected > 0 {
		about := ", about " + number(p.Projected)
		add(goal + about + " in the end")
		add(goal + about)
		add(about)
	}
	add(goal)
	return part{0, append(forms, short)}
}
