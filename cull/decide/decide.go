// Package decide is the station's decisions without a screen: it reads lines of
// the decide language (package cull), makes each durable, and only then answers
// it with "ok …", or says "no … : reason".
//
// Lines of a journal are lines of the language too. They keep who decided and
// when, so that two people's decisions can be merged: where both decided a
// frame by themselves and differ, the standing answer stays and the line is
// refused as a conflict. Corrections of the groups and names of scenes know no
// conflict: they are taken over in the order of the lines, as if they had been made
// now, so that of two that contradict each other the later line holds. No line
// gives a consent (see job.Consent); one that takes it back is taken over unless what
// stands is later.
package decide

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"

	"garner/cull"
	"garner/cull/job"
)

// maxBatch bounds how many lines, waiting at the same time, share one commit.
const maxBatch = 64

// Options say who decides.
type Options struct {
	Who string
	Now func() time.Time
}

// Summary counts the lines.
type Summary struct{ Done, Refused int }

// desk is one run.
type desk struct {
	job     *job.Job
	session *cull.Session
	o       Options
	out     *bufio.Writer
	sum     Summary
	theirs  map[uint64]uint64 // corrections of a journal that is merged: their number → ours
}

// planned is a line with the entries it makes; more than one where a merged
// line answers frames that were decided in different ways.
type planned struct {
	line    string
	entries []cull.Entry
	from    uint64 // number of the line in the journal that it comes from
	err     error
}

// Run answers the lines of in until it ends. The caller holds the job's claim.
// An error is about the streams or the catalogue; a refused line is counted.
func Run(ctx context.Context, j *job.Job, in io.Reader, out io.Writer, o Options) (Summary, error) {
	d := &desk{job: j, o: o, out: bufio.NewWriter(out), theirs: map[uint64]uint64{}}
	if err := d.reload(); err != nil {
		return d.sum, err
	}
	r := bufio.NewReaderSize(in, 64<<10)
	for {
		if err := ctx.Err(); err != nil {
			return d.sum, err
		}
		lines, rerr := nextLines(r)
		if err := d.answer(lines); err != nil {
			return d.sum, err
		}
		if rerr == io.EOF {
			return d.sum, nil
		}
		if rerr != nil {
			return d.sum, rerr
		}
	}
}

func (d *desk) reload() (err error) {
	d.session, err = d.job.Session()
	return err
}

// answer plans, keeps and answers the lines that arrived together. They share a
// commit, except that an undo is planned only when all before it is kept: what
// it takes back has to have its final number.
func (d *desk) answer(lines []line) error {
	var batch []planned
	for _, l := range lines {
		c, err := l.command()
		if c.Verb == cull.VerbUndo || c.Verb == cull.VerbRedo {
			if err := d.keep(batch); err != nil {
				return err
			}
			batch = nil
		}
		if p := d.plan(l.text, c, err); p.err != nil || len(p.entries) > 0 {
			batch = append(batch, p) // else an empty line or a comment
		}
	}
	return d.keep(batch)
}

// keep makes a batch durable and answers it. The session is ahead of the
// catalogue between plan and keep only; where the two did not agree in the end
// (somebody else's entry came in between, or nothing could be kept) it is read
// anew.
func (d *desk) keep(batch []planned) error {
	var entries []cull.Entry
	for _, p := range batch {
		entries = append(entries, p.entries...)
	}
	var kept []cull.Entry
	var keepErr error
	if len(entries) > 0 {
		kept, keepErr = d.job.Append(entries...)
		if errors.Is(keepErr, job.ErrJournal) {
			keepErr = nil // durable in the catalogue; the text follows
		}
		if keepErr != nil || kept[len(kept)-1].Seq != entries[len(entries)-1].Seq {
			if err := d.reload(); err != nil {
				return err
			}
		}
	}
	for _, p := range batch {
		if p.err == nil && keepErr != nil {
			p.err = fmt.Errorf("it could not be kept: %w", keepErr)
		}
		if p.err != nil {
			// Copies of one job number alike: what another journal had under this
			// number is not what this one may take back further on.
			delete(d.theirs, p.from)
			d.sum.Refused++
			fmt.Fprintf(d.out, "no %s : %s\n", shown(p.line), cull.Plain(p.err.Error()))
			continue
		}
		mine := kept[:len(p.entries)]
		kept = kept[len(p.entries):]
		if p.from != 0 && len(mine) == 1 {
			d.theirs[p.from] = mine[0].Seq
		}
		d.sum.Done++
		fmt.Fprintf(d.out, "ok %s%s\n", shown(p.line), d.said(mine))
	}
	if err := d.out.Flush(); err != nil {
		return err
	}
	return keepErr
}

// plan turns a line into entries and lets the session go on as if they were
// kept, so that the next line of the batch builds on them.
func (d *desk) plan(text string, c cull.Command, err error) planned {
	p := planned{line: text, err: err}
	if err != nil || c.Verb == "" {
		return p
	}
	if c.Entry != nil && len(c.Entry.Changes) > 0 {
		p.entries, p.err = d.merge(*c.Entry)
		return p
	}
	at, who := d.o.Now(), d.o.Who
	given := cull.Entry{Verb: c.Verb, Args: c.Args}
	if c.Entry != nil && (c.Verb == cull.VerbCorrect || c.Verb == cull.VerbScene) {
		at, who, p.from = c.Entry.At, c.Entry.Who, c.Entry.Seq
		given = *c.Entry
	}
	if p.err = d.allowed(given); p.err != nil {
		return p
	}
	a, err := d.action(c)
	if errors.Is(err, cull.ErrUnknownFrame) {
		// Preparation may have found the frame since this session began.
		if rerr := d.learn(); rerr == nil {
			a, err = d.action(c)
		}
	}
	if err != nil {
		p.err = err
		return p
	}
	e, err := d.take(a, at, who)
	if p.err = err; err == nil {
		p.entries = []cull.Entry{e}
	}
	return p
}

// allowed refuses a line that says yes to faces, one that comes too late, and notes on
// what another copy made or freed.
func (d *desk) allowed(e cull.Entry) error {
	err := d.job.Refused(e)
	if errors.Is(err, job.ErrAnsweredHere) || errors.Is(err, job.ErrMadeThere) || errors.Is(err, job.ErrFreedThere) || errors.Is(err, job.ErrBagThere) {
		err = fmt.Errorf("%w: %w", cull.ErrNothing, err)
	}
	return err
}

// action is the action of a line. An undo out of another journal takes back what
// that journal took back, and never the latest step here.
func (d *desk) action(c cull.Command) (cull.Action, error) {
	if c.Entry == nil || c.Verb != cull.VerbUndo && c.Verb != cull.VerbRedo {
		return d.session.Action(c)
	}
	of := d.theirs[c.Entry.Of]
	switch {
	case of == 0:
		return nil, fmt.Errorf("%w: what this line takes back was not taken over", cull.ErrNothing)
	case c.Verb == cull.VerbUndo:
		return cull.Undo{Of: of}, nil
	}
	return cull.Redo{Of: of}, nil
}

// take plans an action and commits it to the session.
func (d *desk) take(a cull.Action, at time.Time, who string) (cull.Entry, error) {
	e, err := d.session.Plan(a, at, who)
	if err != nil {
		return cull.Entry{}, err
	}
	return e, d.session.Commit(e)
}

// learn takes over names and order that preparation has added meanwhile.
func (d *desk) learn() error {
	fresh, err := d.job.Session()
	if err != nil {
		return err
	}
	l := fresh.Base()
	names := make(map[cull.ID]string, len(l.Places))
	for _, p := range l.Places {
		names[p.Frame] = fresh.Name(p.Frame)
	}
	d.session.SetLayout(l)
	d.session.SetNames(names)
	return nil
}

// said is the summary behind an ok, where the line itself does not tell what
// happened.
func (d *desk) said(entries []cull.Entry) string {
	var parts []string
	for _, e := range entries {
		if e.Verb != cull.VerbAnswer || len(e.Changes) > 1 {
			s := d.session.Tell(e)
			if len(e.Changes) > 0 && (e.Verb == cull.VerbUndo || e.Verb == cull.VerbRedo) {
				s += ": " + d.some(e.Changes) // which is not in the line
			}
			if s != "" {
				parts = append(parts, s)
			}
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return " ; " + strings.Join(parts, "; ")
}

// some names the first few frames of an entry.
func (d *desk) some(changes []cull.Change) string {
	return cull.Named(changes, 4, func(id cull.ID) string { return cull.Plain(d.name(id)) })
}
