package main

import (
	"context"
	"errors"
	"os"
	"os/signal"
	"slices"
	"syscall"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/recall"
	"garner/cull/station"
	"garner/cull/tui"
)

// fanOfHits lets a person look at what was found on the full screen, and returns those
// hits that are to be taken.
func (d desk) fanOfHits(ctx context.Context, f recallFlags, hits []recall.Hit) ([]recall.Hit, error) {
	o := station.FindsOptions{Taking: f.take, Now: d.now}
	called := jobsOf(hits)
	for _, h := range hits {
		o.Frames = append(o.Frames, foundFrame(h, called(h)))
	}
	keys, err := studioKeys()
	if err != nil {
		return nil, err
	}
	ctx, stop := signal.NotifyContext(ctx, syscall.SIGTERM, syscall.SIGHUP)
	defer stop()
	t := station.OpenFinds(o)
	err = tui.RunFinds(ctx, t, os.Stdin, os.Stdout, tui.Options{Keys: keys, Picture: f.picture, Now: d.now, Getenv: d.getenv})
	t.Close()
	var taken []recall.Hit
	for _, i := range t.Marked() {
		taken = append(taken, hits[i])
	}
	if errors.Is(err, context.Canceled) {
		d.sayf("interrupted; %s chosen and not copied", count(len(taken), "frame"))
		return nil, errTold
	}
	return taken, err
}

// studioKeys are the keys that the studio file gives: what is found is in no one job.
func studioKeys() (map[string][]string, error) {
	config, err := os.UserConfigDir()
	if err != nil {
		return nil, nil // no home, no studio file
	}
	studio, err := job.ReadStudio(config)
	return studio.Keys, err
}

// foundFrame is a hit as the screen shows it.
func foundFrame(h recall.Hit, called string) station.FoundFrame {
	f := station.FoundFrame{Name: h.Name, Job: called, At: h.Corrected.Wall, Scene: h.Scene, Body: h.Body.Letter, Answer: h.Answers[cull.KeepPass]}
	if h.Best.Kind != recall.NoFile {
		f.File, f.Kind = h.Best.Path, bestText(h.Best)
	}
	if !h.IsJob {
		f.Thumb = h.Thumb
	}
	if h.Face != nil {
		f.Notes = append(f.Notes, faceText(h.Face))
	}
	var passes []string
	for pass, a := range h.Answers {
		if pass != cull.KeepPass && a == cull.Yes {
			passes = append(passes, pass)
		}
	}
	slices.Sort(passes)
	f.Notes = append(f.Notes, passes...)
	if len(h.Delivered) > 0 {
		f.Notes = append(f.Notes, deliveredText(h))
	}
	return f
}
