package station

import (
	"sync"

	"garner/cull"
	"garner/cull/measure"
	"garner/cull/prepare"
)

// News is what the desk's work has brought. It goes from Next to Take unread.
type News struct {
	kept     []keptNews
	pictures []pictureNews
	filled   *filledNews
	joined   *joinedNews
	light    *lightNews
	measured []measuredNews

	measuring   *measure.Progress
	measureDone *measureDoneNews

	consent  *consentNews
	stands   *standsNews
	progress *prepare.Progress
	warnings []string
	done     *doneNews
	broke    error
}

// keptNews is the end of an entry's way to the disk.
type keptNews struct {
	entry cull.Entry
	err   error
}

// pictureNews is the end of the making of a picture, or of what pictures are made
// from.
type pictureNews struct {
	key     string
	request uint64
	wish    wish
	made    made
	err     error
}

// filledNews is what preparation has saved since it was last taken in.
type filledNews struct {
	frames  map[cull.ID]cull.Frame
	layout  *cull.Layout // nil = as it was
	bodies  []cull.Body
	aliases map[cull.ID]cull.ID
	err     error // it could not be read
}

// joinedNews is a newer layout, and how it goes together with the one that was
// walked.
type joinedNews struct {
	number  int
	newer   cull.Layout
	layouts int     // how many had been taken over
	cursor  cull.ID // where it was
	layout  cull.Layout
	arrived int
}

// doneNews is the end of preparation.
type doneNews struct {
	sum prepare.Summary
	err error
}

// mailbox collects news until it is taken. What is overtaken by newer news of
// its kind is dropped, so that it never grows with time.
type mailbox struct {
	mu     sync.Mutex
	news   News
	wake   chan struct{} // has room for one: there is news
	closed chan struct{}
	once   sync.Once
}

func newMailbox() *mailbox {
	return &mailbox{wake: make(chan struct{}, 1), closed: make(chan struct{})}
}

// put lets add change the news that waits.
func (m *mailbox) put(add func(*News)) {
	m.mu.Lock()
	add(&m.news)
	m.mu.Unlock()
	select {
	case m.wake <- struct{}{}:
	default:
	}
}

// takeKept takes the entries that were kept out of the news that waits.
func (m *mailbox) takeKept() []keptNews {
	m.mu.Lock()
	defer m.mu.Unlock()
	kept := m.news.kept
	m.news.kept = nil
	return kept
}

func (m *mailbox) close() { m.once.Do(func() { close(m.closed) }) }

// Next waits for news and returns it; false when the desk was closed. It may be
// called from another goroutine than the desk's own, by one at a time.
func (d *Desk) Next() (News, bool) {
	select {
	case <-d.mail.wake:
		d.mail.mu.Lock()
		defer d.mail.mu.Unlock()
		n := d.mail.news
		d.mail.news = News{}
		return n, true
	case <-d.mail.closed:
		return News{}, false
	}
}

// Take folds news in.
func (d *Desk) Take(n News) {
	for _, k := range n.kept {
		d.takeKept(k)
	}
	if n.joined != nil {
		d.takeJoined(*n.joined)
	}
	if n.filled != nil {
		d.takeFilled(*n.filled)
	}
	for _, p := range n.pictures {
		d.takePicture(p)
	}
	if n.light != nil {
		d.takeLight(*n.light)
	}
	for _, m := range n.measured {
		d.takeMeasured(m)
	}
	if n.consent != nil {
		d.takeConsent(*n.consent)
	}
	if n.stands != nil {
		d.takeStands(*n.stands)
	}
	if n.measuring != nil {
		d.measuring.progress = *n.measuring
	}
	if n.measureDone != nil {
		d.takeMeasureDone(*n.measureDone)
	}
	if n.progress != nil {
		d.filling.progress = *n.progress
	}
	for _, w := range n.warnings {
		d.Murmur("%s", w)
	}
	if n.broke != nil {
		d.broke = n.broke
	}
	if n.done != nil {
		d.takeDone(*n.done)
	}
	d.version++
	d.renew()
}
