package term

import (
	"errors"
	"fmt"
	"io"
	"os"
	"sync"
	"time"
)

// Limits of a Screen.
const (
	fenceLimit = 2 * time.Second // without an answer: the next picture goes out all the same
	closeLimit = time.Second     // for what is left at the end
	queueLimit = 8 << 20         // bytes
)

// ErrStuck says that the terminal did not take what was left at the end.
var ErrStuck = errors.New("the terminal does not read")

// ErrRefused says that the terminal could not show a picture, with its reason.
var ErrRefused = errors.New("the terminal refused the picture")

var errNothing = errors.New("the picture could not be made")

// Screen is the one writer of a terminal's bytes. Text goes out in order and
// is never dropped but all at once (see ScreenOptions.Lost); of pictures the
// newest wins, and none goes out before the terminal has answered for the last
// one, so that a slow terminal skips pictures instead of falling behind.
// Nothing blocks the caller. All methods may be called from any goroutine.
type Screen struct {
	w io.Writer
	o ScreenOptions

	mu      sync.Mutex
	queue   queue
	slot    *Landing // the shot that waits
	build   func() []byte
	ahead   func() []byte // what waits to be sent ahead
	aheads  uint64        // how many were
	flights flights
	acks    []ack
	fences  uint64   // written so far
	asked   []uint64 // how many had been when the other question was asked, for each time it was
	sure    bool     // the terminal answers that question
	proven  uint64   // fences up to this one are answered or lost
	refused error    // of the picture whose fence is answered next
	err     error
	closing bool

	wake chan struct{} // something has changed
	done chan struct{} // the writer has ended
}

// NewScreen starts the writer of w. Close ends it.
func NewScreen(w io.Writer, o ScreenOptions) *Screen {
	if o.Limit <= 0 {
		o.Limit = fenceLimit
	}
	if o.Queue <= 0 {
		o.Queue = queueLimit
	}
	if o.Now == nil {
		o.Now = time.Now
	}
	s := &Screen{w: w, o: o, wake: make(chan struct{}, 1), done: make(chan struct{})}
	s.queue.limit = o.Queue
	s.SetFence(o.Fence, o.NoFence)
	go s.run()
	return s
}

// SetFence sets the question that is written after a picture, from the next
// one on; none for no question at all.
func (s *Screen) SetFence(fence func(id uint64) []byte, none bool) {
	if fence == nil {
		fence = FenceFor(Caps{}, Blocks)
	}
	s.mu.Lock()
	s.o.Fence, s.o.NoFence = fence, none
	s.mu.Unlock()
}

// Write queues a frame of the renderer. It fails after a write has failed and
// after Close.
func (s *Screen) Write(p []byte) (int, error) {
	if err := s.push(p, false); err != nil {
		return 0, err
	}
	return len(p), nil
}

// Send queues other bytes in order with the frames; these stay when frames are
// dropped.
func (s *Screen) Send(p []byte) { _ = s.push(p, true) }

func (s *Screen) push(p []byte, keep bool) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.err != nil {
		return s.err
	}
	if s.closing {
		return os.ErrClosed
	}
	if len(p) > 0 {
		s.queue.push(p, keep)
		s.kick()
	}
	return nil
}

// Show asks for a picture. One that has not begun is replaced and never heard
// of again.
func (s *Screen) Show(shot Shot) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.err != nil || s.closing {
		return
	}
	s.slot, s.build = &Landing{ID: shot.ID, Asked: s.o.Now()}, shot.Build
	s.kick()
}

// Ahead asks for bytes that show nothing yet, such as a picture for the
// terminal's store. build is run on the writer when no text and no picture
// waits and the terminal has answered for all that it got; one that has not
// begun is replaced. Behind its bytes comes a fence, and until that is answered
// no other goes ahead, however long it takes: a terminal that has stopped gets
// one at most. Pictures that are to be seen don't wait for it. Where nothing is
// asked, nothing goes ahead.
func (s *Screen) Ahead(build func() []byte) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.err != nil || s.closing {
		return
	}
	s.ahead = build
	s.kick()
}

// Fenced says that the terminal has answered a fence.
func (s *Screen) Fenced() { s.ack(ack{}) }

// Answered takes an answer of the terminal and reports whether it was the
// screen's. It knows more than Fenced: a numbered fence finds its picture
// though answers before it were lost, and a picture that the terminal refused
// is Failed with ErrRefused when its fence is answered, not Drawn.
func (s *Screen) Answered(a Answer) bool {
	if text, is := refusal(a); is {
		s.mu.Lock()
		if s.refused == nil { // the first says why, others follow from it
			s.refused = fmt.Errorf("%w: %s", ErrRefused, text)
		}
		s.mu.Unlock()
		return true
	}
	if a.Kind == AnswerDevice {
		return s.proved()
	}
	if !IsFence(a) {
		return false
	}
	n, ahead, ok := fenceNumber(a)
	s.ack(ack{number: n, ahead: ahead, numbered: ok})
	return true
}

// proved takes the answer to the other question.
func (s *Screen) proved() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	if len(s.asked) == 0 {
		return false
	}
	s.proven, s.asked, s.sure = s.asked[0], s.asked[1:], true
	s.kick()
	return true
}

func (s *Screen) ack(a ack) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if len(s.acks) >= len(s.flights) {
		return // an answer that nobody waits for
	}
	a.at = s.o.Now()
	a.err, s.refused = s.refused, nil
	s.acks = append(s.acks, a)
	s.kick()
}

// Err returns the first error of a write.
func (s *Screen) Err() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.err
}

// Close writes the text that is left and ends the writer; a picture that waits
// is dropped. It returns the first error of a write. Where the terminal does
// not read it gives up after a second with ErrStuck; the writer then ends when
// its write does, at the latest when the terminal is closed.
func (s *Screen) Close() error {
	s.mu.Lock()
	s.closing, s.slot, s.ahead = true, nil, nil
	s.kick()
	s.mu.Unlock()
	if s.ended() {
		return s.Err()
	}
	// A file of the runtime's poller can be freed; for others this fails.
	if d, ok := s.w.(interface{ SetWriteDeadline(time.Time) error }); ok && d.SetWriteDeadline(time.Unix(1, 0)) == nil {
		<-s.done
	}
	return ErrStuck
}

func (s *Screen) ended() bool {
	t := time.NewTimer(closeLimit)
	defer t.Stop()
	select {
	case <-s.done:
		return true
	case <-t.C:
		return false
	}
}

func (s *Screen) kick() {
	select {
	case s.wake <- struct{}{}:
	default:
	}
}

// job is what the writer does next.
type job struct {
	text     []byte
	shot     *Landing
	build    func() []byte
	ahead    bool                // build is for the terminal's store only
	fence    func(uint64) []byte // nil: none
	again    *Landing            // a picture that is on the screen and whose fence is to be written anew
	ask      bool                // the other question is to be asked
	lost     bool
	landings []Landing
	wait     time.Duration // until the flight is late; 0 = for ever
	end      bool
}

func (s *Screen) run() {
	defer close(s.done)
	var buf []byte
	for {
		j := s.next(buf[:0])
		for _, l := range j.landings {
			s.landed(l)
		}
		if j.lost && s.o.Lost != nil {
			s.o.Lost()
		}
		if j.ahead {
			s.send(j)
			continue
		}
		if len(j.text) > 0 || j.shot != nil || j.again != nil || j.ask {
			s.write(j)
			if buf = j.text; cap(buf) > 1<<20 {
				buf = nil
			}
			continue
		}
		if j.end {
			return
		}
		if len(j.landings) == 0 && !j.lost {
			s.rest(j.wait)
		}
	}
}

func (s *Screen) rest(wait time.Duration) {
	var timeout <-chan time.Time
	if wait > 0 {
		t := time.NewTimer(wait)
		defer t.Stop()
		timeout = t.C
	}
	select {
	case <-s.wake:
	case <-timeout:
	}
}

// next takes what there is to do.
func (s *Screen) next(buf []byte) (j job) {
	s.mu.Lock()
	defer s.mu.Unlock()
	now := s.o.Now()
	for _, a := range s.acks {
		if l, ok := s.flights.answered(a); ok {
			j.landings = append(j.landings, l)
		}
	}
	s.acks = s.acks[:0]
	if s.proven > 0 {
		// The fence of what is still on the screen was lost: it is asked again.
		if last, ok := s.flights.lost(s.proven); ok && last.number == s.fences {
			j.again, j.fence = &last.Landing, s.o.Fence
		}
		s.proven = 0
	}
	if !s.sure {
		s.flights.forget(now)
	}
	if l, ok := s.flights.expire(now, s.o.Limit); ok {
		j.landings = append(j.landings, l)
		if numbered(s.o.Fence(l.ID)) {
			j.again, j.fence = &l, s.o.Fence // an answer to either tells the same
		} else {
			j.ask = true
		}
	}
	j.text = s.queue.take(buf)
	j.lost, s.queue.lost = s.queue.lost, false
	j.end = s.closing || s.err != nil
	if s.err != nil {
		j.text, s.slot, s.ahead = nil, nil, nil
		return j
	}
	if s.flights.open() {
		j.wait = max(s.o.Limit-now.Sub(s.flights.last().Written), time.Nanosecond)
	} else if s.slot != nil && j.again == nil {
		j.shot, j.build = s.slot, s.build
		s.slot, s.build = nil, nil
		if len(s.flights) == 0 {
			s.refused = nil // of a picture that nobody waits for
		}
		if !s.o.NoFence {
			j.fence = s.o.Fence
		}
	} else if s.ahead != nil && len(s.flights) == 0 && len(j.text) == 0 && j.again == nil && !s.o.NoFence && !j.end {
		j.ahead, j.build, j.fence = true, s.ahead, s.o.Fence
		s.ahead = nil
	}
	return j
}

// send writes what is sent ahead, and its fence.
func (s *Screen) send(j job) {
	p, err := build(j.build)
	if err != nil || len(p) == 0 || s.put(p) != nil {
		return
	}
	s.mu.Lock()
	s.aheads++
	l := Landing{ID: s.aheads | aheadFence}
	s.mu.Unlock()
	s.fence(l, j.fence, true, false)
}

// write writes text and picture at once, and then the fence by itself: an
// answer that comes before the fence was written belongs to an older one.
func (s *Screen) write(j job) {
	out, l := j.text, j.shot
	if l != nil {
		p, err := build(j.build)
		if err != nil {
			l.Err, l.State = err, Failed
		}
		l.Built, l.Bytes = s.o.Now(), len(p)
		if len(out) > 0 {
			p = append(out, p...)
		}
		out = p
	}
	err := s.put(out)
	if err == nil && j.ask {
		s.mu.Lock()
		s.asked = append(s.asked, s.fences)
		s.mu.Unlock()
		err = s.put([]byte(otherQuestion))
	}
	if err == nil && j.again != nil {
		s.fence(*j.again, j.fence, false, numbered(j.fence(j.again.ID)))
	}
	if l == nil {
		return
	}
	if l.Written = s.o.Now(); err != nil {
		l.Err, l.State = err, Failed
	}
	s.landed(*l)
	if l.Err != nil || j.fence == nil {
		return
	}
	s.fence(*l, j.fence, false, false)
}

// fence asks for an answer to a picture that has been written; standing says that
// one is waited for already.
func (s *Screen) fence(l Landing, question func(uint64) []byte, ahead, standing bool) {
	id := l.ID &^ aheadFence
	if ahead {
		id |= aheadFence
	}
	q := question(id)
	if !standing {
		s.mu.Lock()
		s.fences++
		l.Written = s.o.Now()
		s.flights = append(s.flights, flight{Landing: l, number: s.fences, numbered: numbered(q), ahead: ahead})
		s.mu.Unlock()
	}
	if err := s.put(q); err != nil && !ahead {
		l.Err, l.State = err, Failed
		s.landed(l)
	}
}

// put writes and keeps the first error.
func (s *Screen) put(p []byte) error {
	if len(p) == 0 {
		return nil
	}
	_, err := s.w.Write(p)
	if err != nil {
		s.mu.Lock()
		if s.err == nil {
			s.err = err
		}
		s.mu.Unlock()
	}
	return err
}

func (s *Screen) landed(l Landing) {
	if s.o.Landed != nil {
		s.o.Landed(l)
	}
}

// build runs a shot's Build. A fault in it is one picture less, not the end of
// the program with the terminal in disorder.
func build(f func() []byte) (p []byte, err error) {
	defer func() {
		if r := recover(); r != nil {
			p, err = nil, fmt.Errorf("the picture could not be made: %v", r)
		}
	}()
	if f == nil {
		return nil, nil
	}
	if p = f(); p == nil {
		return nil, errNothing
	}
	return p, nil
}
