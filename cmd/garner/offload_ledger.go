package main

import (
	"strings"

	"garner/cull"
	"garner/cull/intake"
)

// mostNames is how many names a list in a report has; the machine output has all.
const mostNames = 12

// list is the beginning of a list of things and how many there are.
type list struct {
	first []string
	n     int
}

func (l *list) add(s string) {
	if l.n++; len(l.first) < mostNames {
		l.first = append(l.first, s)
	}
}

// ledger keeps of a card's files what a person has to be told by name. What failed
// stands on the card itself.
type ledger struct {
	aside list // the damaged one of two twins
	noted list // another name, another round, a version
	known list // of a dry run: was there already
}

// note takes what became of one file.
func (l *ledger) note(f intake.File) {
	text := cull.Plain(f.Path)
	if f.To != "" {
		text += " -> " + cull.Plain(f.To)
	}
	noted := text
	if notes := strings.Join(f.Notes, "; "); f.To != "" && strings.Contains(notes, f.To) { // which say where it went
		noted = cull.Plain(f.Path) + ": " + cull.Plain(notes)
	} else if notes != "" {
		noted += ": " + cull.Plain(notes)
	}
	switch {
	case f.State == intake.Aside:
		l.aside.add(noted)
	case f.State == intake.Failed || f.State == intake.Skipped:
	case len(f.Notes) > 0:
		l.noted.add(noted)
	case f.State == intake.Known && f.Probably:
		l.known.add(text)
	}
}

// shortfall is what of a card did not arrive.
type shortfall struct {
	failed  int
	skipped list            // links, devices, folders that could not be opened
	undone  int             // not begun when it was interrupted
	by      map[string]list // what failed, by reason
	reasons []string        // in the order of their first file
}

// short sorts what did not arrive.
func short(c *intake.Card) shortfall {
	s := shortfall{by: map[string]list{}}
	for _, f := range c.Failed {
		switch {
		case f.State == intake.Skipped:
			s.skipped.add(cull.Plain(f.Path) + because(f.Why))
		case f.State == intake.Undone:
			s.undone++
		default:
			of, ok := s.by[f.Why]
			if !ok {
				s.reasons = append(s.reasons, f.Why)
			}
			of.add(cull.Plain(f.Path))
			s.by[f.Why] = of
			s.failed++
		}
	}
	return s
}

func because(why string) string {
	if why == "" {
		return ""
	}
	return ": " + cull.Plain(why)
}
