package term

import (
	"bytes"
	"strconv"
)

// The ids of graphics questions that are fences are marked by the upper half;
// the lower half numbers them. Those behind pictures that are sent ahead have
// numbers of their own.
const (
	fenceIDs = 0x6e5f0000
	aheadIDs = 0x6e5d0000
)

// aheadFence marks the id of a fence behind a picture that is sent ahead.
const aheadFence = 1 << 63

// FenceFor returns the question whose answer says that the terminal has taken
// in everything before it. Where the terminal speaks the graphics protocol it
// is a numbered one, whose answer can be told from that to another; inside tmux
// only that reaches the terminal outside, since tmux answers CSI 5 n itself.
// Outside, a picture that is sent ahead in parts has CSI 5 n between them, where
// no graphics command may be.
func FenceFor(c Caps, m Mode) func(id uint64) []byte {
	if m != Kitty && m != KittyCells || !c.Kitty {
		return func(uint64) []byte { return []byte("\x1b[5n") }
	}
	return func(id uint64) []byte {
		marked := fenceIDs
		if id&aheadFence != 0 {
			if !c.Tmux {
				return []byte("\x1b[5n")
			}
			marked = aheadIDs
		}
		q := append([]byte("\x1b_Gi="), strconv.Itoa(marked|int(id&0xffff))...)
		q = append(q, ",a=q,t=d,f=24,s=1,v=1;AAAA\x1b\\"...)
		if c.Tmux {
			return appendTmux(nil, q)
		}
		return q
	}
}

// IsFence reports whether a is the answer to a fence, of either kind.
func IsFence(a Answer) bool {
	return a.Kind == AnswerFence || a.Kind == AnswerGraphics && (a.ID&0xffff0000 == fenceIDs || a.ID&0xffff0000 == aheadIDs)
}

// refusal returns what the terminal said of a picture that it could not show.
func refusal(a Answer) (text string, is bool) {
	if a.Kind != AnswerGraphics || a.OK || IsFence(a) || a.ID >= askDirect && a.ID <= askTemp {
		return "", false
	}
	return a.Text, true
}

// fenceNumber returns the number of a graphics fence and whether it is behind a
// picture that was sent ahead.
func fenceNumber(a Answer) (n uint16, ahead, ok bool) {
	if a.Kind != AnswerGraphics || !IsFence(a) {
		return 0, false, false
	}
	return uint16(a.ID), a.ID&0xffff0000 == aheadIDs, true
}

// numbered reports whether the answer to a question names it.
func numbered(question []byte) bool { return !bytes.HasPrefix(question, []byte("\x1b[")) }
