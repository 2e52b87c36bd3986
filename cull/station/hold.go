package station

import "time"

const (
	// repeatGap is the longest pause between two events of one key that a held
	// key makes. No hand is as quick, and keyboards repeat 11 to 40 times a second
	// (common practice; DESIGN section 3).
	repeatGap = 100 * time.Millisecond
	// firstRepeat is the longest pause that systems let pass between the press and
	// the first repeat (common practice: 250 to 660 ms, at most 2 s).
	firstRepeat = 2 * time.Second
	// stalled is how far apart two repeats may arrive when the machine or the line
	// is busy, so that the second is taken for a press. No hand decides as quickly
	// on what it sees.
	stalled = 180 * time.Millisecond
)

// Press is one event of a key.
type Press struct {
	Key     string
	At      time.Time // when it was read
	Repeat  bool      // the terminal says that the key is held
	Precise bool      // the terminal reports key events, so that Repeat can be relied on
}

// hold tells presses from the auto-repeat of a held key where the terminal does
// not. The first repeat of a held key looks like a press: only the next one,
// soon after it, shows what it was.
type hold struct {
	key    string
	at     time.Time
	chain  bool // the last event came after another of its key, soon enough to be that one's first repeat
	repeat bool // the last event was a repeat
}

// verdict is what an event of a key is.
type verdict struct {
	repeat   bool // it decides nothing
	first    bool // and is the first that is seen to be one
	unmasked bool // the event before it was a repeat too, and had been taken for a press
	chain    bool // it may be the first repeat of an earlier press of its key
	quick    bool // or a later one that was held up
}

func (h *hold) press(p Press) verdict {
	last := *h
	gap := p.At.Sub(last.at)
	same := p.Key == last.key && gap >= 0
	*h = hold{key: p.Key, at: p.At, chain: same && gap <= firstRepeat}
	switch {
	case p.Precise:
		h.repeat = p.Repeat
		return verdict{repeat: p.Repeat, first: p.Repeat && !last.repeat}
	case p.Repeat || same && gap <= repeatGap:
		h.repeat = true
		return verdict{repeat: true, first: !last.repeat, unmasked: !p.Repeat && last.chain && !last.repeat}
	}
	return verdict{chain: h.chain, quick: same && gap <= stalled}
}
