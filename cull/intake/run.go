package intake

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"garner/cull"
	"garner/cull/intake/plan"
	"garner/store"
	"garner/store/copy"
	"garner/store/vfs"
	"garner/store/volume"
)

// host is the job as a run needs it.
type host interface {
	// Letters gives every body its letter, new ones the next free in their order.
	Letters(bodies []cull.Body) (map[string]string, error)
	// Exclusively runs a change of the job's manifest while nobody else makes one.
	Exclusively(func() error) error
	// SetDamaged notes that a file of the job is the damaged one of two.
	SetDamaged(path string) error
}

// stock is what the job's catalogue knows beforehand.
type stock struct {
	known   map[string]knownFile // by path
	damaged map[string]bool
	busy    bool // somebody decides or hands off
}

// run is one run over some cards.
type run struct {
	o       Options
	fsys    vfs.FS
	host    host
	stock   stock
	sources []*source
	dests   []*destination
	devices []volume.Volume
	proofs  []proof
	index   *index
	carrier *carrier // nil until there is a plan
	news    *news
	pool    *copy.Pool // of buffers, for all copies together
	report  Report
	mu      sync.Mutex // guards report.Warnings
}

func newRun(o Options, h host, st stock, jobRoot string) *run {
	if o.FS == nil {
		o.FS = vfs.OS{}
	}
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.VolumeOf == nil {
		o.VolumeOf = volume.Of
	}
	r := &run{o: o, fsys: o.FS, host: h, stock: st, pool: copy.NewPool(poolBytes), news: &news{event: o.Event, now: o.Now}}
	for i, root := range append([]string{jobRoot}, o.Also...) {
		r.dests = append(r.dests, &destination{n: i, Destination: Destination{Root: r.abs(root)}})
	}
	for i, root := range o.Sources {
		c := &Card{Number: i + 1, Root: root, Activities: make([]string, len(r.dests))}
		r.sources = append(r.sources, &source{root: r.abs(root), card: c})
		r.news.cards = append(r.news.cards, c)
	}
	r.report.Cards, r.news.dests = r.news.cards, r.dests
	return r
}

// abs is a path without links, as far as it exists.
func (r *run) abs(p string) string {
	if _, real := r.fsys.(vfs.OS); !real {
		return filepath.Clean(p)
	}
	full, err := filepath.Abs(p)
	if err != nil {
		return filepath.Clean(p)
	}
	rest := ""
	for at := full; ; at = filepath.Dir(at) {
		if real, err := filepath.EvalSymlinks(at); err == nil {
			return filepath.Join(real, rest)
		}
		if at == filepath.Dir(at) {
			return full
		}
		rest = filepath.Join(filepath.Base(at), rest)
	}
}

func (r *run) warn(text string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if !slices.Contains(r.report.Warnings, text) {
		r.report.Warnings = append(r.report.Warnings, text)
	}
}

// takeIn does everything but what concerns the catalogue. The report is true, as
// far as it goes, also beside an error.
func (r *run) takeIn(ctx context.Context) (Report, error) {
	began := r.o.Now()
	err := r.do(ctx)
	r.report.Took = r.o.Now().Sub(began)
	r.report.Interrupted = ctx.Err() != nil
	for _, d := range r.dests {
		if free, err := r.fsys.FreeSpace(d.Root); err == nil {
			d.Free = free // what is left now
		}
		r.report.Destinations = append(r.report.Destinations, d.Destination)
	}
	r.report.Devices = r.destDevices()
	return r.report, err
}

func (r *run) do(ctx context.Context) error {
	if err := r.separate(); err != nil {
		return err
	}
	if err := r.lookAtDestinations(); err != nil {
		return err
	}
	if err := r.loadProofs(); err != nil {
		return err
	}
	if err := r.survey(ctx); err != nil {
		return err
	}
	c, err := r.makePlan(ctx)
	if err != nil {
		return err
	}
	r.news.tell(Event{Kind: Planned}, nil)
	roomErr := room(r.fsys, r.dests, r.sources, c.plan, r.index)
	if r.o.DryRun {
		c.pretend()
	}
	if roomErr != nil || r.o.DryRun {
		return roomErr
	}
	for _, d := range r.dests {
		if err := vfs.MkdirAll(r.fsys, filepath.Join(d.Root, stateFolder), 0o777); err != nil {
			return err
		}
		if err := r.still(d); err != nil {
			return store.Wrap("write to", d.Root, err)
		}
		sweep(r.fsys, d, r.stock.busy)
	}
	c.carry(ctx)
	return ctx.Err()
}

// UseError says that the folders given make no sense together.
type UseError struct{ Text string }

func (e *UseError) Error() string { return e.Text }

// Apart refuses, with a [UseError], cards and destinations of which one is inside
// another. [Run] does so too, but a job has been opened by then, and written to.
func Apart(job string, o Options) error { return newRun(o, nil, stock{}, job).separate() }

// separate refuses folders of which one is inside another: a card would be written,
// or a job copied into itself.
func (r *run) separate() error {
	if len(r.sources) == 0 {
		return &UseError{"there is no card to take in"}
	}
	type place struct {
		root, what string
		card       bool
	}
	var all []place
	for _, s := range r.sources {
		all = append(all, place{s.root, "the card " + s.card.Root, true})
	}
	for i, d := range r.dests {
		what := "the job"
		if i > 0 {
			what = "the destination " + r.o.Also[i-1]
		}
		all = append(all, place{d.Root, what, false})
	}
	for i, a := range all {
		for _, b := range all[:i] {
			switch {
			case a.root == b.root:
				return &UseError{fmt.Sprintf("%s and %s are one folder", b.what, a.what)}
			case !inside(a.root, b.root) && !inside(b.root, a.root):
			case a.card && b.card:
				return &UseError{fmt.Sprintf("%s and %s lie one inside the other", b.what, a.what)}
			case inside(a.root, b.root):
				return &UseError{fmt.Sprintf("%s lies inside %s", a.what, b.what)}
			default:
				return &UseError{fmt.Sprintf("%s lies inside %s", b.what, a.what)}
			}
		}
	}
	return r.separateInside()
}

func inside(p, dir string) bool {
	rel, err := filepath.Rel(dir, p)
	return err == nil && rel != ".." && !strings.HasPrefix(rel, ".."+string(filepath.Separator))
}

func (r *run) lookAtDestinations() error {
	for _, d := range r.dests {
		var err error
		if d.exists, err = folderExists(r.fsys, d.Root); err != nil {
			return err
		}
		if d.vol, err = r.o.VolumeOf(d.Root); err != nil {
			return err
		}
		d.device = r.deviceOf(d.vol)
		d.Label, d.Disk, d.Free = d.vol.Label, d.vol.Disk, d.vol.Free
		if err := d.load(r.fsys); err != nil {
			return err
		}
	}
	return nil
}

// survey looks at all cards, those on different disks side by side.
func (r *run) survey(ctx context.Context) error {
	var vols []volume.Volume
	var readers []*sync.Mutex
	for _, s := range r.sources {
		if ok, err := folderExists(r.fsys, s.root); err != nil || !ok {
			return errors.Join(err, fmt.Errorf("there is no folder %s", s.card.Root))
		}
		v, err := r.o.VolumeOf(s.root)
		if err != nil {
			return err
		}
		s.volume = v
		for i, o := range vols {
			if v.SameDisk(o) {
				s.reader = readers[i] // one reader a disk, however many folders of it are cards
			}
		}
		if s.reader == nil {
			s.reader = new(sync.Mutex)
		}
		vols, readers = append(vols, v), append(readers, s.reader)
		if s.root == v.Root {
			s.card.Label = v.Label
		}
		s.plan.Name = fmt.Sprintf("card %d", s.card.Number)
		if s.card.Label != "" {
			s.plan.Name += " (" + s.card.Label + ")"
		}
	}
	var all sync.WaitGroup
	errs := make([]error, len(r.sources))
	for i, s := range r.sources {
		all.Go(func() {
			s.reader.Lock()
			defer s.reader.Unlock()
			errs[i] = survey(ctx, r.fsys, s, r.o.Only)
		})
	}
	all.Wait()
	return errors.Join(errs...)
}

// makePlan takes stock of the destinations and decides where everything goes.
func (r *run) makePlan(ctx context.Context) (*carrier, error) {
	var err error
	if r.index, err = takeStock(ctx, r.fsys, r.dests, r.sources, r.stock.known, r.stock.damaged); err != nil {
		return nil, err
	}
	letters, err := r.letters()
	if err != nil {
		return nil, err
	}
	var sources []plan.Source
	for _, s := range r.sources {
		sources = append(sources, s.plan)
	}
	p := plan.Make(sources, r.index.have, plan.Options{Letters: letters, Days: r.o.Days, Damaged: r.whichIsDamaged})
	c := &carrier{run: r, plan: p, done: make([]chan struct{}, len(p.Steps)), out: make([]outcome, len(p.Steps)),
		taken: map[string]bool{}, landings: map[folderAt]landing{}}
	for i, s := range p.Steps {
		c.done[i] = make(chan struct{})
		c.taken[plan.Fold(s.To)] = true
	}
	for _, h := range r.index.have {
		c.taken[plan.Fold(h.Path)] = true
	}
	for n, s := range r.sources {
		r.describe(n, s, p, letters)
	}
	r.compareSlots(p)
	r.carrier = c
	return c, nil
}

// letters gives the bodies of all cards their letters, in the order of the cards:
// whoever puts them in thinks of the first one as A.
func (r *run) letters() (map[string]string, error) {
	var bodies []cull.Body
	seen := map[string]bool{}
	for _, s := range r.sources {
		for _, f := range s.plan.Files {
			if b := f.Shot.Body; b.Key != "" && !seen[b.Key] {
				seen[b.Key] = true
				bodies = append(bodies, b)
			}
		}
	}
	return r.host.Letters(bodies)
}

// whichIsDamaged compares two twins for the plan.
func (r *run) whichIsDamaged(a, b plan.Ref) int {
	return damaged(r.fsys, r.path(a), r.path(b))
}

func (r *run) path(ref plan.Ref) string {
	if ref.Source >= 0 {
		return filepath.Join(r.sources[ref.Source].root, filepath.FromSlash(ref.Path))
	}
	for _, d := range r.dests {
		if n := d.n; r.index.on[n][ref.Path] {
			return filepath.Join(d.Root, filepath.FromSlash(ref.Path))
		}
	}
	return filepath.Join(r.dests[0].Root, filepath.FromSlash(ref.Path))
}

// pretend tells what a run would do.
func (c *carrier) pretend() {
	for i, step := range c.plan.Steps {
		s := c.sources[step.Source]
		f := s.plan.Files[step.File]
		out := &c.out[i]
		out.File = File{Path: f.Path, To: step.To, Size: f.Size, Notes: c.sentences(step), Probably: true}
		switch step.Action {
		case plan.Known:
			out.State = Known
		case plan.Aside:
			out.State = Aside
		case plan.Leave:
			out.State, out.To, out.Why = LeftOut, "", "taken on another day"
		default:
			out.State = Copied
		}
		c.tellFile(s, out)
	}
	for _, s := range c.sources {
		c.news.tell(Event{Kind: CardDone, Card: s.card}, func() {
			s.card.Ended = true
			s.card.Failed = append(s.card.Failed, s.tree.skipped...)
			s.card.Why = []string{"nothing was copied: this was a dry run"}
		})
	}
}
