package main

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"garner/cull"
	"garner/cull/intake"
)

// reporter says what a run came to, to a person who is tired and about to format
// cards.
type reporter struct {
	desk
	f       offloadFlags
	report  intake.Report
	ledgers map[*intake.Card]*ledger
	told    []*intake.Card // have had their report
	partly  bool           // only some files of a folder were taken: nothing is said of the rest
}

// mood colours a line that says the same without colour.
type mood string

// Colours of ECMA-48, 8.3.117 (SGR): bold green, bold red.
const (
	good mood = "1;32"
	bad  mood = "1;31"
)

// say says a sentence, on a terminal broken between words, with the lines that
// follow set in by so many columns.
func (d desk) say(text string, indent int) { d.sayIn("", text, indent) }

func (d desk) sayIn(m mood, text string, indent int) {
	lines := []string{text}
	if d.paints() {
		columns, _ := d.screen()
		lines = broken(text, columns-1-len("garner: "), indent)
	}
	for _, line := range lines {
		if m != "" && d.paints() && d.getenv("NO_COLOR") == "" {
			line = "\x1b[" + string(m) + "m" + line + "\x1b[0m"
		}
		d.sayf("%s", line)
	}
}

// gap is an empty line between two cards.
func (d desk) gap() {
	d.mu.Lock()
	defer d.mu.Unlock()
	fmt.Fprintln(d.err)
}

// broken breaks a text between words into lines of so many columns; a word that is
// too long stands alone.
func broken(text string, columns, indent int) []string {
	columns = max(columns, indent+20)
	body := strings.TrimLeft(text, " ")
	line := text[:len(text)-len(body)]
	var lines []string
	for i, word := range strings.Split(body, " ") {
		switch {
		case i == 0:
			line += word
		case ansi.StringWidth(line)+1+ansi.StringWidth(word) > columns:
			lines = append(lines, line)
			line = strings.Repeat(" ", indent) + word
		default:
			line += " " + word
		}
	}
	return append(lines, line)
}

// closing is the report after all cards.
func (r *reporter) closing() {
	for _, c := range r.report.Cards {
		r.gap()
		r.card(c)
	}
	r.rest()
}

// rest is what concerns no single card: what seems to be missing, the
// destinations, and what comes next.
func (r *reporter) rest() {
	if len(r.report.Alarms)+len(r.report.Warnings)+len(r.report.Destinations) > 0 {
		r.gap()
	}
	for _, s := range r.report.Alarms {
		r.sayIn(bad, "missing? "+cull.Plain(s), 2)
	}
	for _, s := range r.report.Warnings {
		r.say("mind: "+cull.Plain(s), 2)
	}
	for _, d := range r.report.Destinations {
		r.destination(d)
	}
	if len(r.report.Destinations) > 1 && r.report.Devices == 1 {
		r.say("all destinations are on one device: they count as one copy", 2)
	}
	if s := r.overview(); s != "" {
		r.say(s, 2)
	}
}

// destination says where things went and how much fits there still.
func (r *reporter) destination(d intake.Destination) {
	text := "to " + cull.Plain(d.Root)
	if d.Label != "" {
		text += " (" + cull.Plain(d.Label) + ")"
	}
	if r.f.dry && d.Needs > 0 {
		text += ": " + size(d.Needs) + " to be written,"
	} else {
		text += ":"
	}
	text += " " + size(d.Free) + " free"
	if d.Swept > 0 {
		text += ", " + count(d.Swept, "unfinished file") + " of an earlier run removed"
	}
	if d.Down != "" {
		r.sayIn(bad, text+"; STOPPED: "+cull.Plain(d.Down), 2)
		return
	}
	r.say(text, 2)
}

// overview names the cards that are to be kept, since the first reports have been
// scrolled away by the last.
func (r *reporter) overview() string {
	if r.f.dry || r.partly || len(r.report.Cards) < 2 {
		return ""
	}
	var keep []string
	for _, c := range r.report.Cards {
		if !c.Safe {
			keep = append(keep, cardShort(c))
		}
	}
	switch {
	case len(keep) > 0:
	case len(r.report.Cards) == 2:
		return "both cards are in, neither has to be kept"
	default:
		return fmt.Sprintf("all %d cards are in, none has to be kept", len(r.report.Cards))
	}
	return fmt.Sprintf("KEEP %d of %d cards: %s", len(keep), len(r.report.Cards), strings.Join(keep, ", "))
}

// remedy is something that can be done, and the command for it, if there is one,
// which is never broken into lines.
type remedy struct{ what, command string }

// advice is what can be done about a card that is to be kept.
func (r *reporter) advice(c *intake.Card) []remedy {
	again := offloadWords(r.f, c.Root)
	missing := short(c)
	if missing.undone > 0 || !c.Ended {
		return []remedy{{"the same command goes on where it stopped", again}}
	}
	var list []remedy
	down := false
	for _, d := range r.report.Destinations {
		if d.Down != "" {
			down = true
			list = append(list, remedy{"see to " + cull.Plain(d.Root) + ", then the same command; what is good is not copied again", again})
		}
	}
	if missing.failed > 0 && !down {
		list = append(list, remedy{"clean the card's contacts or try another reader, then the same command; what is good is not copied again", again})
	}
	if r.report.Devices < 2 && !r.f.single {
		list = append(list, remedy{"give a second destination, a folder on another disk", again + " --also DIR"})
	}
	if c.LeftOut > 0 {
		list = append(list, remedy{"take the days that were left out into a job of their own, then name it", again + " --proven-in OTHERJOB"})
	}
	return list
}

// offloadWords is the command for one card again.
func offloadWords(f offloadFlags, root string) string {
	words := "garner offload " + shellWord(root) + " --job " + jobWords(f.job, f.jobFlags)
	for _, a := range f.also {
		words += " --also " + shellWord(a)
	}
	for _, day := range f.days {
		words += " --day " + shellWord(day)
	}
	for _, p := range f.provenIn {
		words += " --proven-in " + shellWord(p)
	}
	if f.single {
		words += " --single-copy"
	}
	return words
}
