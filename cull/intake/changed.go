package intake

import (
	"context"
	"path"
	"path/filepath"

	"garner/cull/intake/plan"
	"garner/store"
	"garner/store/copy"
)

// changedSince reports whether all that is wrong at a destination is that the file
// there has changed since it was taken in: its recorded sum is the card's. A handoff
// does that to sidecars, a failing disk to anything.
func (c *carrier) changedSince(n int, rel string, sum [32]byte, err error) bool {
	if store.Class(err) != store.Differs {
		return false
	}
	d := c.dests[n]
	d.mu.Lock()
	defer d.mu.Unlock()
	was, ok := d.listed[rel]
	return ok && was == sum
}

// bringBeside copies such a file, as it is on the card, to another place of that one
// destination; what has changed stays untouched.
func (c *carrier) bringBeside(ctx context.Context, job copy.Job, f plan.File, n int, rel *string, out *outcome) copy.DestResult {
	d, old := c.dests[n], *rel
	if sidecar(old) {
		*rel = path.Join("aside", old)
		out.Notes = append(out.Notes, "the sidecar at "+d.Root+" has been written to since: the card's is kept as "+*rel)
	} else {
		*rel = c.beside(n, old, f, out.Sum)
		out.Notes = append(out.Notes, old+" at "+d.Root+" is damaged, its bytes have changed since it was taken in: the whole file is "+*rel)
		if n == 0 {
			if err := c.host.SetDamaged(old); err != nil {
				c.warn("that " + old + " is damaged could not be noted: " + reason(err))
			}
		}
	}
	job.Dests = []string{filepath.Join(d.Root, filepath.FromSlash(*rel))}
	job.Progress, job.Stage = nil, nil
	res, _ := copy.File(ctx, c.fsys, job)
	return res.Dests[0]
}

// beside is where an earlier run put the whole file already, or the next free place.
func (c *carrier) beside(n int, old string, f plan.File, sum string) string {
	d := c.dests[n]
	for _, p := range c.index.content[n][content{f.Size, f.Ends}] {
		d.mu.Lock()
		listed, ok := d.listed[p]
		d.mu.Unlock()
		if p != old && ok && store.Hex(listed) == sum {
			return p
		}
	}
	c.paths.Lock()
	defer c.paths.Unlock()
	p := plan.NextRound(old, func(p string) bool { return c.taken[plan.Fold(p)] })
	c.taken[plan.Fold(p)] = true
	return p
}
