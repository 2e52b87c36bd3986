package term

import "bytes"

// appendTmux appends seq in tmux's envelope for the terminal outside, DCS tmux;
// with each ESC doubled. tmux drops it unless allow-passthrough is on.
func appendTmux(out, seq []byte) []byte {
	out = append(out, "\x1bPtmux;"...)
	for {
		i := bytes.IndexByte(seq, esc)
		if i < 0 {
			break
		}
		out = append(out, seq[:i]...)
		out = append(out, esc, esc)
		seq = seq[i+1:]
	}
	out = append(out, seq...)
	return append(out, "\x1b\\"...)
}
