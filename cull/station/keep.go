package station

import (
	"errors"
	"fmt"
	"slices"

	"garner/cull"
	"garner/cull/job"
)

// pending is an entry on its way to the disk.
type pending struct {
	tell     func(cull.Entry) string // what is said when it is kept
	then     func()                  // done after it was kept; may be nil
	by       stroke                  // the press of a deciding key that made it; zero = none
	early    int                     // keys before it that came too soon
	withdraw bool                    // that press turned out to be the repeat of a held key
}

// pressed is what a press of a deciding key did.
type pressed struct {
	chained bool // it may have been the repeat of a held key
	entry   cull.Entry
}

// plan makes an act durable, beside everything else; Take shows it.
func (d *Desk) plan(a cull.Action, by stroke, tell func(cull.Entry) string) {
	d.keep(a, &pending{tell: tell, by: by})
}

func (d *Desk) keep(a cull.Action, p *pending) {
	e, err := d.session.Plan(a, d.o.Now(), d.o.Who)
	if err != nil {
		d.refuse("%s", reason(err))
		return
	}
	if p.by.press != 0 {
		p.early = d.early.take(d.o.Now())
	}
	d.pending = p
	d.armed = false // until the outcome has been drawn
	d.beside(func() {
		kept, err := d.job.Append(e)
		n := keptNews{err: err}
		if len(kept) > 0 {
			n.entry = kept[0]
		}
		d.mail.put(func(news *News) { news.kept = append(news.kept, n) })
	})
}

// takeKept shows what became of the entry that was on its way.
func (d *Desk) takeKept(n keptNews) {
	p := d.pending
	d.pending = nil
	d.forceShot()
	switch {
	case n.err != nil && !errors.Is(n.err, job.ErrJournal):
		d.say(Fault, false, "NOT kept, nothing was decided: %s", cause(n.err))
	default:
		d.kept(p, n.entry)
		if n.err != nil {
			d.say(Fault, false, "%s; %s: %s", d.notice.Text, job.ErrJournal, cause(n.err))
		}
	}
	for d.pending == nil && len(d.queue) > 0 {
		next := d.queue[0]
		d.queue = d.queue[1:]
		d.do(next.act, next.by)
	}
}

func (d *Desk) kept(p *pending, e cull.Entry) {
	on := d.session.Cursor()
	stay, finish, from, before := d.fanStay(e), d.finishMoment(e), d.scene(), d.grouping(e)
	if err := d.session.Commit(e); err != nil {
		// It is durable and reads back; only this sitting cannot show it.
		d.say(Fault, false, "the decision is kept but cannot be shown: %s; leave and come back", err)
		return
	}
	stay()
	finish()
	before.stay(d)
	d.count(e)
	if answers(e) {
		d.course = cull.NextOpen
	}
	if text := p.tell(e); text != "" {
		text += before.regrouped(d)
		if p.early > 0 {
			text += fmt.Sprintf("; %s before it came too soon and decided nothing", keys(p.early))
		}
		d.say(Said, isStep(e), "%s", text)
	}
	if answers(e) {
		d.lastOfThese(on)
		d.goOnTo(from)
	}
	if c := d.reckon().counts; c.Open == 0 && c.All() > 0 && answers(e) {
		d.say(Said, true, "%s; %s", d.notice.Text, d.finished(c))
	}
	if p.then != nil {
		p.then()
	}
	if p.by.press != 0 && p.by.press == d.press {
		d.did = append(d.did, pressed{p.by.chained, e})
	}
	if p.withdraw {
		d.withdraw()
	}
}

func keys(n int) string {
	if n == 1 {
		return "a key"
	}
	return fmt.Sprintf("%d keys", n)
}

func answers(e cull.Entry) bool {
	switch e.Verb {
	case cull.VerbAnswer, cull.VerbBurst, cull.VerbOnly, cull.VerbMerge:
		return true
	}
	return false
}

// isStep reports whether undo takes an entry back.
func isStep(e cull.Entry) bool {
	switch e.Verb {
	case cull.VerbCorrect, cull.VerbScene, cull.VerbRedo:
		return true
	}
	return answers(e)
}

// count keeps pace and the sum of the sitting.
func (d *Desk) count(e cull.Entry) {
	if len(e.Changes) == 0 {
		return
	}
	n := 0
	for _, c := range e.Changes {
		if c.Before == cull.Open {
			n++
		} else {
			d.sitting.Add(c.Before, -1)
		}
		if c.After == cull.Open {
			n--
		} else {
			d.sitting.Add(c.After, 1)
		}
	}
	d.pace.decided(d.o.Now(), n)
}

// Sitting counts the answers given at this desk, less those taken back.
func (d *Desk) Sitting() cull.Counts { return d.sitting }

// heldText is said when a held key is noticed.
const heldText = "a held key decides once: let it go, then press it again"

// held answers an event of a deciding key that is held down: it decides nothing,
// and what the event before it had decided as if it were a press is withdrawn.
func (d *Desk) held(v verdict) {
	if v.unmasked {
		// What still waits was never done.
		d.queue = slices.DeleteFunc(d.queue, func(q queued) bool { return decides(q.act) && q.by.chained && q.by.press == d.press })
	}
	switch {
	case v.unmasked && d.pending != nil && d.pending.by.press == d.press && d.pending.by.chained:
		d.pending.withdraw = true
	case v.unmasked && d.pending == nil && len(d.did) > 0 && d.did[len(d.did)-1].chained:
		d.withdraw()
	case v.first:
		d.refuse(heldText)
	}
}

// withdraw takes back what the last presses of a deciding key did: they were the
// repeats of a held key. The press that began the hold stands, and what is not the
// last step any more stays as it is.
func (d *Desk) withdraw() {
	n := len(d.did) - 1
	if n < 0 || !d.did[n].chained {
		return
	}
	was := d.did[n].entry
	d.did = d.did[:n]
	var back cull.Action = cull.Undo{}
	of := was.Seq
	switch was.Verb {
	case cull.VerbUndo:
		back, of = cull.Redo{}, was.Of
	case cull.VerbRedo:
		of = was.Of
	}
	e, err := d.session.Plan(back, d.o.Now(), d.o.Who)
	if err != nil || e.Of != of {
		d.refuse(heldText)
		return
	}
	d.keep(back, &pending{then: d.withdraw, tell: func(e cull.Entry) string {
		if len(e.Changes) == 0 {
			return "the key is held down: what it did then is taken back, and it does nothing more"
		}
		return fmt.Sprintf("the key is held down: what it did to %s is taken back, and it decides nothing more", d.some(e.Changes))
	}})
}

// tellStep tells of an undo or redo.
func (d *Desk) tellStep(what string) func(cull.Entry) string {
	return func(e cull.Entry) string {
		if len(e.Changes) == 0 {
			return what // what it was about the groups is added
		}
		return fmt.Sprintf("%s: %s: %s", what, d.some(e.Changes), cull.Summary(e))
	}
}
