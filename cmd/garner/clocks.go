package main

import (
	"context"

	"github.com/spf13/cobra"

	"garner/cull"
	"garner/cull/clocks"
	"garner/cull/job"
	"garner/cull/prepare"
)

func clocksCommand(d desk) *cobra.Command {
	var f jobFlags
	var add, zone []string
	var from string
	c := &cobra.Command{
		Use:   "clocks JOB",
		Short: "Show and set the bodies' clock offsets",
		Long: `Shows each body with its clock offset, or sets one. DURATION is added to what the
body's clock showed: a clock that ran 7 min 20 s ahead is set with -7m20s. The
order of the job follows at once; no file is changed. An offset that the studio
file says is usual for a body is shown with the command that sets it; nothing is
corrected without being asked.

` + exitCodes,
		Example: `  garner clocks "Job 0613"
  garner clocks "Job 0613" --set B=-7m20s
  garner clocks "Job 0613" --set B=-1h --from "2026-06-13 15:00"
  garner clocks "Job 0613" --set B=none`,
		Args: oneJob,
		RunE: func(c *cobra.Command, args []string) error {
			settings, err := clockSettings(add, zone, from)
			if err != nil {
				return err
			}
			return d.clocks(c.Context(), args[0], f, settings)
		},
	}
	f.add(c, true)
	c.Flags().StringArrayVar(&add, "set", nil, "`BODY=DURATION`: correct a body's clock (repeatable)")
	c.Flags().StringArrayVar(&zone, "zone", nil, "`BODY=+HH:MM`: the zone a body's clock was set to (repeatable)")
	c.Flags().StringVar(&from, "from", "", "`MOMENT` on the body's own clock from which --set and --zone hold")
	return c
}

func clockSettings(add, zone []string, from string) ([]clocks.Setting, error) {
	var all []clocks.Setting
	for _, s := range add {
		set, err := clocks.ParseAdd(s)
		if err != nil {
			return nil, &usageError{err.Error()}
		}
		all = append(all, set)
	}
	for _, s := range zone {
		set, err := clocks.ParseZone(s)
		if err != nil {
			return nil, &usageError{err.Error()}
		}
		all = append(all, set)
	}
	if from != "" && len(all) == 0 {
		return nil, &usageError{"--from goes with --set or --zone"}
	}
	if from != "" {
		t, err := clocks.ParseFrom(from)
		if err != nil {
			return nil, &usageError{err.Error()}
		}
		for i := range all {
			all[i].From = t
		}
	}
	return all, nil
}

func (d desk) clocks(ctx context.Context, dir string, f jobFlags, settings []clocks.Setting) error {
	j, err := d.openPrepared(dir, f, job.Options{Command: "clocks", ReadOnly: len(settings) == 0})
	if err != nil {
		return err
	}
	defer j.Close()
	if len(settings) > 0 {
		if err := d.needFrames(ctx, j); err != nil {
			return err
		}
		if err := clocks.Apply(j, settings); err != nil {
			return hinted(err, "garner clocks "+shellWord(dir)+" shows the bodies")
		}
		if err := prepare.Regroup(j); err != nil {
			return err
		}
		d.copyJournals(ctx, j)
	}
	s, err := j.Status()
	if err != nil {
		return err
	}
	if f.json {
		for _, b := range statusObject(s).Bodies {
			if err := d.object(struct {
				V int `json:"v"`
				jsonBody
			}{1, b}); err != nil {
				return err
			}
		}
		return nil
	}
	for _, b := range s.Bodies {
		text := clockText(b.Body)
		if text == "" {
			text = ", clock as it was set"
		}
		d.sayf("body %-2s %s, %s%s", orDash(b.Letter), bodyName(b.Body), count(b.Frames, "frame"), text)
	}
	for _, b := range s.Bodies {
		if name := b.Letter; b.Usual != nil {
			if name == "" {
				name = b.Serial
			}
			d.hintf("the studio file says that the clock of body %s is usually corrected by %s: garner clocks %s --set %s=%s", cull.Plain(name), signed(*b.Usual), jobWords(dir, f), shellWord(name), signed(*b.Usual))
		}
	}
	if len(s.Bodies) == 0 {
		d.sayf("no body is known yet: %s", nextStep(jobWords(dir, f), s))
	}
	return nil
}
