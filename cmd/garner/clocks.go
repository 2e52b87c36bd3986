package main

import (
	"context"

	"github.com/spf13/cobra"

	"garner/cull"
	"garner/cull/clocks"
	"garner/cull/clocks/match"
	"garner/cull/job"
	"garner/cull/prepare"
)

// clockFlags are what the command was asked for.
type clockFlags struct {
	add, zone, same []string
	from            string
	apply           bool
}

func clocksCommand(d desk) *cobra.Command {
	var f jobFlags
	var ask clockFlags
	c := &cobra.Command{
		Use:   "clocks JOB",
		Short: "Show, find and set the bodies' clock offsets",
		Long: `Shows each body with its clock offset, and what the pictures say of it: two bodies
now and then take the same instant, and where several such moments of the day
agree, the offset is known. It says how sure that is, on which frames it rests, and
the command that sets it; a clock that was set during the day has several offsets,
each from a frame on. Nothing is corrected without being asked: --apply sets what
is sure, --same works an offset out from two frames of one instant, --set sets one
by hand. DURATION is added to what the body's clock showed: a clock that ran 7 min
20 s ahead is set with -7m20s. The order of the job follows at once; no file is
changed (handoff --times writes the corrected times into sidecars).

A frame is named by its body and the number in its file name (A:0123), or by its
name in the job (A/IMG_0123).

` + exitCodes,
		Example: `  garner clocks "Job 0613"
  garner clocks "Job 0613" --apply
  garner clocks "Job 0613" --same A:0123 B:0420
  garner clocks "Job 0613" --set B=-7m20s
  garner clocks "Job 0613" --set B=+1h@0412
  garner clocks "Job 0613" --set B=-1h --from "2026-06-13 15:00"
  garner clocks "Job 0613" --set B=none`,
		Args: oneJob,
		RunE: func(c *cobra.Command, args []string) error { return d.clocks(c.Context(), args[0], f, ask) },
	}
	f.add(c, true)
	c.Flags().StringArrayVar(&ask.add, "set", nil, "`BODY=DURATION[@FRAME]`: correct a body's clock, from a frame of it on (repeatable)")
	c.Flags().StringArrayVar(&ask.zone, "zone", nil, "`BODY=+HH:MM`: the zone a body's clock was set to (repeatable)")
	c.Flags().StringVar(&ask.from, "from", "", "`MOMENT` on the body's own clock from which --set and --zone hold")
	c.Flags().StringArrayVar(&ask.same, "same", nil, "`FRAME FRAME` of one instant, the one with the right time first (repeatable)")
	c.Flags().BoolVar(&ask.apply, "apply", false, "set the offsets that the pictures are sure of")
	return c
}

// clockSettings reads what was asked for by hand.
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
			if all[i].At != "" {
				return nil, &usageError{"--from and @FRAME both say from when on"}
			}
			all[i].From = t
		}
	}
	return all, nil
}

func (d desk) clocks(ctx context.Context, dir string, f jobFlags, ask clockFlags) error {
	settings, err := clockSettings(ask.add, ask.zone, ask.from)
	if err != nil {
		return err
	}
	var pairs []clocks.Pair
	for _, s := range ask.same {
		p, err := clocks.ParsePair(s)
		if err != nil {
			return &usageError{err.Error()}
		}
		pairs = append(pairs, p)
	}
	changes := len(settings)+len(pairs) > 0 || ask.apply
	j, err := d.openPrepared(dir, f, job.Options{Command: "clocks", ReadOnly: !changes})
	if err != nil {
		return err
	}
	defer j.Close()
	if changes {
		if err := d.setClocks(ctx, j, jobWords(dir, f), settings, pairs, ask.apply); err != nil {
			return err
		}
	}
	s, err := j.Status()
	if err != nil {
		return err
	}
	found, err := clocks.Propose(j)
	if err != nil {
		return err
	}
	if f.json {
		return d.clockObjects(s, found)
	}
	d.showClocks(s, found, jobWords(dir, f))
	return nil
}

// setClocks journals what was asked for and puts the job in order anew.
func (d desk) setClocks(ctx context.Context, j *job.Job, dir string, settings []clocks.Setting, pairs []clocks.Pair, apply bool) error {
	if err := d.needFrames(ctx, j); err != nil {
		return err
	}
	hint := "garner clocks " + dir + " shows the bodies, garner prepare " + dir + " --json the frames"
	if len(pairs) > 0 {
		same, err := clocks.Same(j, pairs)
		if err != nil {
			return hinted(err, hint)
		}
		settings = append(settings, same...)
	}
	if len(settings) > 0 {
		if err := clocks.Apply(j, settings); err != nil {
			return hinted(err, hint)
		}
	}
	if apply {
		found, err := clocks.Propose(j)
		if err != nil {
			return err
		}
		sure, left := clocks.Sure(found)
		if err := clocks.Apply(j, sure); err != nil {
			return err
		}
		for _, s := range sure {
			d.sayf("body %s: %s added%s", cull.Plain(s.Body), match.Signed(*s.Add), fromText(s.From))
		}
		for _, p := range left {
			d.sayf("body %s: left as somebody set it, though the pictures say %s", bodyLetter(p.Clock), match.Signed(p.Add))
		}
		if len(sure)+len(left) == 0 {
			d.sayf("nothing to set that is sure and not set yet")
		}
	}
	if err := prepare.Regroup(j); err != nil {
		return err
	}
	d.copyJournals(ctx, j)
	return nil
}
