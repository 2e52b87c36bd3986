package station

import (
	"fmt"
	"slices"

	"garner/cull"
)

// grouping is what stood about the groups before an undo or redo of something that
// changes no answer.
type grouping struct {
	step    bool
	made    []cull.Correction
	names   map[cull.ID]string
	cursor  cull.ID
	undoing bool
}

func (d *Desk) grouping(e cull.Entry) grouping {
	if e.Verb != cull.VerbUndo && e.Verb != cull.VerbRedo || len(e.Changes) > 0 {
		return grouping{}
	}
	return grouping{step: true, made: d.session.Corrections(), names: d.session.SceneNames(), undoing: e.Verb == cull.VerbUndo, cursor: d.session.Cursor()}
}

// correction is what was taken back or done again.
func (g grouping) correction(d *Desk) (cull.Correction, bool) {
	if !g.step {
		return cull.Correction{}, false
	}
	fewer, more := d.session.Corrections(), g.made
	if !g.undoing {
		fewer, more = more, fewer
	}
	if len(more) != len(fewer)+1 {
		return cull.Correction{}, false
	}
	i := 0
	for i < len(fewer) && sameCorrection(fewer[i], more[i]) {
		i++
	}
	return more[i], true
}

// stay leaves the cursor where it was if that is among what was taken back or done
// again: it need not jump there.
func (g grouping) stay(d *Desk) {
	if c, ok := g.correction(d); ok && (slices.Contains(c.Frames, g.cursor) || slices.Contains(c.Others, g.cursor)) {
		d.session.MoveTo(g.cursor)
	}
}

// regrouped says what was taken back, or done again, about the groups.
func (g grouping) regrouped(d *Desk) string {
	if !g.step {
		return ""
	}
	if c, ok := g.correction(d); ok {
		return ": " + d.correctionWords(c)
	}
	now := d.session.SceneNames()
	for _, id := range changedNames(g.names, now) {
		if name := now[id]; name != "" {
			return ": the scene is called " + name
		}
		if s, ok := d.sceneOf(id); ok {
			return ": the scene is called " + s.Name
		}
	}
	return ""
}

func sameCorrection(a, b cull.Correction) bool {
	return a.Kind == b.Kind && slices.Equal(a.Frames, b.Frames) && slices.Equal(a.Others, b.Others)
}

func changedNames(a, b map[cull.ID]string) []cull.ID {
	var list []cull.ID
	for id, name := range a {
		if b[id] != name {
			list = append(list, id)
		}
	}
	for id := range b {
		if _, ok := a[id]; !ok {
			list = append(list, id)
		}
	}
	slices.Sort(list)
	return list
}

// correctionWords names a correction.
func (d *Desk) correctionWords(c cull.Correction) string {
	at := func(ids []cull.ID) string {
		if len(ids) == 0 {
			return ""
		}
		return d.name(ids[0])
	}
	switch c.Kind {
	case cull.JoinMoment:
		return fmt.Sprintf("the join of %d frames from %s on", len(c.Frames), at(c.Frames))
	case cull.JoinSeries:
		return fmt.Sprintf("the series of %d frames from %s on", len(c.Frames), at(c.Frames))
	case cull.SplitAt:
		return "the split before " + at(c.Others)
	case cull.TakeOut:
		return at(c.Frames) + " by itself"
	case cull.LetGo:
		return "look-alikes let go from " + at(c.Frames) + " on"
	case cull.BeginScene:
		return "a scene that begins with " + at(c.Frames)
	case cull.JoinScene:
		return "the scene that goes on at " + at(c.Frames)
	}
	return string(c.Kind)
}
