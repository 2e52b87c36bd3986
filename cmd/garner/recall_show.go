package main

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"garner/cull"
	"garner/cull/recall"
)

// hitText is a hit as a line; called is what its job is called.
func hitText(h recall.Hit, t *recall.Taken, called string, f recallFlags) string {
	when := "no time known      "
	if h.Corrected.Known() {
		when = h.Corrected.Wall.Format("2006-01-02 15:04:05")
	}
	parts := []string{when, called, h.Name}
	if h.Body.Letter != "" {
		parts = append(parts, "body "+h.Body.Letter)
	}
	if h.Scene != "" {
		parts = append(parts, "scene "+h.Scene)
	}
	parts = append(parts, answerText(h.Answers), bestText(h.Best))
	if f.q.Name != "" && len(h.Delivered) > 0 { // which may be what was found
		parts = append(parts, deliveredText(h))
	}
	if f.like != "" {
		parts = append(parts, likeText(h))
	}
	if h.Face != nil {
		parts = append(parts, faceText(h.Face))
	}
	if t != nil {
		parts = append(parts, t.State.String()+" as "+filepath.Base(t.Path))
	}
	for i := range parts {
		parts[i] = cull.Plain(parts[i])
	}
	return strings.Join(parts, "  ")
}

func deliveredText(h recall.Hit) string { return "delivered as " + strings.Join(h.Delivered, ", ") }

// jobsOf says what the jobs of hits are called: by their names, where a bag is called
// otherwise with its name, and where that is not enough to tell them apart with the
// folder.
func jobsOf(hits []recall.Hit) func(recall.Hit) string {
	short := func(h recall.Hit) string {
		if folder := filepath.Base(h.Place); folder != h.Job {
			return h.Job + " (bag " + folder + ")"
		}
		return h.Job
	}
	places := map[string]string{}
	several := map[string]bool{}
	for _, h := range hits {
		name := short(h)
		if p, had := places[name]; had && p != h.Place {
			several[name] = true
		}
		places[name] = h.Place
	}
	return func(h recall.Hit) string {
		if name := short(h); !several[name] {
			return name
		}
		return h.Job + " (in " + h.Place + ")"
	}
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

// likeText is likeness in words. A picture fits on its own frame and on those of one moment
// with it; where no thumbnail is kept they are as near by their looks, and what has nothing
// to do with it is some twenty bits away.
func likeText(h recall.Hit) string {
	of := "it"
	if h.Share < 0.95 {
		of = fmt.Sprintf("%.0f %% of it", 100*h.Share)
	}
	switch {
	case h.Fits(), !h.Looked && h.Bits <= 12:
		return "very like " + of
	case h.Bits <= recall.Alike:
		return "like " + of
	}
	return "hardly like it"
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

func foundText(q recallFlags, f recall.Found, places, frames int) string {
	in := fmt.Sprintf("%s in %s", count(frames, "frame"), count(places, "place"))
	none, which := "none of "+in+" is such a frame", ""
	if q.like != "" {
		none, which = "none of "+in+" is like it", " are like it"
		if len(f.Hits) > 0 {
			none += "; the nearest are above"
		}
	}
	if q.face != "" {
		none, which = "none of "+in+" shows a face like it", " show a face like it, which is likeness and not identity"
	}
	switch shown := len(f.Hits); {
	case f.Total == 0:
		return none
	case shown < f.Total:
		here := fmt.Sprintf("the first %d are here", shown)
		if shown == 1 {
			here = "the first is here"
		}
		return fmt.Sprintf("%d of %s%s; %s (--most 0: all)", f.Total, in, which, here)
	}
	return fmt.Sprintf("%d of %s%s", f.Total, in, which)
}
