package decide

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"garner/cull"
)

// merge takes over the answers of a journal's entry, whoever's journal it is.
// It keeps who and when. The whole line is refused where another person has
// decided one of its frames by itself and otherwise.
func (d *desk) merge(e cull.Entry) ([]cull.Entry, error) {
	pass := e.Pass
	if pass == "" {
		pass = cull.KeepPass
	}
	var clash []string
	for _, c := range e.Changes {
		now := d.session.Decision(pass, c.Frame)
		if now.Explicit && c.Explicit && now.Answer != c.After && now.Who != e.Who {
			clash = append(clash, fmt.Sprintf("%s: %s says %s, %s says %s", d.name(c.Frame), now.Who, now.Answer.Word(pass), e.Who, c.After.Word(pass)))
		}
	}
	if len(clash) > 0 {
		return nil, fmt.Errorf("conflict: %s", strings.Join(clash, ", "))
	}
	var out []cull.Entry
	// A burst key of the other journal does not overturn what was decided here
	// by itself, nor what is material for a merge.
	weak := func(c cull.Change) bool {
		now := d.session.Decision(pass, c.Frame)
		return (now.Explicit || now.Answer == cull.Part) && !c.Explicit && now.Answer != c.After
	}
	stands := func(c cull.Change) bool {
		now := d.session.Decision(pass, c.Frame)
		return now.Answer == c.After && (now.Explicit || !c.Explicit)
	}
	changes := slices.DeleteFunc(slices.Clone(e.Changes), func(c cull.Change) bool { return weak(c) || stands(c) })
	if len(changes) == 0 && slices.ContainsFunc(e.Changes, weak) {
		return nil, fmt.Errorf("%w: decided here by itself, there by a burst key", cull.ErrNothing)
	}
	for _, group := range groups(changes) {
		var frames []cull.ID
		for _, c := range group {
			frames = append(frames, c.Frame)
		}
		p, err := d.session.Plan(cull.Decide{Pass: pass, Frames: frames, Answer: group[0].After, Shown: group[0].Shown}, e.At, e.Who)
		if errors.Is(err, cull.ErrNothing) {
			continue // it stands already
		}
		if err != nil {
			return nil, err
		}
		for i := range p.Changes {
			p.Changes[i].Explicit = group[0].Explicit && p.Changes[i].After != cull.Open
		}
		if err := d.session.Commit(p); err != nil {
			return nil, err
		}
		out = append(out, p)
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%w: that answer stands already", cull.ErrNothing)
	}
	return out, nil
}

// groups puts changes together that make one entry: the same answer, shown or
// not, by itself or not.
func groups(changes []cull.Change) [][]cull.Change {
	var out [][]cull.Change
	for _, c := range changes {
		i := slices.IndexFunc(out, func(g []cull.Change) bool {
			return g[0].After == c.After && g[0].Shown == c.Shown && g[0].Explicit == c.Explicit
		})
		if i < 0 {
			out = append(out, nil)
			i = len(out) - 1
		}
		out[i] = append(out[i], c)
	}
	return out
}

func (d *desk) name(id cull.ID) string {
	if n := d.session.Name(id); n != "" {
		return n
	}
	return "#" + string(id)
}
