package term

import (
	"errors"
	"fmt"
	"sync"
)

// maxWaiting bounds the files that wait for the terminal to be told of them.
const maxWaiting = 3

var errNotThere = errors.New("nobody prepares the picture")

// ahead is the preparing of pictures that are wanted next, on a goroutine of its
// own. All but the goroutine's own is guarded by the painter's lock, which it
// never holds while it works.
type ahead struct {
	wanted  []wish
	task    *task // that the goroutine works on
	open    *transfer
	chunks  int           // that go at once
	stop    chan struct{} // nil until the goroutine runs
	wake    chan struct{}
	running sync.WaitGroup
}

// wish is a picture that is wanted.
type wish struct {
	key
	piece  Piece
	failed bool // it cannot be prepared
}

// task is a picture that is being prepared.
type task struct {
	sheet sheet // the task's own
	done  chan struct{}
	load  load // when done is closed
	err   error
	taken bool // by somebody who could not wait until the goroutine hands it on
}

// Want says which pictures will probably be shown next, the likeliest first.
// They are prepared one after the other, as many as are kept; whatever is no
// longer wanted is dropped. The picture that was just asked for belongs at the
// head: it is prepared while the terminal still takes in the one before. It
// returns at once.
func (p *Painter) Want(pieces []Piece) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.closed {
		return
	}
	a := &p.ahead
	for _, s := range p.store.sheets {
		s.rank = 0
	}
	clear(a.wanted)
	a.wanted = a.wanted[:0]
	sum := p.store.onScreen()
	for i := range pieces {
		area := p.clip(pieces[i].Area)
		if area.Cols == 0 || area.Rows == 0 || !pieces[i].Picture.Valid() {
			continue
		}
		w := wish{key: keyOf(&pieces[i], p.fit(pieces[i].Picture, area)), piece: pieces[i]}
		if a.rank(w.key) != 0 {
			continue
		}
		s := p.store.sheets[w.key]
		if s == nil || !p.store.shown(s) {
			sum += pixelBytes(w.layout)
		}
		if len(a.wanted) == p.store.limit || sum > p.store.bytes {
			break
		}
		a.wanted = append(a.wanted, w)
		if s != nil {
			s.rank = len(a.wanted)
			p.store.use(s)
		}
	}
	if p.keeper != nil { // the terminal keeps what was shown; nobody needs what waits for it
		for _, s := range p.store.sheets {
			if s.rank == 0 && s.made && s.id == 0 {
				p.store.drop(s)
			}
		}
	}
	if a.stop == nil && len(a.wanted) > 0 {
		stop := make(chan struct{})
		a.stop = stop
		a.running.Go(func() { p.prepare(stop) })
	}
	a.kick()
}

// rank returns the place of a key among those that are wanted, from 1, or 0.
func (a *ahead) rank(k key) int {
	for i := range a.wanted {
		if a.wanted[i].key == k {
			return i + 1
		}
	}
	return 0
}

func (a *ahead) kick() {
	select {
	case a.wake <- struct{}{}:
	default:
	}
}

// prepare prepares what is wanted until it is stopped.
func (p *Painter) prepare(stop <-chan struct{}) {
	e := &easel{stop: stop}
	for {
		p.mu.Lock()
		j := p.next()
		ready := p.sendable() != nil || len(p.gone) > 0
		p.mu.Unlock()
		if ready && p.o.Ready != nil {
			p.o.Ready()
		}
		p.files.sweep()
		if j == nil {
			select {
			case <-p.ahead.wake:
				continue
			case <-stop:
				return
			}
		}
		j.load, j.err = prepare(p.way, e, &j.sheet)
		close(j.done)
		p.mu.Lock()
		p.deliver(j)
		p.mu.Unlock()
		if e.stopped() {
			return
		}
	}
}

// prepare runs a way's prepare. A fault in it is one picture less, not the end
// of the program with the terminal in disorder.
func prepare(w way, e *easel, s *sheet) (l load, err error) {
	defer func() {
		if r := recover(); r != nil {
			l, err = load{}, fmt.Errorf("the picture could not be prepared: %v", r)
		}
	}()
	return w.prepare(e, s)
}

// next returns what is to be prepared next, nil for nothing.
func (p *Painter) next() *task {
	if p.closed {
		return nil
	}
	waiting := 0
	for _, s := range p.store.sheets {
		if s.made && s.load.file != "" {
			waiting++
		}
	}
	if waiting >= maxWaiting {
		return nil
	}
	for i := range p.ahead.wanted {
		w := &p.ahead.wanted[i]
		if s := p.store.sheets[w.key]; w.failed || s != nil && s.held() {
			continue
		}
		j := &task{sheet: sheet{key: w.key, picture: w.piece.Picture, jpeg: w.piece.JPEG}, done: make(chan struct{})}
		p.ahead.task = j
		return j
	}
	return nil
}

// deliver puts what was prepared into the store, if it is still wanted.
func (p *Painter) deliver(j *task) {
	p.ahead.task = nil
	if j.taken {
		return
	}
	rank := p.ahead.rank(j.sheet.key)
	if j.err != nil {
		if rank != 0 {
			p.ahead.wanted[rank-1].failed = true
		}
		return
	}
	s := p.store.sheets[j.sheet.key]
	if p.closed || rank == 0 || s != nil && s.held() || !p.store.trim(1, j.load.size, rank) {
		p.discard(j.load)
		if rank != 0 {
			p.ahead.wanted[rank-1].failed = s == nil // there is no room for it
		}
		return
	}
	if s == nil {
		s = &sheet{key: j.sheet.key}
		p.store.sheets[s.key] = s
	}
	s.made, s.load, s.rank = true, j.load, rank
	p.store.use(s)
}

// adopt waits for a sheet that is being prepared and takes it. That is less work
// than preparing it again.
func (a *ahead) adopt(s *sheet) (load, error) {
	j := a.task
	if j == nil || j.taken || j.sheet.key != s.key {
		return load{}, errNotThere
	}
	<-j.done
	if j.err == nil {
		j.taken = true
	}
	return j.load, j.err
}

// close ends the goroutine and waits for it. The painter is closed by then.
func (a *ahead) close(stop chan struct{}) {
	if stop != nil {
		close(stop)
	}
	a.running.Wait()
}
