package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"garner/cull"
	"garner/cull/decide"
	"garner/cull/job"
	"garner/cull/marks"
)

// fromFlags ask for marks to be taken for answers.
type fromFlags struct {
	mark      string
	drop, dry bool
}

func (f *fromFlags) add(c *cobra.Command) {
	c.Flags().StringVar(&f.mark, "from", "", "keep the frames that have a `MARK`, such as 'camera-rating>=3', sidecar-rating=5 or protected")
	c.Flags().BoolVar(&f.drop, "drop", false, "with --from: drop them instead")
	c.Flags().BoolVar(&f.dry, "dry-run", false, "with --from: write the line and do nothing")
}

// given reports whether any of the flags stands on the command line.
func (f *fromFlags) given(c *cobra.Command) bool {
	return c.Flags().Changed("from") || f.drop || f.dry
}

func (d desk) decideFrom(ctx context.Context, dir string, f jobFlags, who string, from fromFlags, dump bool) error {
	switch {
	case from.mark == "":
		return &usageError{"--drop and --dry-run go with --from MARK"}
	case dump:
		return &usageError{"--from and --dump do not go together"}
	}
	expr, err := marks.Parse(from.mark)
	if err != nil {
		return &usageError{cull.Plain(err.Error())}
	}
	if who == "" {
		who = d.who()
	}
	j, err := d.open(dir, f, job.Options{Who: who, Command: "decide"})
	if err != nil {
		return err
	}
	defer j.Close()
	if !from.dry {
		claim, err := j.Claim()
		if err != nil {
			return claimHint(err)
		}
		defer claim.Release()
		defer d.copyJournals(ctx, j)
	}
	if err := d.needFrames(ctx, j); err != nil {
		return err
	}
	answer := cull.Yes
	if from.drop {
		answer = cull.No
	}
	choice, err := marks.Choose(ctx, j, expr, answer)
	if err != nil {
		return err
	}
	d.tellChoice(expr, choice, answer, from.dry)
	lines := choice.Lines(answer)
	if from.dry {
		for _, l := range lines {
			if _, err := fmt.Fprintln(d.out, l); err != nil {
				return err
			}
		}
		return nil
	}
	sum, err := decide.Run(ctx, j, strings.NewReader(strings.Join(lines, "\n")), d.out, decide.Options{Who: who, Now: d.now})
	if err == nil && sum.Refused > 0 {
		err = &partlyError{fmt.Sprintf("%s done, %d refused", count(sum.Done, "line"), sum.Refused)}
	}
	return err
}

// tellChoice says what is done before it is done: nobody has seen these frames.
func (d desk) tellChoice(e marks.Expr, c marks.Choice, answer cull.Answer, dry bool) {
	d.sayf("%s: %s", e, count(c.Matching, "frame"))
	if c.Stands > 0 {
		d.sayf("of these, %d with that answer already", c.Stands)
	}
	if c.Decided > 0 {
		d.sayf("of these, %d decided by itself otherwise: left as it is", c.Decided)
	}
	if c.Turned > 0 {
		d.sayf("of these, %d had the other answer, given with the whole moment: a decision by itself goes before it", c.Turned)
	}
	verb := map[cull.Answer]string{cull.Yes: "kept", cull.No: "dropped"}[answer]
	switch {
	case len(c.Frames) == 0:
		d.sayf("nothing to do")
	case dry:
		d.sayf("%s would be %s without having been shown", count(len(c.Frames), "frame"), verb)
	default:
		d.sayf("%s %s without having been shown; garner decide takes it back with the line undo", count(len(c.Frames), "frame"), verb)
	}
}
