package main

import (
	"context"
	"fmt"
	"strings"
	"time"

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

// The stream of verify --json: a file that is not as recorded, once a second how
// far it is, and the end, which comes also when it was interrupted.
type (
	jsonVerified struct {
		V      int          `json:"v"`
		Event  string       `json:"event"`
		Path   string       `json:"path"`
		Raw    string       `json:"raw,omitempty"`
		State  verify.State `json:"state"`
		Reason string       `json:"reason,omitempty"`
	}
	jsonProgress struct {
		V     int    `json:"v"`
		Event string `json:"event"`
		Files int    `json:"files"`
		Total int    `json:"total"`
		Bytes int64  `json:"bytes"`
		All   int64  `json:"all"`
	}
	jsonVerifyDone struct {
		V         int                  `json:"v"`
		Event     string               `json:"event"`
		Files     map[verify.State]int `json:"files"`
		Bytes     int64                `json:"bytes"`
		Catalogue []string             `json:"catalogue"`
		Bad       int                  `json:"bad"`
	}
)

func (d desk) verify(ctx context.Context, dir string, f jobFlags, record bool) error {
	j, err := d.openPrepared(dir, f, job.Options{Command: "verify"})
	if err != nil {
		return err
	}
	defer j.Close()
	if err := d.needFrames(ctx, j); err != nil {
		return err
	}
	start := d.now()
	told := start
	sum, err := verify.Run(ctx, j, verify.Options{
		Record: record,
		Line: func(l verify.Line) {
			if f.json {
				_ = d.object(jsonVerified{1, "file", l.Path, rawName(l.Path), l.State, l.Reason})
			}
			if l.State != verify.New && l.State != verify.Recorded {
				d.sayf("%s: %s", cull.Plain(l.Path), strings.TrimSuffix(string(l.State)+": "+cull.Plain(l.Reason), ": "))
			}
		},
		Progress: func(files, total int, bytes, all int64) {
			d.progressf("%d of %d files, %s", files, total, rate(bytes, all, d.now().Sub(start)))
			if f.json && d.now().Sub(told) >= time.Second {
				told = d.now()
				_ = d.object(jsonProgress{1, "progress", files, total, bytes, all})
			}
		},
	})
	for _, s := range sum.Catalogue {
		d.sayf("catalogue: %s", cull.Plain(s))
	}
	if f.json {
		_ = d.object(jsonVerifyDone{1, "done", sum.Files, sum.Bytes, append([]string{}, sum.Catalogue...), sum.Bad()})
	}
	if err != nil {
		return err
	}
	d.sayf("as recorded: %s; %d newly recorded, %d not recorded, %d moved, %d wrong; the catalogue is %s",
		count(sum.Files[verify.Same], "file"), sum.Files[verify.Recorded], sum.Files[verify.New], sum.Files[verify.Moved],
		sum.Files[verify.Changed]+sum.Files[verify.Missing]+sum.Files[verify.Unreadable], map[bool]string{true: "sound", false: "damaged"}[len(sum.Catalogue) == 0])
	if sum.Files[verify.New] > 0 {
		d.hintf("garner verify %s --record takes the files that are not recorded into the manifest", shellWord(dir))
	}
	if sum.Bad() > 0 {
		return &partlyError{fmt.Sprintf("wrong: %s, listed above", count(sum.Bad(), "thing"))}
	}
	return nil
}
