package term

import "slices"

// How pictures go ahead through the line itself, as to a terminal on another
// machine, where one can take seconds: only the likeliest, and in parts, so that
// a picture that is to be seen does not wait for the rest. The Screen sends the
// next part when the terminal has taken in the last.
const (
	maxInBand  = 2  // pictures
	partChunks = 16 // of 4096 bytes, of which one part consists
)

// streamer is a keeper whose loads may be sent in parts. Nothing that is for the
// terminal's store may come between them.
type streamer interface {
	// part writes the data of a load from an offset on and returns how far it
	// came. With the last of it the picture is in the store.
	part(o *ink, s *sheet, from, chunks int) (to int)
	// cut ends the data where it is; the picture is to be forgotten.
	cut(o *ink)
}

// transfer is a picture whose data is sent in parts.
type transfer struct {
	sheet *sheet
	at    int
}

// Ahead returns the bytes that bring one prepared picture into the terminal's
// store, or a part of it, without showing anything; nil = there is nothing to
// send. They are to be written when the terminal has taken in all that came
// before (see Screen.Ahead). It is valid as Paint says.
func (p *Painter) Ahead() []byte {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.closed || p.keeper == nil {
		return nil
	}
	p.ink.out = p.ink.out[:0]
	a := &p.ahead
	if a.open != nil && a.open.sheet.rank == 0 {
		p.cutOff(&p.ink)
	}
	if a.open == nil { // the terminal has answered: no cell shows these any more
		p.hideGone(p.shown)
	}
	if a.open == nil {
		s := p.sendable()
		if s == nil || !p.store.trim(0, pixelBytes(s.layout)-s.load.size, s.rank) || !p.name(s) {
			if len(p.ink.out) == 0 {
				return nil
			}
			return p.ink.out
		}
		p.forgetLost()
		if s.load.medium != inBand {
			p.keeper.send(&p.ink, s)
			p.kept(s)
			p.files.batch()
			a.kick()
			return p.ink.out
		}
		a.open = &transfer{sheet: s}
	}
	p.part(a.chunks)
	a.kick()
	return p.ink.out
}

// sendable returns the sheet that goes ahead next, nil for none.
func (p *Painter) sendable() *sheet {
	if p.closed || p.keeper == nil {
		return nil
	}
	if open := p.ahead.open; open != nil {
		return open.sheet
	}
	near := 0 // that are not on the screen
	for i := range p.ahead.wanted {
		s := p.store.sheets[p.ahead.wanted[i].key]
		if s == nil || !p.store.shown(s) {
			near++
		}
		if s == nil || !s.made {
			continue
		}
		// tmux would have to be asked whether a part has arrived, which takes a
		// graphics command.
		if s.load.medium == inBand && (near > maxInBand || p.c.Tmux) {
			continue
		}
		return s
	}
	return nil
}

// part goes on with the open transfer.
func (p *Painter) part(chunks int) {
	t := p.ahead.open
	t.at = p.keeper.(streamer).part(&p.ink, t.sheet, t.at, chunks)
	if t.at == len(t.sheet.load.data) {
		p.ahead.open = nil
		p.kept(t.sheet)
	}
}

// settle ends the open transfer before other graphics commands: with the rest of
// the picture if it is to be shown now, else where it is.
func (p *Painter) settle(now []shown) {
	t := p.ahead.open
	if t == nil {
		return
	}
	if slices.ContainsFunc(now, func(n shown) bool { return n.sheet == t.sheet }) {
		p.part(len(t.sheet.load.data))
		return
	}
	p.cutOff(&p.ink)
}

// cutOff ends the open transfer where it is. The load stays.
func (p *Painter) cutOff(o *ink) {
	s := p.ahead.open.sheet
	p.ahead.open = nil
	p.keeper.(streamer).cut(o)
	p.keeper.forget(o, s.id)
	p.ids.give(s.id)
	s.id = 0
}
