package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"runtime/debug"
	"syscall"

	"github.com/spf13/cobra"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/output"
	"garner/cull/station"
	"garner/cull/tui"
)

func cullCommand(d desk) *cobra.Command {
	var f jobFlags
	var o stationFlags
	c := &cobra.Command{
		Use:   "cull JOB",
		Short: "Keep or drop frame by frame, on the full screen",
		Long: `Opens the station: one frame, one question, by keyboard. It begins at the first
open frame and prepares the job in the background where that was not done yet.
? shows the keys. Every decision is on the disk before the screen shows it, so
it can be left, or killed, at any time.

A goal, keys of one's own, the questions of later passes and what of the
measurements is wanted may stand in JOB/garner.toml:

  goal = 600
  [keys]
  keep = ["k", "enter"]
  [questions]
  album = "Into the album?"
  [evidence]
  marks = false               # frames are not marked as sharpest, soft …
  start_at_favourite = true   # the cursor enters a burst at its favourite
  measure = false             # nothing is measured in the background

` + exitCodes,
		Example: `  garner cull "Job 0613"
  garner cull "Job 0613" --pass review
  garner cull "Job 0613" --on unseen`,
		Args: oneJob,
		RunE: func(c *cobra.Command, args []string) error { return d.cull(c.Context(), args[0], f, o) },
	}
	f.add(c, false)
	c.Flags().StringVar(&o.pass, "pass", "", "begin in the pass `NAME`; review, retouch, album and rescue are made when first asked for")
	c.Flags().StringVar(&o.on, "on", "", "walk only what a line of the review is about: `KIND`, or KIND:2 for the second of its kind; garner status --review lists them")
	c.Flags().StringVar(&o.who, "who", "", "`NAME` of the person who decides (default: the system's user)")
	c.Flags().StringVar(&o.picture, "picture", "auto", "how pictures get onto the terminal: auto, kitty, kitty-cells or blocks")
	return c
}

// hasFiles refuses what is no folder with files in it, before anything is made
// there.
func hasFiles(dir string) error {
	info, err := os.Stat(dir)
	if err != nil {
		return openHint(err, dir)
	}
	if !info.IsDir() {
		return hinted(errors.New(dir+" is not a folder"), "the folder that holds the camera files is wanted")
	}
	found := errors.New("found")
	err = filepath.WalkDir(dir, func(path string, e os.DirEntry, err error) error {
		if err == nil && e.Type().IsRegular() {
			return found
		}
		return nil
	})
	if err != found {
		return hinted(errors.New("there is no file in "+dir), "the folder that holds the camera files is wanted; garner demo makes one to try")
	}
	return nil
}

// stationFlags are what the station takes beside the job.
type stationFlags struct{ pass, who, picture, on string }

func (d desk) cull(ctx context.Context, dir string, f jobFlags, o stationFlags) error {
	if !tui.CanShow(o.picture) {
		return &usageError{fmt.Sprintf("--picture is %s, not %q", tui.Pictures(), o.picture)}
	}
	if !d.inTTY || !d.outTTY {
		return hinted(errors.New("the station needs a terminal to read keys from and to draw on"),
			"garner decide "+shellWord(dir)+" decides without one")
	}
	if o.who == "" {
		o.who = d.who()
	}
	if err := hasFiles(dir); err != nil {
		return err
	}
	// Loading a large job makes much that stays: collecting in between finds nothing.
	percent := debug.SetGCPercent(400)
	defer debug.SetGCPercent(percent)
	j, err := d.open(dir, f, job.Options{Who: o.who, Command: "cull"})
	if err != nil {
		return err
	}
	defer j.Close()
	settings := j.Settings()
	// A terminal that is closed, or a system that shuts down, ends the station in
	// an orderly way.
	ctx, stop := signal.NotifyContext(ctx, syscall.SIGTERM, syscall.SIGHUP)
	defer stop()
	config, _ := os.UserConfigDir() // without a home there are no names from earlier jobs
	s, err := station.Open(j, station.Options{Who: o.who, Pass: o.pass, Goal: settings.Goal, Questions: settings.Questions, On: o.on, Config: config, Now: d.now,
		Stands:   func(ctx context.Context) []string { return stands(ctx, j, jobWords(dir, f)) },
		Evidence: station.Evidence{NoMeasuring: !settings.Evidence.Measures(), NoMarks: !settings.Evidence.Marked(), AtFavourite: settings.Evidence.Favoured()}})
	debug.SetGCPercent(percent)
	if errors.Is(err, station.ErrNoSuchLine) {
		return hinted(err, "garner status "+shellWord(dir)+" --review shows what there is to look at")
	}
	if err != nil {
		return claimHint(err)
	}
	trace, closeTrace := d.trace()
	defer closeTrace()
	if trace != nil {
		trace("the job is open: %d", d.now().UnixMicro())
	}
	var notCopied []error // nothing may be written beside the screen
	stopMirror := d.mirrored(j, func(err error) { notCopied = append(notCopied, err) })
	err = tui.Run(ctx, s, os.Stdin, os.Stdout, tui.Options{
		Keys: settings.Keys, Notes: unknownSettings(settings.Unknown), Picture: o.picture,
		Now: d.now, Getenv: d.getenv, Trace: trace,
	})
	stopMirror()
	if cerr := s.Close(); err == nil {
		err = cerr
	}
	for _, err := range notCopied {
		d.notCopied(err)
	}
	return d.afterCull(ctx, jobWords(dir, f), j, s, err)
}

// afterCull says what came of a sitting and what comes next.
func (d desk) afterCull(ctx context.Context, words string, j *job.Job, s *station.Desk, err error) error {
	sitting, left := s.Sitting(), s.Reckoning()
	part := ""
	if sitting.Part != 0 {
		part = fmt.Sprintf(", %d part of a merge", sitting.Part)
	}
	d.sayf("%s decided in this sitting, %d yes and %d no%s; %d of the pass %s are open", count(sitting.All(), "frame"),
		sitting.Yes, sitting.No, part, left.Open, s.Pass().Name)
	switch {
	case errors.Is(err, context.Canceled):
		d.sayf("interrupted; every decision that was shown is kept, the same command goes on from here")
		return errTold
	case err == nil && left.All() > 0:
		// What can't be counted now garner status will complain of; looking at bags
		// would hold leaving up.
		if st, serr := j.Status(); serr == nil {
			sets, _ := output.Stands(ctx, j)
			d.showWay(words, st, sets, nil)
		}
	}
	return err
}

// settings reads what the studio and the job have set.
func (d desk) settings(dir string) (job.Settings, error) {
	if info, err := os.Stat(dir); err == nil && !info.IsDir() {
		return job.Settings{}, nil // opening the job says what is wrong
	}
	own, err := job.ReadSettings(dir)
	if err != nil {
		return own, err
	}
	config, err := os.UserConfigDir()
	if err != nil {
		return own, nil // no home, no studio file
	}
	studio, err := job.ReadStudio(config)
	if err != nil {
		return own, err
	}
	return own.Over(studio), nil
}

func unknownSettings(keys []string) []string {
	var notes []string
	for _, k := range keys {
		notes = append(notes, fmt.Sprintf("%s is not a setting", cull.Plain(k)))
	}
	return notes
}

// trace opens the file that GARNER_TRACE names, for measuring.
func (d desk) trace() (func(format string, args ...any), func()) {
	name := d.getenv("GARNER_TRACE")
	if name == "" {
		return nil, func() {}
	}
	f, err := os.OpenFile(name, os.O_CREATE|os.O_WRONLY|os.O_APPEND, 0o666)
	if err != nil {
		d.errorf("%s", cull.Plain(err.Error()))
		return nil, func() {}
	}
	return func(format string, args ...any) { io.WriteString(f, fmt.Sprintf(format, args...)+"\n") }, func() { f.Close() }
}
