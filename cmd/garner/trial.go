package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/signal"
	"syscall"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/output"
	"garner/cull/returned"
	"garner/cull/station"
	"garner/cull/tui"
)

// trial shows on the full screen what sets would be, and writes nothing.
func (d desk) trial(ctx context.Context, dir string, f jobFlags, name, picture string) error {
	if err := d.fullScreen(picture, "garner render "+shellWord(dir)+" --set "+shellWord(name)+" cuts it"); err != nil {
		return err
	}
	j, err := d.openPrepared(dir, f, job.Options{Command: "render"})
	if err != nil {
		return err
	}
	defer j.Close()
	if err := d.typos(j); err != nil {
		return err
	}
	sets := output.Sets(j.Settings())
	if _, unknown := output.Choose(sets, []string{name}); unknown != "" {
		return &usageError{"there is no set " + unknown + "; there are " + setNames(sets)}
	}
	m, err := returned.Match(ctx, j, returned.Options{ReadOnly: true, Progress: d.matching})
	if err != nil {
		return err
	}
	ties, err := output.FrameTies(j, m)
	if err != nil {
		return err
	}
	t, err := station.OpenTrial(ctx, j, station.TrialOptions{Sets: sets, Set: name, Ties: ties, Now: d.now})
	if err != nil {
		return hinted(err, renderHints(err, j)...)
	}
	defer t.Close()
	ctx, stop := signal.NotifyContext(ctx, syscall.SIGTERM, syscall.SIGHUP)
	defer stop()
	return tui.RunTrial(ctx, t, os.Stdin, os.Stdout, tui.Options{Keys: j.Settings().Keys, Picture: picture, Now: d.now, Getenv: d.getenv})
}

// fullScreen says why nothing can be shown on the full screen; without names what does
// without one.
func (d desk) fullScreen(picture, without string) error {
	if !tui.CanShow(picture) {
		return &usageError{fmt.Sprintf("--picture is %s, not %q", tui.Pictures(), picture)}
	}
	if !d.inTTY || !d.outTTY {
		return hinted(errors.New("this needs a terminal to read keys from and to draw on"), without)
	}
	return nil
}

// typos refuses settings of sets that cannot be meant as they stand.
func (d desk) typos(j *job.Job) error {
	typos := j.Settings().Typos
	if len(typos) == 0 {
		return nil
	}
	for _, t := range typos[1:] {
		d.sayf("%s", cull.Plain(t))
	}
	return errors.New(typos[0])
}

func (d desk) matching(done, total int) {
	d.progressf("finding the frames of pictures: %d of %d", done, total)
}
