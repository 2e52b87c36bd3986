package main

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/verify"
)

func verifyCommand(d desk) *cobra.Command {
	var f jobFlags
	var record bool
	c := &cobra.Command{
		Use:   "verify JOB",
		Short: "Check every original against its recorded sum, and the catalogue against itself",
		Long: `Reads every original whole and compares it with .garner/manifest-sha256.txt (which
"sha256sum -c" reads as well), and holds catalogue, journal and decisions
against each other. With --record, files that are not in the manifest yet are
added: for a folder that garner did not copy itself.

` + exitCodes,
		Example: "  garner verify \"Job 0613\"\n  garner verify \"Job 0613\" --record",
		Args:    oneJob,
		RunE: func(c *cobra.Command, args []string) error {
			return d.verify(c.Context(), args[0], f, record)
		},
	}
	f.add(c, true)
	c.Flags().BoolVar(&record, "record", false, "take files that are not in the manifest into it")
	return c
}

func (d desk) verify(ctx context.Context, dir string, f jobFlags, record bool) error {
	j, err := d.open(dir, f, job.Options{Command: "verify"})
	if err != nil {
		return err
	}
	defer j.Close()
	if err := d.needFrames(ctx, j); err != nil {
		return err
	}
	start := d.now()
	sum, err := verify.Run(ctx, j, verify.Options{
		Record: record,
		Line: func(l verify.Line) {
			if f.json {
				_ = d.object(map[string]any{"v": 1, "event": "file", "path": l.Path, "state": l.State, "reason": l.Reason})
			}
			if l.State != verify.New && l.State != verify.Recorded {
				d.sayf("%s: %s %s", cull.Plain(l.Path), l.State, cull.Plain(l.Reason))
			}
		},
		Progress: func(files, total int, bytes, all int64) {
			d.progressf("%d of %d files, %s", files, total, rate(bytes, all, d.now().Sub(start)))
		},
	})
	for _, s := range sum.Catalogue {
		d.sayf("catalogue: %s", cull.Plain(s))
	}
	if f.json {
		_ = d.object(map[string]any{"v": 1, "event": "done", "files": sum.Files, "bytes": sum.Bytes, "catalogue": sum.Catalogue, "bad": sum.Bad()})
	}
	if err != nil {
		return err
	}
	d.sayf("%d files are as recorded, %d newly recorded, %d not recorded, %d moved, %d wrong; the catalogue is %s",
		sum.Files[verify.Same], sum.Files[verify.Recorded], sum.Files[verify.New], sum.Files[verify.Moved],
		sum.Files[verify.Changed]+sum.Files[verify.Missing]+sum.Files[verify.Unreadable], map[bool]string{true: "sound", false: "damaged"}[len(sum.Catalogue) == 0])
	if sum.Files[verify.New] > 0 {
		d.hintf("garner verify %s --record takes the files that are not recorded into the manifest", shellWord(dir))
	}
	if sum.Bad() > 0 {
		return &partlyError{fmt.Sprintf("%d things are wrong; they are listed above", sum.Bad())}
	}
	return nil
}
