package intake

import (
	"sync"
	"time"
)

// newsEvery is the least time between two events of progress.
const newsEvery = 100 * time.Millisecond

// news passes events on, one at a time. Everything that changes in a [Card] while
// a run lasts is changed inside it.
type news struct {
	mu    sync.Mutex
	event func(Event)
	now   func() time.Time
	cards []*Card
	dests []*destination
	last  time.Time
}

// tell changes something and tells about it.
func (n *news) tell(e Event, change func()) {
	n.mu.Lock()
	defer n.mu.Unlock()
	if change != nil {
		change()
	}
	if n.event == nil {
		return
	}
	now := n.now()
	if e.Kind == Progress {
		if now.Sub(n.last) < newsEvery {
			return
		}
		n.last = now
	}
	if e.Card != nil {
		e.Card.reckon(now)
	}
	e.All = n.cards
	for _, d := range n.dests {
		d.mu.Lock()
		e.Destinations = append(e.Destinations, d.Destination)
		d.mu.Unlock()
	}
	n.event(e)
}

// reckon works out the rate and the time left.
func (c *Card) reckon(now time.Time) {
	took := now.Sub(c.Began)
	if c.Began.IsZero() || took < time.Second || c.DoneBytes <= 0 || c.Ended {
		return
	}
	c.PerSecond = float64(c.DoneBytes) / took.Seconds()
	c.Left = time.Duration(float64(max(c.Bytes-c.DoneBytes, 0)) / c.PerSecond * float64(time.Second))
}
