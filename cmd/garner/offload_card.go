package main

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"garner/cull"
	"garner/cull/intake"
)

// outcome counts what became of a card's files: "1612 copied, 10 already there, 3
// FAILED".
func outcome(c *intake.Card, dry bool) string {
	words := [...]string{"copied", "there already", "kept aside", "left out"}
	if dry {
		words = [...]string{"to be copied", "probably there already", "to be kept aside", "to be left out"}
	}
	var parts []string
	for i, n := range []int{c.Copied, c.Known, c.Aside, c.LeftOut} {
		if n > 0 || i == 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, words[i]))
		}
	}
	missing := short(c)
	for i, n := range []int{missing.failed, missing.skipped.n, missing.undone} {
		if n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, [...]string{"FAILED", "SKIPPED", "not done yet"}[i]))
		}
	}
	return strings.Join(parts, ", ")
}

// ledgerOf is what was noted of a card's files.
func (r *reporter) ledgerOf(c *intake.Card) *ledger {
	if l := r.ledgers[c]; l != nil {
		return l
	}
	return &ledger{}
}

// card says which card this is, what happened to its files, what wants
// attention, and at last whether it may be formatted.
func (r *reporter) card(c *intake.Card) {
	l := r.ledgerOf(c)
	r.sayf("card %d: %s", c.Number, cardPlace(c))
	if s := cardPictures(c); s != "" {
		r.say("  "+s, 4)
	}
	r.say("  "+cardAmount(c)+": "+outcome(c, r.f.dry)+took(c), 4)
	r.days(c)
	for _, s := range c.Notes {
		r.say("  "+cull.Plain(s), 4)
	}
	r.list("kept aside, since its twin is whole", l.aside)
	r.list("have a look at", l.noted)
	if r.f.dry {
		r.list("probably there already", l.known)
	}
	if len(c.Litter) > 0 {
		r.say("  the system's own files, not copied: "+some(c.Litter), 4)
	}
	r.failures(c)
	if r.f.dry {
		r.sayf("  nothing was copied: this was a dry run")
		return
	}
	r.verdict(c)
}

func took(c *intake.Card) string {
	if c.Took < time.Second {
		return ""
	}
	return "; " + lasted(c.Took)
}

// days lists the days of a card of which some are left out.
func (r *reporter) days(c *intake.Card) {
	if !slices.ContainsFunc(c.Days, func(d intake.Day) bool { return !d.Taken }) {
		return
	}
	var parts []string
	for _, d := range c.Days {
		text := cull.Plain(d.Day) + " " + count(d.Files, "file")
		if d.Day == "" {
			text = "of no known day " + count(d.Files, "file")
		}
		if !d.Taken {
			text += " (left out)"
		}
		parts = append(parts, text)
	}
	r.say("  days: "+strings.Join(parts, ", "), 4)
}

// list says a list of names under a heading.
func (r *reporter) list(heading string, l list) {
	if l.n == 0 {
		return
	}
	r.say(fmt.Sprintf("  %s: %s", heading, count(l.n, "file")), 4)
	for _, s := range slices.Sorted(slices.Values(l.first)) { // several are copied at once
		r.say("    "+s, 6)
	}
	if more := l.n - len(l.first); more > 0 {
		r.sayf("    and %d more (--json lists all)", more)
	}
}

// failures lists what did not arrive, reason by reason.
func (r *reporter) failures(c *intake.Card) {
	missing := short(c)
	r.list("SKIPPED", missing.skipped)
	for _, why := range missing.reasons {
		r.list("FAILED"+because(why), missing.by[why])
	}
}

// verdict is the last line of a card: that it may be formatted, said of this very
// card, or that it is to be kept, why, and what can be done.
func (r *reporter) verdict(c *intake.Card) {
	for _, s := range c.Remarks {
		r.say("  mind: "+cull.Plain(s), 4)
	}
	if c.Safe && !r.partly {
		r.sayIn(good, "  safe to format: "+cardInFull(c), 4)
		return
	}
	r.sayIn(bad, "  KEEP THIS CARD: "+cardInFull(c), 4)
	why := c.Why
	if len(why) == 0 {
		why = []string{"not every file of it is proven to be in two places"}
	}
	for _, s := range why {
		r.say("    why: "+cull.Plain(s), 6)
	}
	for _, s := range r.advice(c) {
		r.say("    what to do: "+s.what, 6)
		if s.command != "" {
			r.sayf("      %s", s.command)
		}
	}
}
