//go:build linux || darwin

package testterm

import (
	"fmt"
	"regexp"
	"strings"
	"time"
)

// WaitFor waits until the condition holds, looking after every piece of output
// that is not inside a synchronised update. The condition is called with the
// run locked: it may ask the grid only, and must not keep it.
func (r *Run) WaitFor(cond func(*Grid) bool) {
	r.t.Helper()
	r.waitFor("what the test waits for", cond)
}

// WaitText waits until the text on the screen matches a regular expression.
func (r *Run) WaitText(pattern string) {
	r.t.Helper()
	re, err := regexp.Compile(pattern)
	if err != nil {
		r.t.Fatal(err)
	}
	r.waitFor(fmt.Sprintf("a text like %q", pattern), func(g *Grid) bool { return re.MatchString(g.Text()) })
}

// WaitHeld waits until the answers to at least n fences are kept back.
func (r *Run) WaitHeld(n int) {
	r.t.Helper()
	r.waitFor(fmt.Sprintf("%d fences kept back", n), func(*Grid) bool { return len(r.held) >= n })
}

func (r *Run) waitFor(what string, cond func(*Grid) bool) {
	r.t.Helper()
	timer := time.NewTimer(r.wait)
	defer timer.Stop()
	for ended := false; ; {
		r.mu.Lock()
		holds := (ended || !r.grid.Mode(modeSync)) && cond(r.grid)
		changed := r.changed
		r.mu.Unlock()
		switch {
		case holds:
			return
		case ended:
			r.fail("the program ended without " + what)
		}
		select {
		case <-changed:
		case <-r.drained:
			ended = true
		case <-timer.C:
			r.fail(fmt.Sprintf("waited %v for %s", r.wait, what))
		}
	}
}

// Snapshot returns a copy of the screen as it is.
func (r *Run) Snapshot() *Grid {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.grid.Clone()
}

// Text is the text on the screen now.
func (r *Run) Text() string {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.grid.Text()
}

// fail ends the test and shows what a person would have seen.
func (r *Run) fail(what string) {
	r.t.Helper()
	r.t.Fatalf("%s; %s", what, r.describe())
}

func (r *Run) describe() string {
	r.mu.Lock()
	defer r.mu.Unlock()
	g := r.grid
	col, row, visible := g.Cursor()
	var b strings.Builder
	fmt.Fprintf(&b, "screen %dx%d, alternate %v, cursor %d,%d visible %v, keyboard flags %d, fences asked %d, kept back %d\n",
		g.cols, g.rows, g.alt, col, row, visible, g.KeyboardFlags(), r.asked, len(r.held))
	for i := range g.rows {
		fmt.Fprintf(&b, "%3d|%s\n", i, g.Row(i))
	}
	for _, c := range g.Complaints() {
		fmt.Fprintf(&b, "complaint: %s\n", c)
	}
	return b.String()
}
