package main

import (
	"fmt"
	"os"
	"time"

	"golang.org/x/term"

	"garner/cull/intake"
)

// How often things are said: the block on a terminal is redrawn, a log gets a line
// a card, machine output a progress a card.
const (
	redrawEvery = 250 * time.Millisecond
	logEvery    = time.Minute
	countEvery  = time.Second
)

// teller turns the events of one run into what people and programs see while it
// lasts. Events come one at a time, so it needs no lock.
type teller struct {
	desk
	f            offloadFlags
	partly       bool // only some files of a folder are taken
	live         *live
	destinations []target
	ledgers      map[*intake.Card]*ledger
	finished     func(*intake.Card) // told of each card at once, before the others end; nil = one line says so

	drawn   time.Time
	told    map[*intake.Card]time.Time // last line in a log
	counted map[*intake.Card]time.Time // last progress object
}

// target is a destination and what was written to it so far.
type target struct {
	intake.Destination
	written int64 // bytes
}

func (d desk) newTeller(f offloadFlags) *teller {
	t := &teller{desk: d, f: f, ledgers: map[*intake.Card]*ledger{}, told: map[*intake.Card]time.Time{}, counted: map[*intake.Card]time.Time{}}
	for _, root := range append([]string{f.job}, f.also...) {
		t.destinations = append(t.destinations, target{Destination: intake.Destination{Root: root}})
	}
	// Objects on the same terminal would run through the block.
	if d.paints() && !(f.json && d.outTTY) {
		t.live = &live{out: d.err, size: d.screen}
	}
	return t
}

// paints reports whether stderr is a terminal that takes control codes.
func (d desk) paints() bool { return d.errTTY && d.getenv("TERM") != "dumb" }

// screen is the size of the terminal at stderr, 80x24 if it does not say.
func (d desk) screen() (columns, rows int) {
	if f, ok := d.err.(*os.File); ok {
		if w, h, err := term.GetSize(int(f.Fd())); err == nil && w > 0 && h > 0 {
			return w, h
		}
	}
	return 80, 24
}

// event takes one event of the run.
func (t *teller) event(e intake.Event) {
	for i := range min(len(t.destinations), len(e.Destinations)) {
		root := t.destinations[i].Root // as given
		t.destinations[i].Destination = e.Destinations[i]
		t.destinations[i].Root = root
	}
	switch e.Kind {
	case intake.Planned:
		if t.f.json {
			_ = t.object(t.planObject(e.All))
		}
	case intake.FileDone:
		if e.File != nil {
			t.ledger(e.Card).note(*e.File)
			for i, p := range e.File.Places {
				if p.State == "copied" && i < len(t.destinations) {
					t.destinations[i].written += e.File.Size
				}
			}
			if t.f.json {
				_ = t.object(t.fileObject(e.Card, *e.File))
			}
		}
	case intake.Progress:
		t.count(e.Card)
		t.log(e.Card)
	case intake.CardDone:
		t.cardDone(e.Card)
	}
	t.draw(e)
}

func (t *teller) ledger(c *intake.Card) *ledger {
	l := t.ledgers[c]
	if l == nil {
		l = &ledger{}
		t.ledgers[c] = l
	}
	return l
}

// draw redraws the block, not too often.
func (t *teller) draw(e intake.Event) {
	if t.live == nil || t.f.dry || e.All == nil {
		return
	}
	if now := t.now(); e.Kind != intake.FileDone && e.Kind != intake.Progress || now.Sub(t.drawn) >= redrawEvery {
		t.drawn = now
		columns, rows := t.screen()
		*t.progress = false // the line that stood there is overwritten
		t.live.draw(liveLines(e.All, t.destinations, columns, rows))
	}
}

// clear takes the block away.
func (t *teller) clear() {
	if t.live != nil {
		t.live.clear()
	}
}

// log says now and then, where there is no terminal, how far a card is.
func (t *teller) log(c *intake.Card) {
	if t.live != nil || t.f.dry || c == nil {
		return
	}
	now := t.now()
	last, ok := t.told[c]
	if !ok {
		t.told[c] = now
	}
	if !ok || now.Sub(last) < logEvery || c.Ended {
		return
	}
	t.told[c] = now
	text := fmt.Sprintf("%s: %d of %s, %s of %s", cardShort(c), c.DoneFiles, count(c.Files, "file"), size(c.DoneBytes), size(c.Bytes))
	if c.PerSecond > 0 {
		text += fmt.Sprintf(", %s/s", size(int64(c.PerSecond)))
	}
	if c.Left > 0 {
		text += ", " + left(c.Left)
	}
	t.sayf("%s", text)
}

// count writes how far a card is as an object, at most once a second.
func (t *teller) count(c *intake.Card) {
	if !t.f.json || c == nil {
		return
	}
	if now := t.now(); now.Sub(t.counted[c]) >= countEvery {
		t.counted[c] = now
		_ = t.object(t.progressObject(c))
	}
}

// cardDone rings and says that a card is finished; what it came to is said by the
// closing report, which is not scrolled away by the cards that go on.
func (t *teller) cardDone(c *intake.Card) {
	if t.f.json {
		for _, f := range c.Failed {
			if f.State == intake.Skipped { // no file that anything was tried with
				_ = t.object(t.fileObject(c, f))
			}
		}
		_ = t.object(t.cardObject(c))
	}
	if t.f.dry || t.partly || short(c).undone > 0 { // stopped: the report follows at once
		return
	}
	t.clear()
	if t.paints() {
		fmt.Fprint(t.err, "\a")
	}
	if t.finished != nil {
		t.finished(c)
		return
	}
	t.say(cardShort(c)+" is finished: "+outcome(c, false), 2)
}
