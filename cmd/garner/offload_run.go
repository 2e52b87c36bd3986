package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"runtime/debug"
	"slices"
	"syscall"
	"time"

	"garner/cull"
	"garner/cull/intake"
	"garner/cull/intake/awake"
	"garner/cull/job"
)

// takeIn is the engine: intake.Run, or a test's.
type takeIn func(context.Context, *job.Job, intake.Options) (intake.Report, error)

// offloading is one offload command: one run, or many where it watches.
type offloading struct {
	desk
	f       offloadFlags
	job     *job.Job
	take    takeIn
	set     job.Settings
	wanted  string // where the job would be; a dry run may have to stand in for it
	bad     int    // files that did not arrive, of all runs
	stopped bool
	ticks   <-chan time.Time // when the watch looks; nil = once a second
	all     intake.Report    // of all runs
}

// offload takes cards in, says what became of them, and waits for more if asked to.
func (d desk) offload(ctx context.Context, f offloadFlags, take takeIn) error {
	// A terminal that is closed, or a system that shuts down, ends it in an orderly way.
	ctx, stop := signal.NotifyContext(ctx, syscall.SIGTERM, syscall.SIGHUP)
	defer stop()
	// Nearly all memory is buffers that stay: collecting early costs little and keeps it small.
	defer debug.SetGCPercent(debug.SetGCPercent(25))
	o := &offloading{desk: d, f: f, take: take, wanted: f.job}
	if len(f.cards) > 0 { // before a job is made in the wrong place: cards are only read
		if err := intake.Apart(f.job, intake.Options{Sources: f.cards, Also: f.also}); err != nil {
			return o.hint(err)
		}
	}
	done, err := o.open()
	if err != nil {
		return err
	}
	defer done()
	if len(f.cards) > 0 {
		err = o.batch(ctx, f.cards, nil)
	}
	if err == nil && !o.stopped && len(f.watch) > 0 {
		err = o.watch(ctx)
	}
	ended := slices.ContainsFunc(o.all.Cards, func(c *intake.Card) bool { return c.Ended })
	if f.json && (err == nil || ended || o.stopped) {
		all := o.all
		all.Interrupted = o.stopped
		if jerr := d.object(d.newTeller(f).doneObject(all)); err == nil {
			err = jerr
		}
	}
	switch {
	case err != nil:
		return err
	case o.stopped && !o.all.Interrupted:
		d.sayf("the watch has ended; did not arrive: %s", count(o.bad, "file"))
		return errTold
	case o.stopped:
		d.sayf("interrupted; what is copied is kept, the same command goes on from here")
		return errTold
	case o.bad > 0:
		return &partlyError{fmt.Sprintf("did not arrive: %s, listed above; keep those cards", count(o.bad, "file"))}
	}
	return nil
}

// batch takes some sources in and reports. only are the files of one folder that
// are taken, nil for all.
func (o *offloading) batch(ctx context.Context, sources, only []string) error {
	t := o.newTeller(o.f)
	t.partly = only != nil
	r := &reporter{desk: o.desk, f: o.f, ledgers: t.ledgers, partly: t.partly}
	if len(o.f.watch) > 0 && only == nil {
		t.finished = func(c *intake.Card) {
			r.card(c)
			r.told = append(r.told, c)
		}
	}
	if only == nil {
		o.progressf("looking at %s", count(len(sources), "card"))
	}
	release := func() {}
	if !o.f.dry {
		release = awake.Keep("cards are being taken in")
	}
	report, err := o.take(ctx, o.job, intake.Options{
		Sources: sources, Only: only, Settings: o.set, Also: o.f.also, Days: o.f.days, ProvenIn: o.f.provenIn, SingleCopy: o.f.single, DryRun: o.f.dry,
		Event: t.event, Now: o.now,
	})
	release()
	t.clear()
	for i, root := range append([]string{o.wanted}, o.f.also...) { // as given; a dry run may have had a stand-in
		if i < len(report.Destinations) {
			report.Destinations[i].Root = root
		}
	}
	stopped := err != nil && ctx.Err() != nil && errors.Is(err, context.Canceled)
	report.Interrupted = report.Interrupted || stopped
	r.report = report
	o.add(report, t)
	if err != nil && !stopped && !(o.f.dry && errors.As(err, new(*intake.RoomError))) {
		return o.hint(err)
	}
	switch {
	case t.partly:
		r.files(sources[0])
	case t.finished != nil:
		r.unfinished()
		r.rest()
	default:
		r.closing()
		if err == nil {
			r.next()
		}
	}
	if stopped {
		return nil
	}
	return o.hint(err)
}

// hint adds to an error what can be done about it.
func (o *offloading) hint(err error) error {
	var use *intake.UseError
	var busy *intake.BusyError
	var room *intake.RoomError
	switch {
	case errors.As(err, &use):
		return &usageError{use.Text}
	case errors.As(err, &busy):
		return hinted(err, "wait until it has ended; it can take all cards at once: garner offload CARD CARD --job "+shellWord(o.wanted))
	case errors.As(err, &room):
		return hinted(err, "make room there, or name another place with --job or --also; nothing was written")
	case errors.Is(err, os.ErrPermission):
		return hinted(err, "name a place with --job or --also that you may write to; --state DIR keeps the catalogue in another folder")
	}
	return err
}

// add adds a run to what the command came to.
func (o *offloading) add(r intake.Report, t *teller) {
	o.bad += r.Bad()
	o.stopped = o.stopped || r.Interrupted
	cards := o.all.Cards
	if !t.partly {
		cards = append(cards, r.Cards...)
	}
	took := o.all.Took + r.Took
	o.all = r
	o.all.Cards, o.all.Took = cards, took
}

// next names the command that comes next.
func (r *reporter) next() {
	job := jobWords(r.f.job, r.f.jobFlags)
	switch {
	case r.f.dry:
		r.sayf("next: the same without --dry-run")
	case r.report.Interrupted:
	default:
		r.sayf("next: garner cull %s", job)
	}
}

// unfinished reports the cards that did not come to their end, which nothing was
// said of yet.
func (r *reporter) unfinished() {
	for _, c := range r.report.Cards {
		if !slices.Contains(r.told, c) {
			r.card(c)
		}
	}
}

// files says what became of files that landed in a watched folder.
func (r *reporter) files(root string) {
	for _, c := range r.report.Cards {
		l := r.ledgerOf(c)
		r.sayf("from %s: %s", cull.Plain(root), outcome(c, false))
		r.list("kept aside, since its twin is whole", l.aside)
		r.list("have a look at", l.noted)
		r.failures(c)
	}
	for _, d := range r.report.Destinations {
		if d.Down != "" {
			r.destination(d)
		}
	}
}
