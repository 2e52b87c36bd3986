package station

import (
	"fmt"
	"time"

	"garner/cull"
)

// early is what is known of deciding keys that came before their frame could be
// seen. A person who types on has not noticed: the key that comes after it was
// meant to follow what did not happen.
type early struct {
	count  int       // that no decision has told of yet
	last   time.Time // when the last of them was pressed
	typing bool      // what comes next may belong to it
}

const (
	// earlyTold is how long after it a decision still tells of such a key.
	earlyTold = 5 * time.Second
	// earlyChain is how soon after it a key was typed in one go with it.
	earlyChain = 2 * time.Second
)

// take returns how many there are to be told of, and forgets them.
func (e *early) take(at time.Time) int {
	n := e.count
	if at.Sub(e.last) > earlyTold {
		n = 0
	}
	e.count, e.typing = 0, false
	return n
}

// refuseEarly refuses a deciding key that was pressed before its frame could be
// seen, and counts it for the next decision to tell of.
func (d *Desk) refuseEarly(at time.Time) {
	d.early.count++
	d.early.last, d.early.typing = at, true
	d.refuse("%s", d.tooSoon())
}

// chained refuses, once, what would act on more than the frame that is seen as if
// the key before it had decided something: the rest of a moment would be dropped
// without the frame that was to be kept, and undo would take back an older decision.
func (d *Desk) chained(a Act, at time.Time) bool {
	if !d.early.typing {
		return false
	}
	since := at.Sub(d.early.last)
	switch {
	case since <= earlyTold && isUndo(a):
		d.refuse("the last key decided nothing; this key again takes back what was decided before it")
	case since <= earlyChain && d.decidesMany(a):
		d.refuse("nothing decided: the key before it came too soon and decided nothing; look, then go on")
	default:
		return false
	}
	d.early.typing = false
	return true
}

func isUndo(a Act) bool {
	_, ok := a.(Undo)
	return ok
}

// decidesMany reports the acts that decide more than the frame under the cursor.
func (d *Desk) decidesMany(a Act) bool {
	switch a.(type) {
	case Burst, AnswerAlikes, Only, Merge:
		return true
	case Answer:
		return d.AsksToMerge()
	}
	return false
}

// tooSoon says why a deciding key does nothing that was pressed before its frame
// could be seen.
func (d *Desk) tooSoon() string {
	id := d.session.Cursor()
	switch {
	case d.pending != nil:
		return "nothing decided: the last decision is still on its way to the disk"
	case d.drawn[id]:
		return "nothing decided: the screen has not caught up with the key before it yet"
	}
	return fmt.Sprintf("nothing decided: %s is not on the screen yet", d.name(id))
}

// stayKept tells of the others of a moment that stay kept beside the only one.
func (d *Desk) stayKept(id cull.ID) string {
	n := 0
	for _, other := range d.session.Moment(id) {
		if dec := d.session.Decision(d.session.CursorPass(), other); other != id && dec.Answer == cull.Yes && dec.Explicit {
			n++
		}
	}
	switch n {
	case 0:
		return ""
	case 1:
		return "; 1 more stays kept, which was decided by itself"
	}
	return fmt.Sprintf("; %d more stay kept, which were decided by themselves", n)
}
