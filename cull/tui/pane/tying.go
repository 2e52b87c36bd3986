package pane

import "strings"

// Tying is a finished picture of which is asked what frame it shows: what stands above
// and below it and the frames.
type Tying struct {
	Picture   string
	At, Total int      // which picture, from 1
	Left      int      // of how many nothing is said yet
	Why       []string // why it is open, or was
	Done      string   // what was said of it; "" = nothing yet
	Picked    []string // for a merge, the lead first
	Waiting   bool     // it is not on the screen yet: nothing is asked

	Notice Notice
	Hint   string
}

// Top returns the two lines above: what is asked of which picture, and why.
func (t Tying) Top(st *Styles, w int) []string {
	asked, pen := "which frame is this?", st.Question
	if t.Waiting {
		asked, pen = "wait"+more+spaces(width(asked)-5), st.Quiet
	}
	picture := part{rank: 0}
	for _, n := range names(t.Picture) {
		picture.forms = append(picture.forms, row{{st.Strong, n}})
	}
	picture.forms = append(picture.forms, row{{st.Strong, cut(clean(t.Picture), max(8, w/2))}})
	left := []part{say(1, pen, asked), picture}
	if done := clean(t.Done); done != "" {
		left = append(left, say(2, st.Kept, done))
	}
	right := []part{say(3, st.Text, number(t.At)+" of "+number(t.Total)), say(4, st.Quiet, number(t.Left)+" left")}
	above := spread(left, right, 2, w)

	var below row
	if len(t.Picked) > 0 {
		merge := "merge of " + strings.Join(cleanAll(t.Picked), ", ")
		below = append(below, seg{st.Pending, pad(cut(merge, max(1, w-2)))}, seg{text: "  "})
	}
	if why := clean(strings.Join(t.Why, "; ")); why != "" {
		open := "open: "
		if t.Done != "" {
			open = "was open: "
		}
		below = append(below, seg{st.Quiet, cut(open+why, max(1, w-below.width()))})
	}
	return []string{above.draw(Pen{}, w), below.draw(Pen{}, w)}
}

// Bottom returns the last row: what was said, else which keys there are.
func (t Tying) Bottom(st *Styles, w int) string { return under(st, t.Notice, t.Hint, w) }
