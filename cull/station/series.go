package station

import (
	"errors"
	"fmt"

	"garner/cull"
)

// asksToMerge reports whether the question about a frame is that about its series:
// in the pass keep, where the pass asks about several frames of it.
func (d *Desk) asksToMerge(id cull.ID) bool {
	p, ok := d.session.Place(id)
	return ok && p.Kind == cull.Series && d.session.CursorPass() == cull.KeepPass && d.asked(id) > 1
}

// AsksToMerge reports so of the frame under the cursor.
func (d *Desk) AsksToMerge() bool { return d.asksToMerge(d.session.Cursor()) }

// answerSeries decides a series as one, and reports false where that would change
// nothing: then the answer is about the frame alone, so that what was decided in
// the series can be changed frame by frame.
func (d *Desk) answerSeries(a cull.Answer, by stroke) bool {
	id := d.session.Cursor()
	act, tell := d.merging(id)
	if a == cull.No {
		n := d.asked(id)
		what := d.momentWords(id)
		act = cull.DecideBurst{Pass: d.session.CursorPass(), Frame: id, Answer: a, Shown: d.drawn}
		tell = func(e cull.Entry) string {
			return fmt.Sprintf("the whole %s: %s%s", what, cull.Summary(e), stood(n-len(e.Changes)))
		}
	}
	if _, err := d.session.Plan(act, d.o.Now(), d.o.Who); errors.Is(err, cull.ErrNothing) {
		return false
	}
	d.plan(act, by, tell)
	return true
}

func (d *Desk) merge(by stroke) {
	if !d.mayDecide() {
		return
	}
	id := d.session.Cursor()
	switch {
	case d.session.CursorPass() != cull.KeepPass:
		d.refuse("merging belongs to the pass keep")
	case d.asked(id) < 2:
		d.refuse("this frame is a moment of its own: there is nothing to merge it with")
	default:
		act, tell := d.merging(id)
		d.plan(act, by, tell)
	}
}

// merging keeps a frame as the lead of its moment.
func (d *Desk) merging(id cull.ID) (cull.Action, func(cull.Entry) string) {
	n := d.asked(id)
	return cull.Merge{Pass: d.session.CursorPass(), Frame: id, Shown: d.drawn, RequireShown: d.shot.Picture != nil},
		func(e cull.Entry) string {
			return fmt.Sprintf("%s leads a merge: %s%s", d.name(id), cull.Summary(e), stood(n-len(e.Changes)))
		}
}

func (d *Desk) answerAlikes(a cull.Answer, by stroke) {
	if !d.mayDecide() {
		return
	}
	id := d.session.Cursor()
	if !d.hasAlikes(id) {
		d.refuse("%s", noAlikes)
		return
	}
	frames := d.alikesAsked(id)
	d.plan(cull.DecideBurst{Pass: d.session.CursorPass(), Frame: id, Exact: frames, Answer: a, Shown: d.drawn}, by,
		func(e cull.Entry) string {
			return fmt.Sprintf("all %d alike: %s%s", len(frames), cull.Summary(e), stood(len(frames)-len(e.Changes)))
		})
}

// momentWords is what the moment of a frame is called.
func (d *Desk) momentWords(id cull.ID) string {
	p, _ := d.session.Place(id)
	switch n := len(d.session.Moment(id)); {
	case n == 1:
		return "lone frame"
	case p.Kind == cull.Series && p.Series != "" && p.Series != cull.Together:
		return fmt.Sprintf("%s of %d", p.Series, n)
	default:
		return fmt.Sprintf("%s of %d", p.Kind, n)
	}
}
