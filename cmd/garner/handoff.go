package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"garner/cull"
	"garner/cull/handoff"
	"garner/cull/job"
	"garner/cull/sidecar"
)

func handoffCommand(d desk) *cobra.Command {
	var f jobFlags
	var o handoff.Options
	var style string
	c := &cobra.Command{
		Use:   "handoff JOB",
		Short: "Give the decisions to the raw editor: sidecars, lists, copies",
		Long: `Writes an XMP sidecar beside each keeper (xmp:Rating, xmpDM:good, scene, body) and
the lists keeps.txt, keeps.csv and keeps.json into the job. A sidecar that is
there keeps everything that is not ours, byte for byte; somebody else's rating
is never replaced without --replace. Who took the picture (dc:creator), who is to
be named (the IPTC credit line) and whose it is (dc:rights) are written where the
studio file says so, and never over what somebody else wrote. With --times, frames of a
body whose clock was corrected also get the corrected time (exif:DateTimeOriginal,
xmp:CreateDate). Running it again writes only what changed and takes back what was
decided otherwise or is no longer asked for. Originals are never written.

With --to, verified copies of the keepers with their sidecars go into DIR, a
folder for each scene, named in the day's order (0412-A-IMG_0001).

` + exitCodes,
		Example: `  garner handoff "Job 0613"
  garner handoff "Job 0613" --drops --sidecar both
  garner handoff "Job 0613" --times
  garner handoff "Job 0613" --to "/Volumes/Edit/Job 0613"`,
		Args: oneJob,
		RunE: func(c *cobra.Command, args []string) error {
			if c.Flags().Changed("to") && o.To == "" {
				return &usageError{"--to wants a folder"}
			}
			if o.Rating < 1 || o.Rating > 5 {
				return &usageError{"--rating is 1 to 5"}
			}
			switch o.Style = sidecar.Style(style); o.Style {
			case sidecar.Short, sidecar.Full, sidecar.Both:
			default:
				return &usageError{"--sidecar is short, full or both"}
			}
			return d.handoff(c.Context(), args[0], f, o)
		},
	}
	f.add(c, true)
	c.Flags().BoolVar(&o.Drops, "drops", false, "dropped frames get a sidecar too (xmp:Rating -1)")
	c.Flags().IntVar(&o.Rating, "rating", 1, "xmp:Rating of a keeper, 1 to 5")
	c.Flags().BoolVar(&o.Keywords, "keywords", false, "later passes that said yes become keywords (dc:subject)")
	c.Flags().StringVar(&style, "sidecar", "short", "name of new sidecars: short (IMG_0001.xmp), full (IMG_0001.CR3.xmp) or both")
	c.Flags().BoolVar(&o.Replace, "replace", false, "replace ratings and capture times that somebody else gave")
	c.Flags().BoolVar(&o.Times, "times", false, "write corrected capture times where a clock was corrected")
	c.Flags().StringVar(&o.To, "to", "", "verified copies of the keepers into `DIR`")
	return c
}

type jsonHandoff struct {
	V       int            `json:"v"`
	ID      cull.ID        `json:"id"`
	Frame   string         `json:"frame"`
	Raw     string         `json:"raw,omitempty"`
	Sidecar string         `json:"sidecar,omitempty"`
	Copy    string         `json:"copy,omitempty"`
	Action  handoff.Action `json:"action"`
	Reason  string         `json:"reason,omitempty"`
}

func (d desk) handoff(ctx context.Context, dir string, f jobFlags, o handoff.Options) error {
	j, err := d.openPrepared(dir, f, job.Options{Command: "handoff"})
	if err != nil {
		return err
	}
	defer j.Close()
	if err := d.needFrames(ctx, j); err != nil {
		return err
	}
	o.Line = func(l handoff.Line) { d.handoffLine(f.json, l) }
	o.Progress = func(done, total int, what string) {
		d.progressf("%s: %d of %d frames", what, done, total)
	}
	sum, err := handoff.Run(ctx, j, o)
	d.copyJournals(ctx, j)
	if f.json {
		if jerr := d.object(handoffDone(sum)); err == nil {
			err = jerr
		}
	}
	if err != nil {
		if errors.Is(err, handoff.ErrInsideJob) {
			return hinted(err, "choose a folder outside of the job; prepare would take the copies for frames")
		}
		return err
	}
	d.handoffSummary(o, sum)
	if n := sum.Failed(); n > 0 {
		return &partlyError{fmt.Sprintf("%s could not be written; the reasons are above", count(n, "file"))}
	}
	return nil
}

func (d desk) handoffLine(json bool, l handoff.Line) {
	if json {
		_ = d.object(jsonHandoff{1, l.ID, l.Frame, rawName(l.Frame), l.Sidecar, l.Copy, l.Action, l.Reason})
	}
	switch l.Action {
	case handoff.Conflict, handoff.Failed:
		d.sayf("%s: %s: %s", cull.Plain(l.Sidecar+l.Copy), l.Action, cull.Plain(l.Reason))
	case handoff.Skipped:
		if l.Reason != "" {
			d.sayf("%s: left as it is: %s", cull.Plain(l.Sidecar+l.Copy), cull.Plain(l.Reason))
		}
	}
}

func handoffDone(sum handoff.Summary) map[string]any {
	o := map[string]any{"v": 1, "done": true, "keeps": sum.Keeps, "parts": sum.Parts, "in_file_kinds": sum.InFile}
	for _, a := range []handoff.Action{handoff.Written, handoff.Merged, handoff.Unchanged, handoff.Withdrawn, handoff.Conflict, handoff.Skipped, handoff.Failed} {
		o[string(a)] = sum.Sidecars[a]
	}
	if len(sum.Copies) > 0 {
		o["copies"] = sum.Copies
		o["copied_bytes"] = sum.CopiedBytes
	}
	return o
}

func (d desk) handoffSummary(o handoff.Options, sum handoff.Summary) {
	parts := ""
	if sum.Parts > 0 {
		parts = fmt.Sprintf(" and %s for merging", count(sum.Parts, "part"))
	}
	d.sayf("%s%s handed over: sidecars %d written, %d merged, %d unchanged, %d taken back, %d in conflict", count(sum.Keeps, "keeper"), parts,
		sum.Sidecars[handoff.Written], sum.Sidecars[handoff.Merged], sum.Sidecars[handoff.Unchanged], sum.Sidecars[handoff.Withdrawn], sum.Sidecars[handoff.Conflict])
	d.sayf("lists in the job: %s", orDash(strings.Join(sum.Lists, ", ")))
	if sum.Sidecars[handoff.Conflict] > 0 {
		d.hintf("a conflict is somebody else's rating or time, left as it is; --replace puts ours in its place")
	}
	if sum.InFile > 0 {
		d.sayf("JPEG, HEIF, TIFF or DNG among the keepers: %d; many editors read no sidecar for those", sum.InFile)
	}
	if o.To != "" {
		d.sayf("copies in %s: %d written and read back, %d already there", cull.Plain(o.To), sum.Copies[handoff.Written], sum.Copies[handoff.Unchanged])
		if sum.UnverifiedRead {
			d.sayf("this system could not read all copies back past its cache: the sums are right, the medium is not proven")
		}
		if len(sum.NoLongerKept) > 0 {
			d.sayf("copies left there of frames that are no keepers any more: %s", some(sum.NoLongerKept))
		}
	}
	if sum.NotInText > 0 {
		d.sayf("%s with a line break in the name: not in keeps.txt, but in the other lists", count(sum.NotInText, "keeper"))
	}
}
