package term

import "strconv"

// fenceIDs marks the ids of graphics questions that are fences. The lower half
// numbers them.
const fenceIDs = 0x6e5f0000

// FenceFor returns the question whose answer says that the terminal has taken
// in everything before it. Where the terminal speaks the graphics protocol it
// is a numbered one, whose answer can be told from that to another; inside tmux
// only that reaches the terminal outside, since tmux answers CSI 5 n itself.
func FenceFor(c Caps, m Mode) func(id uint64) []byte {
	if m == Blocks || !c.Kitty {
		return func(uint64) []byte { return []byte("\x1b[5n") }
	}
	return func(id uint64) []byte {
		q := append([]byte("\x1b_Gi="), strconv.Itoa(fenceIDs|int(id&0xffff))...)
		q = append(q, ",a=q,t=d,f=24,s=1,v=1;AAAA\x1b\\"...)
		if c.Tmux {
			return appendTmux(nil, q)
		}
		return q
	}
}

// IsFence reports whether a is the answer to a fence, of either kind.
func IsFence(a Answer) bool {
	return a.Kind == AnswerFence || a.Kind == AnswerGraphics && a.ID&0xffff0000 == fenceIDs
}

// refusal returns what the terminal said of a picture that it could not show.
func refusal(a Answer) (text string, is bool) {
	if a.Kind != AnswerGraphics || a.OK || IsFence(a) || a.ID >= askDirect && a.ID <= askTemp {
		return "", false
	}
	return a.Text, true
}

// fenceNumber returns the number of a graphics fence.
func fenceNumber(a Answer) (uint16, bool) {
	if a.Kind != AnswerGraphics || !IsFence(a) {
		return 0, false
	}
	return uint16(a.ID), true
}
