package intake

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"garner/cull/intake/plan"
	"garner/store"
)

// apart finds another place for a file whose planned one has the same size and
// both ends, but other bytes between: the twin of the other slot, one of the two
// damaged; or a stored copy that has changed since it was taken in. "" = no way.
func (c *carrier) apart(ctx context.Context, s *source, step plan.Step, f plan.File, to string, out *outcome) string {
	if ctx.Err() != nil {
		return ""
	}
	stored := c.dests[0]
	n := 0
	for n < len(c.dests) && !c.index.on[n][to] && c.dests[n].isDown() != nil {
		n++
	}
	if n < len(c.dests) {
		stored = c.dests[n]
	}
	c.paths.Lock()
	defer c.paths.Unlock()
	free := func(p string) bool { return c.taken[plan.Fold(p)] }
	var other string
	switch who := c.whoIsDamaged(s, f, stored, to, out.Sum); {
	case !f.Shot.Known():
		other = plan.NextRound(to, free)
		out.Notes = append(out.Notes, fmt.Sprintf("%s has the same size and other bytes: kept as %s", to, other))
	case who > 0:
		other = plan.NextRound(to, free)
		out.Notes = append(out.Notes, fmt.Sprintf("%s in the job is damaged: the whole file is %s", to, other))
		if err := c.host.SetDamaged(to); err != nil {
			c.warn("that " + to + " is damaged could not be noted: " + reason(err))
		}
	case who < 0:
		other, out.aside = plan.AsidePath(to, free), true
		out.Notes = append(out.Notes, fmt.Sprintf("damaged: its twin %s is whole; kept aside as %s", to, other))
	default:
		other, out.aside = plan.AsidePath(to, free), true
		out.Notes = append(out.Notes, fmt.Sprintf("differs from its twin %s, and nobody can tell which of the two is damaged: kept aside as %s", to, other))
	}
	c.taken[plan.Fold(other)] = true
	return other
}

// alike lists the paths, but for one, at which a file of the same size and ends may
// have this content: a destination's sums say so, or every one has a file there.
func (c *carrier) alike(f plan.File, but, sum string) []string {
	at := map[string]int{}
	listed := map[string]bool{}
	for n, d := range c.dests {
		d.mu.Lock()
		for _, p := range c.index.content[n][content{f.Size, f.Ends}] {
			at[p]++
			listed[p] = listed[p] || store.Hex(d.listed[p]) == sum
		}
		d.mu.Unlock()
	}
	var paths []string
	for p, n := range at {
		if p != but && f.Err == nil && (listed[p] || n == len(c.dests)) {
			paths = append(paths, p)
		}
	}
	slices.Sort(paths)
	return paths
}

// whoIsDamaged compares a card's file with the stored one: 1 = the stored one is
// damaged, -1 the card's, 0 unknown. A sum that was recorded when the stored one was
// taken in decides.
func (c *carrier) whoIsDamaged(s *source, f plan.File, stored *destination, to, sum string) int {
	stored.mu.Lock()
	recorded, ok := stored.listed[to]
	stored.mu.Unlock()
	if ok && store.Hex(recorded) == sum {
		return 1
	}
	a := filepath.Join(s.root, filepath.FromSlash(f.Path))
	b := filepath.Join(stored.Root, filepath.FromSlash(to))
	return damaged(c.fsys, a, b)
}

// sentences are a step's notes in words.
func (r *run) sentences(s plan.Step) []string {
	var out []string
	other := s.Other.Path
	if s.Other.Source >= 0 && s.Other.Source < len(r.sources) && other != "" {
		other = r.sources[s.Other.Source].plan.Name + " " + other
	}
	for _, n := range s.Notes {
		switch n {
		case plan.NewRound:
			out = append(out, "another exposure has this name: kept as "+s.To)
		case plan.NewName:
			out = append(out, "some systems do not take its name: kept as "+s.To)
		case plan.Version:
			out = append(out, "the same exposure as "+other+", but other bytes: renamed, tagged or converted")
		case plan.TwinBroken:
			if s.Action == plan.Aside {
				out = append(out, "damaged: its twin "+other+" is whole; kept aside as "+s.To)
			} else {
				out = append(out, "its twin "+other+" is damaged: this one is used")
			}
		case plan.TwinUnsure:
			out = append(out, "differs from its twin "+other+", and nobody can tell which of the two is damaged: kept aside as "+s.To)
		case plan.Healed:
			out = append(out, "could not be read when the card was looked at; its twin "+other+" stands in")
		}
	}
	return out
}

// names joins names for a sentence and cuts a long list.
func names(list []string) string {
	const most = 5
	if len(list) > most {
		return strings.Join(list[:most], ", ") + fmt.Sprintf(" and %d more", len(list)-most)
	}
	return strings.Join(list, ", ")
}
