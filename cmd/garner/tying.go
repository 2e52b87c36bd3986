package main

import (
	"context"
	"errors"
	"os"
	"os/signal"
	"syscall"

	"garner/cull/job"
	"garner/cull/output"
	"garner/cull/returned"
	"garner/cull/station"
	"garner/cull/tui"
)

// tie lets a person say on the full screen which frames finished pictures show.
func (d desk) tie(ctx context.Context, dir string, f jobFlags, picture string) error {
	if err := d.fullScreen(picture, `garner decide `+shellWord(dir)+` takes "correct finished PATH FRAME…"`); err != nil {
		return err
	}
	j, err := d.openPrepared(dir, f, job.Options{Command: "render"})
	if err != nil {
		return err
	}
	defer j.Close()
	m, err := returned.Match(ctx, j, returned.Options{Progress: d.matching})
	if err != nil {
		return err
	}
	t, err := station.OpenTying(ctx, j, station.TyingOptions{Matched: m, Now: d.now})
	switch {
	case errors.Is(err, station.ErrTied) && len(m.Pictures) > 0:
		d.sayf("%s; next: garner render %s", err, shellWord(dir))
		return nil
	case errors.Is(err, station.ErrTied):
		return hinted(output.ErrNothing, renderHints(output.ErrNothing, j)...)
	case err != nil:
		return claimHint(err)
	}
	ctx, stop := signal.NotifyContext(ctx, syscall.SIGTERM, syscall.SIGHUP)
	defer stop()
	var notCopied []error // nothing may be written beside the screen
	stopMirror := d.mirrored(j, func(err error) { notCopied = append(notCopied, err) })
	err = tui.RunTying(ctx, t, os.Stdin, os.Stdout, tui.Options{Keys: j.Settings().Keys, Picture: picture, Now: d.now, Getenv: d.getenv})
	stopMirror()
	said, left := t.Counts()
	if cerr := t.Close(); err == nil {
		err = cerr
	}
	for _, err := range notCopied {
		d.notCopied(err)
	}
	d.sayf("%s tied or said to be of no frame, %d left", count(said, "picture"), left)
	if err == nil && left == 0 {
		d.sayf("next: garner render %s", shellWord(dir))
	}
	return err
}
