package decide

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"strings"

	"garner/cull"
)

// line is one line of input, or why it is none.
type line struct {
	text string
	err  error
}

// command parses the line; the zero Command is an empty line or a comment.
func (l line) command() (cull.Command, error) {
	if l.err != nil {
		return cull.Command{}, l.err
	}
	return cull.ParseLine(l.text)
}

// nextLines waits for one line and takes along what has arrived with it, so
// that lines that came together share a commit.
func nextLines(r *bufio.Reader) (lines []line, err error) {
	for len(lines) < maxBatch {
		l, ok, err := readLine(r)
		if ok {
			lines = append(lines, l)
		}
		if err != nil {
			return lines, err
		}
		waiting, _ := r.Peek(r.Buffered())
		if bytes.IndexByte(waiting, '\n') < 0 {
			break
		}
	}
	return lines, nil
}

// readLine reads one line of bounded length; a longer one is passed over and
// refused. ok is false at the end of the input.
func readLine(r *bufio.Reader) (l line, ok bool, err error) {
	var b []byte
	long := false
	for {
		part, err := r.ReadSlice('\n')
		if len(b)+len(part) > cull.MaxLine {
			long = true
			b = b[:min(len(b), 64)]
		} else {
			b = append(b, part...)
		}
		if err == bufio.ErrBufferFull {
			continue
		}
		if err != nil && len(b) == 0 {
			return line{}, false, err
		}
		if err != nil && err != io.EOF {
			return line{}, false, err
		}
		l.text = strings.TrimRight(string(b), "\r\n")
		if long {
			l.err = fmt.Errorf("the line is longer than %d bytes", cull.MaxLine)
		}
		return l, true, err
	}
}

// shown is a line as it is echoed: without its comment's checksum and never
// with anything that acts on a terminal.
func shown(s string) string {
	const most = 200
	if i := strings.Index(s, " ; seq="); i >= 0 {
		s = s[:i]
	}
	if len(s) > most {
		s = s[:most] + "…"
	}
	return cull.Plain(s)
}
