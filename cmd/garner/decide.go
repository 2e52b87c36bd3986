package main

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"garner/cull/decide"
	"garner/cull/job"
)

func decideCommand(d desk) *cobra.Command {
	var f jobFlags
	var who string
	var dump bool
	var from fromFlags
	c := &cobra.Command{
		Use:   "decide JOB",
		Short: "Decide frames by lines on stdin, without a screen",
		Long: `Reads one decision a line from stdin and answers each on stdout with "ok …" once it
is durable, or with "no … : reason". Frames are named by their path without
extension (its last part is enough where it is unique), by #id, or as a JSON
string. Lines of a journal, or of --dump of another copy of the job, are taken
over with who decided and when; where two people disagree, the line is refused
as a conflict.

  keep NAME     drop NAME     part NAME     open NAME
  burst keep NAME             burst drop NAME      the whole moment, as far as
                                                   its frames are not decided
                                                   by themselves
  only NAME                   keep it, drop the open rest of its moment
  merge NAME                  keep it as lead, the open rest of its moment is part
  PASS yes NAME   PASS no NAME   PASS open NAME    in a later pass, where
  PASS burst no NAME          PASS only NAME       burst and only work as well
  pass NAME [from PASS yes|no|part|open] ["question"]
  scene NAME First dance      name the scene of a frame
  correct join NAME NAME…     one moment; correct series: material for one picture
  correct split NAME… / NAME…                      different moments
  correct out NAME            a moment by itself
  correct apart NAME NAME…    no look-alikes of each other
  correct scene-begins NAME   correct scene-goes-on NAME
  correct has "Rings" NAME    it is what must_have in garner.toml asks for
  undo            redo

--from takes marks for answers, which nothing else does: instead of reading stdin it
keeps the frames that have the mark, in the pass keep, by one such line, which is one
step of undo. What was decided by itself stays. Marks are camera-rating>=3 (also <=,
<, >, =; 0 where the file says nothing, -1 where it was marked as unwanted),
sidecar-rating>=1 (of sidecars that came with the frames, not of garner's own) and
protected (by the body's protect key, as far as the files or the offload know it).

` + exitCodes + `
Any refused line makes it exit 3.`,
		Example: `  echo 'keep A/IMG_0001' | garner decide "Job 0613"
  garner decide "Job 0613" --dump > anna.txt
  garner decide "Job 0613" < anna.txt
  garner decide "Job 0613" --from 'camera-rating>=3' --dry-run
  garner decide "Job 0613" --from protected`,
		Args: oneJob,
		RunE: func(c *cobra.Command, args []string) error {
			if from.given(c) {
				return d.decideFrom(c.Context(), args[0], f, who, from, dump)
			}
			return d.decide(c.Context(), args[0], f, who, dump)
		},
	}
	f.add(c, false)
	c.Flags().StringVar(&who, "who", "", "`NAME` of the person who decides (default: the system's user)")
	c.Flags().BoolVar(&dump, "dump", false, "write the standing decisions as lines and end")
	from.add(c)
	return c
}

func (d desk) decide(ctx context.Context, dir string, f jobFlags, who string, dump bool) error {
	if who == "" {
		who = d.who()
	}
	j, err := d.open(dir, f, job.Options{Who: who, Command: "decide", ReadOnly: dump})
	if err != nil {
		return err
	}
	defer j.Close()
	if dump {
		return decide.Dump(j, d.out)
	}
	claim, err := j.Claim()
	if err != nil {
		return claimHint(err)
	}
	defer claim.Release()
	stop := d.mirrored(j, d.notCopied)
	defer stop()
	if err := d.needFrames(ctx, j); err != nil {
		return err
	}
	if d.inTTY {
		d.sayf("one decision a line, such as keep A/IMG_0001; Ctrl-D ends, garner decide --help lists them")
	}
	// A read of a terminal cannot be interrupted; nothing is pending between
	// two lines, so the interrupt may end the program where it stands.
	defer context.AfterFunc(ctx, func() {
		stop()
		claim.Release()
		j.Close()
		d.sayf("interrupted; every decision that was answered with ok is kept")
		d.quit(exitInterrupted)
	})()
	sum, err := decide.Run(ctx, j, d.in, d.out, decide.Options{Who: who, Now: d.now})
	if err != nil {
		return err
	}
	if sum.Refused > 0 {
		return &partlyError{fmt.Sprintf("%s done, %d refused", count(sum.Done, "line"), sum.Refused)}
	}
	return nil
}

func claimHint(err error) error {
	var owned *job.OwnedError
	if errors.As(err, &owned) {
		return hinted(err, "only one at a time decides on a job; the other commands work beside it")
	}
	return err
}
