package main

import (
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"garner/cull"
	"garner/cull/intake"
)

// cardPlace names a source by its volume's label, where that says more than its
// folder, and its folder.
func cardPlace(c *intake.Card) string {
	if c.Label == "" || c.Label == filepath.Base(filepath.Clean(c.Root)) {
		return cull.Plain(c.Root)
	}
	return cull.Plain(c.Label) + " (" + cull.Plain(c.Root) + ")"
}

// cardShort is a source in few words, for lines that come and go: "card 2
// (EOS_DIGITAL, body A)".
func cardShort(c *intake.Card) string {
	name := c.Label
	if name == "" {
		name = filepath.Base(filepath.Clean(c.Root))
	}
	text := "card " + strconv.Itoa(c.Number) + " (" + cull.Plain(name)
	if letters := bodyLetters(c); letters != "" {
		text += ", " + letters
	}
	return text + ")"
}

// bodyLetters is "body A", "bodies A and B", "" if none is known.
func bodyLetters(c *intake.Card) string {
	var letters []string
	for _, b := range c.Bodies {
		if l, _, _ := strings.Cut(b, " "); l != "" {
			letters = append(letters, cull.Plain(l))
		}
	}
	return namedBodies(letters)
}

func namedBodies(names []string) string {
	switch len(names) {
	case 0:
		return ""
	case 1:
		return "body " + names[0]
	}
	return "bodies " + strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}

// cardPictures says whose and which frames a card has, and when they were taken.
func cardPictures(c *intake.Card) string {
	var parts []string
	var bodies []string
	for _, b := range c.Bodies {
		bodies = append(bodies, cull.Plain(b))
	}
	if s := namedBodies(bodies); s != "" {
		parts = append(parts, s)
	}
	if c.First != "" {
		names := cull.Plain(c.First)
		if c.Last != "" && (c.Last != c.First || c.Frames > 1) {
			names += " to " + cull.Plain(c.Last)
		}
		parts = append(parts, names)
	}
	if s := span(c.From, c.Until); s != "" {
		parts = append(parts, s)
	}
	return strings.Join(parts, ", ")
}

// cardAmount is how much a card holds.
func cardAmount(c *intake.Card) string {
	text := count(c.Files, "file") + ", " + size(c.Bytes)
	if c.Frames > 0 {
		text = count(c.Frames, "frame") + ", " + text
	}
	return text
}

// cardInFull is all that tells a card from the other ones of its kind, which have
// the same label: what is said of formatting it is said of this.
func cardInFull(c *intake.Card) string {
	text := cardPlace(c)
	if s := cardPictures(c); s != "" {
		text += ", " + s
	}
	return text + ", " + cardAmount(c)
}

// span is a stretch of a body's clock: the day is said twice only if there are two.
func span(from, until time.Time) string {
	const day, clock = "2006-01-02", "15:04"
	switch {
	case from.IsZero():
		return ""
	case until.IsZero() || until.Equal(from):
		return from.Format(day + " " + clock)
	case from.Format(day) == until.Format(day):
		return from.Format(day+" "+clock) + " to " + until.Format(clock)
	}
	return from.Format(day+" "+clock) + " to " + until.Format(day+" "+clock)
}

// lasted is a time that something took: "12 s", "6 min 10 s", "2 h 5 min".
func lasted(t time.Duration) string {
	s := int(t.Seconds() + 0.5)
	switch {
	case s < 60:
		return strconv.Itoa(s) + " s"
	case s < 3600:
		return strconv.Itoa(s/60) + " min " + strconv.Itoa(s%60) + " s"
	}
	return strconv.Itoa(s/3600) + " h " + strconv.Itoa(s%3600/60) + " min"
}
