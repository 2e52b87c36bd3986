package main

// The rules of talking to the person at the terminal:
//
//   - everything for people goes to stderr, one sentence a line, as
//     "garner: …", lower case, no final period;
//   - an error is "garner: error: …" and, where something can be done about it,
//     "garner: hint: …" with a command that can be typed as it stands;
//   - stdout carries only what was asked for: --json, or lines that are the
//     product of the command;
//   - names out of files are never printed raw: cull.Plain() makes control and
//     bidirectional characters visible.

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/user"
	"sync"
	"time"
	"unicode/utf16"
	"unicode/utf8"

	"golang.org/x/term"

	"garner/cull"
)

// desk is what a command has to work with: the process's streams and facts,
// passed in so that tests can stand in for them.
type desk struct {
	in       io.Reader
	out, err io.Writer
	now      func() time.Time
	getenv   func(string) string
	errTTY   bool // stderr is a terminal
	outTTY   bool // stdout is a terminal
	inTTY    bool // stdin is a terminal
	quit     func(code int)

	mu       *sync.Mutex
	progress *bool // a progress line stands on the terminal
}

// system is the desk of the real process.
func system() desk {
	return desk{
		in: os.Stdin, out: os.Stdout, err: os.Stderr, now: time.Now, getenv: os.Getenv, quit: os.Exit,
		errTTY: term.IsTerminal(int(os.Stderr.Fd())), outTTY: term.IsTerminal(int(os.Stdout.Fd())),
		inTTY: term.IsTerminal(int(os.Stdin.Fd())),
		mu:    new(sync.Mutex), progress: new(bool),
	}
}

func (d desk) sayf(format string, args ...any)   { d.line("garner: ", format, args) }
func (d desk) errorf(format string, args ...any) { d.line("garner: error: ", format, args) }
func (d desk) hintf(format string, args ...any)  { d.line("garner: hint: ", format, args) }

func (d desk) line(prefix, format string, args []any) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if *d.progress {
		fmt.Fprint(d.err, "\r\x1b[K")
		*d.progress = false
	}
	fmt.Fprintf(d.err, prefix+format+"\n", args...)
}

// progressf rewrites the progress line; without a terminal it says nothing, so
// that logs stay readable.
func (d desk) progressf(format string, args ...any) {
	if !d.errTTY {
		return
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	fmt.Fprintf(d.err, "\r\x1b[Kgarner: "+format, args...)
	*d.progress = true
}

// object writes one line of machine output.
func (d desk) object(v any) error {
	b, err := json.Marshal(v)
	if err != nil {
		return err
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	_, err = d.out.Write(append(harmless(b), '\n'))
	return err
}

// harmless writes the characters of encoded JSON that act on a terminal, which
// can only stand inside its strings, as the escapes that mean the same.
func harmless(b []byte) []byte {
	if cull.Plain(string(b)) == string(b) {
		return b
	}
	var out []byte
	for _, r := range string(b) {
		switch s := string(r); {
		case r == utf8.RuneError || cull.Plain(s) == s:
			out = append(out, s...)
		default:
			for _, u := range utf16.Encode([]rune{r}) {
				out = fmt.Appendf(out, `\u%04x`, u)
			}
		}
	}
	return out
}

// who names the person who decides when --who does not.
func (d desk) who() string {
	if u, err := user.Current(); err == nil && u.Username != "" {
		return u.Username
	}
	for _, k := range []string{"USER", "USERNAME"} {
		if v := d.getenv(k); v != "" {
			return v
		}
	}
	return "unknown"
}
