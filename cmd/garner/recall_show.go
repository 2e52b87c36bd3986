package main

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"garner/cull"
	"garner/cull/recall"
)

// hitText is a hit as a line.
func hitText(h recall.Hit, t *recall.Taken) string {
	when := "no time known      "
	if h.Corrected.Known() {
		when = h.Corrected.Wall.Format("2006-01-02 15:04:05")
	}
	parts := []string{when, h.Job, h.Name}
	if h.Body.Letter != "" {
		parts = append(parts, "body "+h.Body.Letter)
	}
	if h.Scene != "" {
		parts = append(parts, "scene "+h.Scene)
	}
	parts = append(parts, answerText(h.Answers), bestText(h.Best))
	if t != nil {
		parts = append(parts, t.State.String()+" as "+filepath.Base(t.Path))
	}
	for i := range parts {
		parts[i] = cull.Plain(parts[i])
	}
	return strings.Join(parts, "  ")
}

// answerText says what was decided of a frame: first in the pass keep, then where it is
// a yes.
func answerText(answers map[string]cull.Answer) string {
	text := map[cull.Answer]string{cull.Open: "open", cull.Yes: "kept", cull.No: "dropped", cull.Part: "part"}[answers[cull.KeepPass]]
	var later []string
	for pass, a := range answers {
		if pass != cull.KeepPass && a == cull.Yes {
			later = append(later, pass)
		}
	}
	slices.Sort(later)
	return strings.Join(append([]string{text}, later...), ", ")
}

func bestText(f recall.File) string {
	switch f.Kind {
	case recall.NoFile:
		return "no file is there"
	case recall.Small:
		return "small picture"
	case recall.Finished:
		return "finished picture"
	case recall.Delivered:
		return "delivered file"
	}
	return f.Kind.String()
}

func foundText(f recall.Found, places, frames int) string {
	in := fmt.Sprintf("%s in %s", count(frames, "frame"), count(places, "place"))
	switch shown := len(f.Hits); {
	case f.Total == 0:
		return "none of " + in + " is such a frame"
	case shown < f.Total:
		return fmt.Sprintf("%d of %s; the first %d are here (--most 0: all)", f.Total, in, shown)
	}
	return fmt.Sprintf("%d of %s", f.Total, in)
}
