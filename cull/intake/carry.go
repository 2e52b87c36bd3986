package intake

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"sync"

	"garner/cull/intake/plan"
	"garner/store"
	"garner/store/copy"
)

// outcome is what became of a step.
type outcome struct {
	File
	err      error          // why it failed, for its class
	read     bool           // its bytes were read from the card to the end, now
	fromCard bool           // past the system's cache
	devices  map[int]string // devices from which they were read back → path there
	aside    bool           // found out to be the damaged one of two twins
}

// carrier copies the files of all cards.
type carrier struct {
	*run
	plan  plan.Plan
	done  []chan struct{} // per step: closed when out is there
	out   []outcome
	paths sync.Mutex
	taken map[string]bool // folded paths that are planned or given away while copying

	lands    sync.Mutex
	landings map[folderAt]landing
}

// A card is read by one reader; while a file is synced and read back, the next ones
// are read. More copies at once would only take memory.
const (
	copiesPerCard = 3
	copiesInAll   = 6
	poolBytes     = 24 << 20
)

// again is how often a file that can't be read is tried once more: a contact that
// was loose may hold the second time.
const again = 2

// carry runs all cards side by side and returns when every one is finished.
func (c *carrier) carry(ctx context.Context) {
	var all sync.WaitGroup
	for i, s := range c.sources {
		all.Go(func() { c.card(ctx, i, s) })
	}
	all.Wait()
}

// card copies one card's files in their order and gives its verdict.
func (c *carrier) card(ctx context.Context, n int, s *source) {
	c.news.tell(Event{Kind: Progress, Card: s.card}, func() { s.card.Began = c.o.Now() })
	steps := make(chan int)
	gone, stop := context.WithCancelCause(ctx)
	defer stop(nil)
	var all sync.WaitGroup
	for range max(1, min(copiesPerCard, copiesInAll/len(c.sources))) {
		all.Go(func() {
			for i := range steps {
				c.step(gone, stop, s, i)
			}
		})
	}
	for i, step := range c.plan.Steps {
		if step.Source == n {
			steps <- i
		}
	}
	close(steps)
	all.Wait()
	c.conclude(ctx, n, s)
}

// errGone ends the work on a card that was pulled out.
var errGone = errors.New("the card is no longer there")

// step carries out one step and says so. Whoever waits for it is let go in any case.
func (c *carrier) step(ctx context.Context, stop context.CancelCauseFunc, s *source, i int) {
	step, f := c.plan.Steps[i], s.plan.Files[c.plan.Steps[i].File]
	out := &c.out[i]
	defer close(c.done[i])
	out.File = File{Path: f.Path, To: step.To, Size: f.Size, Notes: c.sentences(step)}
	out.devices = map[int]string{}
	if after := step.After; after >= 0 {
		<-c.done[after] // a smaller number, which never waits for a larger one
	}
	switch {
	case context.Cause(ctx) == errGone:
		out.fail(errGone)
	case ctx.Err() != nil:
		out.undone()
	case step.Action == plan.Leave:
		c.leave(ctx, s, f, out)
	default:
		c.copy(ctx, s, i, out)
	}
	if out.err != nil && ctx.Err() != nil && context.Cause(ctx) != errGone {
		out.undone()
	}
	if out.err != nil && ctx.Err() == nil && c.pulled(s, out.err) {
		out.fail(errGone)
		stop(errGone)
	}
	c.tellFile(s, out)
}

// fail notes why a file did not arrive.
func (o *outcome) fail(err error) {
	o.State, o.err, o.Why = Failed, err, reason(err)
}

// undone notes that the work was interrupted before the file had arrived.
func (o *outcome) undone() {
	o.State, o.err, o.Why = Undone, context.Canceled, "the work was interrupted"
}

// pulled reports whether a failure means that the whole card is gone.
func (c *carrier) pulled(s *source, err error) bool {
	switch store.Class(err) {
	case store.DeviceGone, store.Missing, store.ReadError, store.Unclassified:
	default:
		return false
	}
	_, serr := c.fsys.Stat(s.root)
	if serr == nil && s.card.DCIM {
		_, serr = c.fsys.ReadDir(s.root) // an empty mount point stays where a card was
		if serr == nil && !hasDCIM(c.fsys, s.root) {
			serr = fs.ErrNotExist
		}
	}
	return serr != nil
}

// copy brings one file to all destinations that are up.
func (c *carrier) copy(ctx context.Context, s *source, i int, out *outcome) {
	step, f := c.plan.Steps[i], s.plan.Files[c.plan.Steps[i].File]
	to := step.To
	if step.After >= 0 && c.out[step.After].To != "" {
		to = c.out[step.After].To // it may have gone elsewhere than planned
		out.To = to
	}
	if c.bring(ctx, s, f, func(n int) string { return c.index.place(n, to, f) }, out) {
		c.settle(step, f, out)
		return
	}
	// What stands there has the size and both ends, and differs in between. A file
	// that was set apart by an earlier run is there under another name.
	for _, p := range c.alike(f, to, out.Sum) {
		notes := out.Notes
		out.Notes = append(slices.Clone(notes), fmt.Sprintf("was set apart from %s before: is there as %s", to, p))
		out.To = p
		if c.bring(ctx, s, f, func(int) string { return p }, out) {
			c.settle(step, f, out)
			return
		}
		out.Notes, out.To = notes, to
	}
	other := c.apart(ctx, s, step, f, to, out)
	if other == "" {
		c.settle(step, f, out)
		return
	}
	out.To = other
	c.bring(ctx, s, f, func(int) string { return other }, out)
	c.settle(step, f, out)
}

// bring copies a file to its path at every destination. It reports false when all
// that is wrong is that other content stands there.
func (c *carrier) bring(ctx context.Context, s *source, f plan.File, to func(dest int) string, out *outcome) bool {
	src := filepath.Join(s.root, filepath.FromSlash(f.Path))
	out.Places = make([]Place, len(c.dests))
	job := copy.Job{Source: src, Reader: s.reader, Pool: c.pool, Again: again}
	var at []int
	var rel []string
	for n, d := range c.dests {
		if err := c.still(d); err != nil {
			out.Places[n] = Place{State: "failed", Why: reason(err)}
			continue
		}
		p := to(n)
		if l := c.landing(n, path.Dir(p)); l.err != nil {
			out.Places[n] = Place{State: "failed", Why: path.Dir(p) + " there " + l.err.Error()}
			continue
		}
		at, rel = append(at, n), append(rel, p)
		job.Dests = append(job.Dests, filepath.Join(d.Root, filepath.FromSlash(p)))
	}
	if len(at) == 0 {
		out.fail(errors.New("no destination is left to write to"))
		return true
	}
	if f.Err == nil {
		ends := f.Ends
		job.Ends = &ends
	}
	read := int64(0)
	job.Progress = func(n int64) {
		read += n
		c.news.tell(Event{Kind: Progress, Card: s.card}, func() { s.card.DoneBytes += n })
	}
	job.Stage = func(dest int, stage copy.Stage) {
		c.news.tell(Event{Kind: Progress, Card: s.card}, func() { s.card.Activities[at[dest]] = activity(stage) })
	}
	res, err := copy.File(ctx, c.fsys, job)
	c.news.tell(Event{Kind: Progress, Card: s.card}, func() { s.card.DoneBytes += f.Size - read })
	out.read = res.Sum != [32]byte{}
	if out.read {
		out.Sum, out.fromCard = store.Hex(res.Sum), res.Bypassed
	} else {
		c.unread(src, res, at, out)
		out.fail(err)
		return true
	}
	differs, wrong := 0, false
	for k, r := range res.Dests {
		n := at[k]
		if r.State == copy.Failed && c.changedSince(n, rel[k], res.Sum, r.Err) {
			r = c.bringBeside(ctx, job, f, n, &rel[k], out)
		}
		if err := c.still(c.dests[n]); err == errOther {
			r.State, r.Err = copy.Failed, err
		}
		out.Places[n] = Place{State: r.State.String(), FromMedium: r.Bypassed}
		if r.State != copy.Failed {
			if rerr := c.dests[n].record(c.fsys, rel[k], res.Sum, c.o.Now(), c.host.Exclusively); rerr != nil {
				c.warn("the sums of " + c.dests[n].Root + " could not be written: " + reason(rerr))
			}
			if l := c.landing(n, path.Dir(rel[k])); l.err == nil && l.device >= 0 {
				out.devices[l.device] = filepath.Join(c.dests[n].Root, filepath.FromSlash(rel[k]))
			}
			continue
		}
		out.Places[n].Why = reason(r.Err)
		c.dests[n].fallsOut(r.Err)
		if store.Class(r.Err) == store.Differs {
			differs++
		} else {
			wrong = true
		}
	}
	if differs > 0 && !wrong && differs == len(res.Dests) {
		return false
	}
	return true
}

// activity is what a destination is doing, in words.
func activity(s copy.Stage) string {
	switch s {
	case copy.Writing:
		return "writing"
	case copy.Syncing:
		return "syncing"
	case copy.ReadingBack:
		return "reading back"
	}
	return ""
}

// unread looks for destinations that have failed before the source could be read;
// the source's own failure is no fault of theirs.
func (c *carrier) unread(src string, res copy.Result, at []int, out *outcome) {
	for k, r := range res.Dests {
		var e *store.Error
		if errors.As(r.Err, &e) && e.Path != src {
			c.dests[at[k]].fallsOut(r.Err)
			out.Places[at[k]] = Place{State: "failed", Why: reason(r.Err)}
		}
	}
}

// settle gives the file its state.
func (c *carrier) settle(step plan.Step, f plan.File, out *outcome) {
	if !out.read {
		return
	}
	copied, missing := false, ""
	for n, p := range out.Places {
		switch p.State {
		case "copied":
			copied = true
		case "present":
		default:
			missing = fmt.Sprintf("%s: %s", c.dests[n].Root, p.Why)
		}
	}
	out.Proven = len(out.devices)
	switch {
	case missing != "":
		out.State, out.Why, out.err = Failed, missing, errors.New(missing)
	case step.Action == plan.Aside || out.aside:
		out.State = Aside
	case copied:
		out.State = Copied
	default:
		out.State = Known
	}
}

// tellFile counts a finished file.
func (c *carrier) tellFile(s *source, out *outcome) {
	c.news.tell(Event{Kind: FileDone, Card: s.card, File: &out.File}, func() {
		k := s.card
		k.DoneFiles++
		switch out.State {
		case Copied:
			k.Copied++
		case Known:
			k.Known++
		case Aside:
			k.Aside++
		case LeftOut:
			k.LeftOut++
		default:
			k.Failed = append(k.Failed, out.File)
		}
		if slices.ContainsFunc(out.Places, func(p Place) bool { return p.State == "copied" }) {
			k.CopyBytes += out.Size
		}
	})
}
