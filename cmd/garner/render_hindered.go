package main

import (
	"errors"
	"fmt"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/output"
)

// hindrances are the causes that keep many files from being cut, in the order of their
// first file. Each is one sentence, however many files there are.
type hindrances []hindrance

type hindrance struct {
	set, reason string
	cause       error
	pictures    []string
}

func (h *hindrances) count(l output.Line) {
	if l.Cause == nil {
		return
	}
	for i := range *h {
		if one := &(*h)[i]; one.set == l.Set && one.reason == l.Cause.Error() {
			one.pictures = append(one.pictures, l.Picture)
			return
		}
	}
	*h = append(*h, hindrance{l.Set, l.Cause.Error(), l.Cause, []string{l.Picture}})
}

// sayHindrances says each cause, and after them what can be done, where that is not said
// with the error of the command.
func (d desk) sayHindrances(list hindrances, hints bool) {
	for _, h := range list {
		text := fmt.Sprintf("sets/%s: %s could not be made: %s", cull.Plain(h.set), count(len(h.pictures), "file"), cull.Plain(h.reason))
		if form := (*output.FormError)(nil); errors.As(h.cause, &form) { // of some pictures, not of all
			text += ": " + some(h.pictures)
		}
		d.sayf("%s", text)
	}
	said := map[string]bool{}
	for _, h := range list {
		if hint := hindranceHint(h.cause); hints && hint != "" && !said[hint] {
			said[hint] = true
			d.hintf("%s", hint)
		}
	}
}

// renderHints are what a person can do about an error.
func renderHints(err error, j *job.Job) []string {
	if errors.Is(err, output.ErrNothing) {
		return []string{"put what the editor exports into " + shellWord(j.Root()+"/"+output.FinishedFolder) + ": JPEG, TIFF or PNG, in folders as you like"}
	}
	if hint := hindranceHint(err); hint != "" {
		return []string{hint}
	}
	return nil
}

func hindranceHint(err error) string {
	var stamp *output.StampError
	var folder *output.FolderError
	var form *output.FormError
	switch {
	case errors.As(err, &form):
		return "crop = true in [sets." + cull.Plain(form.Set) + "] of garner.toml lets them be cropped; garner render JOB --preview NAME shows what that cuts away"
	case errors.As(err, &stamp):
		return "[stamp] in garner.toml says what it is; a set that is to be stamped is not cut without"
	case errors.As(err, &folder):
		return "see who may write into that folder, or what stands in its place; then the same command goes on"
	case errors.Is(err, output.ErrFull):
		return "what is cut is kept; when there is room, the same command goes on"
	}
	return ""
}
