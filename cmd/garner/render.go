package main

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/output"
	"garner/cull/returned"
)

func renderCommand(d desk) *cobra.Command {
	var f jobFlags
	var o output.Options
	var sets []string
	var preview, picture string
	var tie bool
	c := &cobra.Command{
		Use:   "render JOB",
		Short: "Cut the sets out: files for the lab, online, the screen and the client from the finished pictures",
		Long: `Takes the pictures that the editor gave back (JPEG, TIFF and PNG in JOB/finished, at
any depth) and cuts every set of files into JOB/sets/NAME; each picture is decoded
once for all of them. Sets that are there without any settings:

  lab     all pixels, 300 per inch, quality 95
  online  2048 pixels on the long edge, quality 85, stamped if there is a [stamp],
          without place and serial numbers
  screen  as large as goes into 3840 by 2160, quality 90
  proofs  a page for the client to choose from, by scene and number, and contact
          sheets as PDF; cut with --set proofs, or with skip = false in garner.toml

garner.toml changes them and adds others: a table [sets.NAME] with long_edge, fit or
exact (of pixels, or of paper as in "10x15 cm", "8x10 in" and "A4"; and crop, crop_at,
either_way, enlarge), quality, bytes, chroma, space, ppi, sharpen (sharpen_radius,
sharpen_threshold), stamp, keep, name and skip; and a table [stamp] with text or
picture, font, corner, size, margin, edge, opacity, dark and plain.
In name stand {name}, {number}, {date}, {time}, {frame}, {scene}, {body} and {set}.
[sets.proofs] has title, note, paper (a4, letter, none), columns and rows, and of the
others skip, long_edge, quality, chroma, sharpen and stamp.

Names and numbers stay what they were when pictures are added later. What has not
changed is not cut again; what was interrupted goes on. A file appears whole or not
at all, after it has been decoded once as a check. Pictures are only read, and no
file is removed. Where there is no room, where a set's folder cannot be written, or
where the stamp cannot be made, the files that this concerns are counted and all
others are cut; a set that is to be stamped is not cut without.

--preview shows on the full screen, picture by picture, what a set would be: the very
bytes, with the pixels at the stamp 1:1 and what a crop cuts away. --tie shows the
pictures one by one whose frames cannot be told, beside the frames that they may show.
? shows the keys.

` + exitCodes,
		Example: `  garner render "Job 0613"
  garner render "Job 0613" --set online --set lab
  garner render "Job 0613" --set proofs
  garner render "Job 0613" --dry-run
  garner render "Job 0613" --preview online
  garner render "Job 0613" --tie`,
		Args: oneJob,
		RunE: func(c *cobra.Command, args []string) error {
			if slices.Contains(sets, "") {
				return &usageError{"--set wants the name of a set"}
			}
			shows := c.Flags().Changed("preview")
			switch {
			case !shows && !tie:
				return d.render(c.Context(), args[0], f, o, sets)
			case shows && tie:
				return &usageError{"--preview and --tie are two screens: one at a time"}
			case shows && preview == "":
				return &usageError{"--preview wants the name of a set"}
			case len(sets) > 0 || o.DryRun || o.Force || f.json:
				return &usageError{"--preview and --tie cut no sets: they go together with --state and --picture alone"}
			case tie:
				return d.tie(c.Context(), args[0], f, picture)
			}
			return d.trial(c.Context(), args[0], f, preview, picture)
		},
	}
	f.add(c, true)
	c.Flags().StringArrayVar(&sets, "set", nil, "cut this set alone (may be given several times), also one with skip = true")
	c.Flags().BoolVar(&o.DryRun, "dry-run", false, "say what would be cut, and write nothing")
	c.Flags().BoolVar(&o.Force, "force", false, "cut again what has not changed, too")
	c.Flags().StringVar(&preview, "preview", "", "show on the full screen what the set `NAME` would be, and the others beside it; nothing is written")
	c.Flags().BoolVar(&tie, "tie", false, "say on the full screen which frames those pictures show of which nothing can be told")
	c.Flags().StringVar(&picture, "picture", "auto", "how pictures get onto the terminal then, as of garner cull")
	return c
}

func (d desk) render(ctx context.Context, dir string, f jobFlags, o output.Options, names []string) error {
	j, err := d.openPrepared(dir, f, job.Options{Command: "render"})
	if err != nil {
		return err
	}
	defer j.Close()
	if err := d.typos(j); err != nil {
		return err
	}
	for _, o := range j.Brought() {
		d.sayf("the %s %s of the stamp is not there: %s, which came with the job, is used", o.What, cull.Plain(o.From), cull.Plain(o.Path))
	}
	every := output.Sets(j.Settings())
	chosen, unknown := output.Choose(every, names)
	if unknown != "" {
		return &usageError{"there is no set " + unknown + "; there are " + setNames(every)}
	}
	o.Sets, o.Now = chosen, d.now
	if o.Ties, err = d.ties(ctx, dir, j, f, o.DryRun); err != nil {
		return err
	}
	var noted remarks
	var shared hindrances
	o.Line = func(l output.Line) {
		if l.Action != output.Failed && l.Action != output.Kept && len(l.Remarks) > 0 {
			noted.add(l)
		}
		shared.count(l)
		d.renderLine(f.json, o.DryRun, l)
	}
	o.Progress = d.renderProgress(f.json)
	sum, err := output.Run(ctx, j, o)
	if f.json && (err == nil || sum.Pictures > 0) {
		if jerr := d.object(renderDone(sum)); err == nil {
			err = jerr
		}
	}
	d.sayHindrances(shared, err == nil)
	if err != nil {
		return hinted(err, renderHints(err, j)...)
	}
	d.sayRemarks(noted)
	d.renderSummary(o, sum)
	if n := sum.Failures(); n > 0 {
		return &partlyError{count(n, "file") + " could not be made; the reasons are above"}
	}
	return nil
}

// ties finds the frames of the pictures, and says what is missing or odd before anything
// is cut.
func (d desk) ties(ctx context.Context, dir string, j *job.Job, f jobFlags, dry bool) (output.Ties, error) {
	m, err := returned.Match(ctx, j, returned.Options{ReadOnly: dry, Progress: d.matching})
	if err != nil {
		return nil, err
	}
	frames, err := j.Frames()
	if err != nil {
		return nil, err
	}
	if len(m.Pictures) > 0 {
		lines := m.Report.Lines(returned.NamesOf(frames))
		for _, l := range lines {
			d.sayf("%s", cull.Plain(l))
		}
		if len(m.Report.Open)+len(m.Report.Doubtful) > 0 {
			d.hintf("garner render %s --tie shows these pictures beside frames, to be tied by hand", shellWord(dir))
		}
		if f.json {
			if lines == nil {
				lines = []string{}
			}
			if err := d.object(map[string]any{"v": 1, "event": "report", "lines": lines}); err != nil {
				return nil, err
			}
		}
	}
	return output.FrameTies(j, m)
}

func setNames(sets []output.Set) string {
	var names []string
	for _, s := range sets {
		names = append(names, s.Name)
	}
	return strings.Join(names, ", ")
}

type jsonRendered struct {
	V       int           `json:"v"`
	Event   string        `json:"event"`
	Set     string        `json:"set,omitempty"`
	Picture string        `json:"picture,omitempty"`
	Raw     string        `json:"raw,omitempty"`
	File    string        `json:"file,omitempty"`
	Number  *int          `json:"number"`
	Action  output.Action `json:"action"`
	Reason  string        `json:"reason,omitempty"`
	Remarks []string      `json:"remarks,omitempty"`
	Width   *int          `json:"width"`
	Height  *int          `json:"height"`
	Bytes   *int64        `json:"bytes"`
	Quality *int          `json:"quality"`
}

func (d desk) renderLine(json, dry bool, l output.Line) {
	if json {
		_ = d.object(jsonRendered{1, "file", l.Set, l.Picture, rawName(l.Picture), l.File, known(l.Number), l.Action, l.Reason, l.Remarks,
			known(l.Width), known(l.Height), known(l.Bytes), known(l.Quality)})
	}
	what := "sets/" + l.Set
	switch {
	case l.Set == "":
		what = output.FinishedFolder + "/" + l.Picture
	case l.File != "":
		what += "/" + l.File
	}
	if l.Set != "" && l.Picture != "" {
		what += " of " + l.Picture
	}
	switch {
	case l.Cause != nil, l.Action == output.Kept: // counted, or one sentence in the end
	case l.Action == output.Failed:
		d.sayf("%s: %s", cull.Plain(what), cull.Plain(l.Reason))
	case l.Action == output.Wanted && dry:
		d.sayf("%s", cull.Plain(what))
	}
}

// renderProgress says how far it is: for programs once a second.
func (d desk) renderProgress(json bool) func(output.Progress) {
	var last time.Time
	return func(p output.Progress) {
		if p.Reading {
			d.progressf("looking at pictures: %d of %d", p.Done, p.Total)
			return
		}
		text := fmt.Sprintf("%d of %s cut", p.Done, count(p.Total, "picture"))
		if p.PerSecond > 0 && p.Done < p.Total {
			text += fmt.Sprintf(", %.1f a second, %s", p.PerSecond, left(p.Left))
		}
		d.progressf("%s", text)
		if now := d.now(); json && now.Sub(last) >= time.Second {
			last = now
			_ = d.object(map[string]any{"v": 1, "event": "progress", "done": p.Done, "total": p.Total, "failed": p.Failed, "per_second": known(p.PerSecond), "seconds_left": known(p.Left.Seconds())})
		}
	}
}

func renderDone(sum output.Summary) map[string]any {
	return map[string]any{"v": 1, "event": "done", "pictures": sum.Pictures, "decodes": sum.Decodes, "written": sum.Files[output.Written],
		"unchanged": sum.Files[output.Unchanged], "kept": sum.Files[output.Kept], "would_be_written": sum.Files[output.Wanted], "left": sum.Files[output.Left],
		"failed": sum.Failures(), "bytes": sum.Bytes, "seconds": sum.Took.Seconds()}
}

func (d desk) renderSummary(o output.Options, sum output.Summary) {
	sets := setNames(o.Sets)
	if o.DryRun {
		d.sayf("%s from %s would be cut (%s), %d are as they are to be; nothing was written", count(sum.Files[output.Wanted], "file"), count(sum.Pictures, "picture"), sets, sum.Files[output.Unchanged])
		return
	}
	text := fmt.Sprintf("%s from %s (%s): %d cut, %d unchanged", count(sum.Files[output.Written]+sum.Files[output.Unchanged], "file"), count(sum.Pictures, "picture"), sets, sum.Files[output.Written], sum.Files[output.Unchanged])
	if sum.Files[output.Written] > 0 {
		text += ", " + size(sum.Bytes)
	}
	if sum.Decodes > 0 {
		text += fmt.Sprintf(", %s decoded, each once", count(sum.Decodes, "picture"))
	}
	d.sayf("%s", text)
	if sum.ReadBack {
		d.sayf("names were read back from the files of the sets: sets/%s did not have them", output.LedgerName)
	}
	if len(sum.Kept) > 0 {
		d.sayf("changed by somebody since they were cut, and left as they are, in %s: %s (--force cuts them anew)", output.SetsFolder, some(sum.Kept))
	}
	if n := sum.Files[output.Left]; n > 0 {
		d.sayf("files left in the sets of pictures that are gone, or of former names: %d (render --json lists them)", n)
	}
	if n := len(sum.Others); n > 0 {
		d.sayf("of kinds that are not read, in %s: %s", output.FinishedFolder, some(sum.Others))
	}
}

// showSets says how far the sets are.
func (d desk) showSets(sets output.Standing) {
	if sets.Finished == 0 && len(sets.Sets) == 0 {
		return
	}
	var parts []string
	for _, name := range slices.Sorted(maps.Keys(sets.Sets)) {
		parts = append(parts, fmt.Sprintf("%s %d", name, sets.Sets[name]))
	}
	text := ""
	if len(parts) > 0 {
		text = ", cut: " + strings.Join(parts, ", ")
	}
	if sets.Waiting > 0 {
		text += fmt.Sprintf("; %d to be cut", sets.Waiting)
	}
	d.sayf("  finished: %s%s", count(sets.Finished, "picture"), text)
}
