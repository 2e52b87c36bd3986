package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"garner/cull"
	"garner/cull/closing"
	"garner/cull/job"
)

func archiveCommand(d desk) *cobra.Command {
	var f jobFlags
	var o closing.Options
	var to string
	var also []string
	var ff freeFlags
	var bf bagFlags
	var forget string
	c := &cobra.Command{
		Use:   "archive JOB | --check BAG... | --open BAG JOB",
		Short: "Put the job away: a bag of everything, with small pictures of what was dropped",
		Long: `Makes a bag of the job in DIR (BagIt 1.0, RFC 8493, with SHA-256 and SHA-512): every
file of the job but the originals of dropped frames; of each of these the largest JPEG
that the camera put into it, as it is; and what the job knows: decisions, scenes,
moments, clocks, measurements, thumbnails. A README.txt in it says how to read it.
With --also the same goes to other folders, from one reading. Every byte is read back
from each, past the system's cache where the system can.

A bag grows: run again, it gets what is new or was decided otherwise, and nothing in it
is replaced. What is there already is read back. An original of a dropped frame that
holds no whole JPEG is kept whole. Nothing in the job is written but the note of where
its bags are, and nothing is deleted; status says when the folder may be.

` + freeLong + forgetLong + bagLong + exitCodes,
		Example: `  garner archive "Job 0613" --to /Volumes/Shelf --dry-run
  garner archive "Job 0613" --to /Volumes/Shelf --also /Volumes/Second
  garner archive "Job 0613" --to /Volumes/Shelf --small 2048
  garner archive "Job 0613" --free --dry-run
  garner archive "Job 0613" --free --confirm "Job 0613"
  garner archive "Job 0613" --forget "/Volumes/Second/Job 0613"
  garner archive --check /Volumes/Shelf
  garner archive --open "/Volumes/Shelf/Job 0613" "Job 0613 again"`,
		Args: bf.args,
		RunE: func(c *cobra.Command, args []string) error {
			switch {
			case bf.check:
				return d.checkBags(c.Context(), args, f.json)
			case bf.open:
				return d.openBag(c.Context(), args[0], args[1], f)
			}
			switch freeing, err := ff.asked(c); {
			case err != nil:
				return err
			case c.Flags().Changed("forget"):
				return d.forgetBag(c.Context(), args[0], f, forget, ff.confirm, o.DryRun)
			case freeing:
				var bags []string
				if to != "" {
					bags = append(bags, to)
				}
				return d.freeOriginals(c.Context(), args[0], f, ff, append(bags, also...), o.DryRun)
			}
			if to == "" {
				return hinted(&usageError{"--to wants a folder for the bag"}, "garner status "+jobWords(args[0], f)+" says where the job's bags are")
			}
			if slices.Contains(also, "") {
				return &usageError{"--also wants a folder"}
			}
			if c.Flags().Changed("small") && (o.Small < minSmall || o.Small > maxSmall) {
				return &usageError{fmt.Sprintf("--small is %d to %d pixels", minSmall, maxSmall)}
			}
			o.Dirs = append([]string{to}, also...)
			return d.archive(c.Context(), args[0], f, o)
		},
	}
	f.add(c, true)
	bf.add(c)
	c.Flags().StringVar(&to, "to", "", "make the bag in `DIR`, as DIR/JOB")
	c.Flags().StringArrayVar(&also, "also", nil, "and another in `DIR` (may be given several times)")
	c.Flags().BoolVar(&o.Sets, "sets", false, "take the sets along that render has cut")
	c.Flags().IntVar(&o.Small, "small", 0, "bring small pictures down to `N` pixels on the long edge")
	ff.add(c)
	c.Flags().StringVar(&forget, "forget", "", "note that the bag `DIR` is gone and one of the job's no longer")
	c.Flags().BoolVar(&o.DryRun, "dry-run", false, "say what would be done, and write nothing")
	return c
}

// What --small may ask for: below a thousand or so a face is not to be known any more.
const (
	minSmall = 256
	maxSmall = 20000
)

func (d desk) archive(ctx context.Context, dir string, f jobFlags, o closing.Options) error {
	j, err := d.openPrepared(dir, f, job.Options{Command: "archive"})
	if err != nil {
		return err
	}
	defer j.Close()
	if err := d.needFrames(ctx, j); err != nil {
		return err
	}
	o.Now = d.now
	o.File = func(l closing.File) { d.archiveLine(f.json, l) }
	o.Remark = func(text string) { d.sayf("%s", cull.Plain(text)) }
	o.Progress = d.archiveProgress(f.json)
	sum, err := closing.Run(ctx, j, o)
	if !o.DryRun {
		d.copyJournals(ctx, j)
	}
	if f.json && (err == nil || len(sum.Places) > 0) {
		if jerr := d.object(archiveDone(o, sum, ctx.Err() != nil)); err == nil {
			err = jerr
		}
	}
	if err != nil {
		return archiveHint(err)
	}
	d.archiveSummary(jobWords(dir, f), o, sum)
	if n := sum.Failures(); n > 0 {
		return &partlyError{fmt.Sprintf("%s not archived as it should be; the reasons are above", count(n, "thing"))}
	}
	return nil
}

func archiveHint(err error) error {
	switch {
	case errors.Is(err, closing.ErrInside), errors.Is(err, closing.ErrHolds):
		return hinted(err, "choose a folder for bags on another disk; the bag gets a folder of its own in it")
	case errors.Is(err, closing.ErrBusy):
		return hinted(err, "wait until that one is done")
	}
	return err
}

func (d desk) archiveLine(json bool, l closing.File) {
	if json {
		o := map[string]any{"v": 1, "event": "file", "path": l.Path, "bag": known(l.Bag), "action": l.Action, "bytes": l.Bytes}
		if raw := rawName(l.Path); raw != "" {
			o["raw"] = raw
		}
		if l.Why != "" {
			o["why"] = l.Why
		}
		_ = d.object(o)
	}
	switch l.Action {
	case closing.Failed, closing.Passed:
		d.sayf("%s: %s: %s", cull.Plain(l.Path), l.Action, cull.Plain(l.Why))
	}
}

// archiveProgress says how far it is: for programs once a second.
func (d desk) archiveProgress(json bool) func(closing.Progress) {
	var last, began time.Time
	var stage string
	return func(p closing.Progress) {
		now := d.now()
		if at := string(p.Stage) + p.Place; at != stage {
			stage, began = at, now
		}
		text := fmt.Sprintf("%s: %d of %d", p.Stage, p.Done, p.Total)
		if p.Place != "" {
			text = fmt.Sprintf("%s from %s: %d of %d", p.Stage, cull.Plain(p.Place), p.Done, p.Total)
		}
		if p.All > 0 {
			text += ", " + rate(p.Bytes, p.All, now.Sub(began))
		}
		d.progressf("%s", text)
		if json && now.Sub(last) >= time.Second {
			last = now
			o := map[string]any{"v": 1, "event": "progress", "stage": p.Stage, "place": known(p.Place), "done": p.Done, "total": p.Total, "bytes": p.Bytes, "all": known(p.All)}
			o["per_second"], o["seconds_left"] = nil, nil
			if spent := now.Sub(began).Seconds(); spent >= 1 && p.Bytes > 0 {
				perSecond := float64(p.Bytes) / spent
				o["per_second"], o["seconds_left"] = perSecond, float64(p.All-p.Bytes)/perSecond
			}
			_ = d.object(o)
		}
	}
}

func archiveDone(o closing.Options, sum closing.Summary, interrupted bool) map[string]any {
	places := []map[string]any{}
	for _, p := range sum.Places {
		place := map[string]any{"path": p.Dir, "added": p.Added, "bytes": p.Bytes, "files": p.Held, "proven": p.Proven, "from_medium": p.Proven && p.Bypassed, "why": nil}
		if raw := rawName(p.Dir); raw != "" {
			place["raw"] = raw
		}
		if p.Err != nil {
			place["why"] = p.Reason()
		}
		places = append(places, place)
	}
	whole := []string{}
	for _, l := range sum.Whole {
		whole = append(whole, l.Path)
	}
	done := map[string]any{"v": 1, "event": "done", "dry_run": o.DryRun, "interrupted": interrupted, "record": known(sum.Run), "new_record": sum.New, "places": places,
		"added": sum.Files[closing.Added], "present": sum.Files[closing.Present], "small_pictures": sum.Files[closing.Smaller], "left_out": sum.Files[closing.Passed], "failed": sum.Failures(),
		"kept_whole": whole, "original_bytes": sum.Bytes[closing.Smaller], "small_bytes_made": sum.Small, "sets_left_out": sum.Sets, "changed_meanwhile": orEmpty(sum.Changed),
		"safe": known(sum.Safe), "why": orEmpty(sum.Why), "seconds": sum.Took.Seconds()}
	if !o.DryRun && !interrupted {
		done["safe"] = sum.Safe
	}
	return done
}

// orEmpty is a list that JSON writes as one, also where there is nothing.
func orEmpty(list []string) []string {
	if list == nil {
		return []string{}
	}
	return list
}

func (d desk) archiveSummary(dir string, o closing.Options, sum closing.Summary) {
	would := ""
	if o.DryRun {
		would = " would be"
	}
	var bytes int64
	for _, a := range []closing.Action{closing.Added, closing.Present} {
		bytes += sum.Bytes[a]
	}
	smaller := ""
	if n := sum.Files[closing.Smaller]; n > 0 {
		smaller = fmt.Sprintf("; of %s of dropped frames (%s) small pictures%s", count(n, "original"), size(sum.Bytes[closing.Smaller]), smallText(sum.Small, o))
	}
	d.sayf("%s of the job%s in the bag (%s), %d of them new%s",
		count(sum.Files[closing.Added]+sum.Files[closing.Present], "file"), would, size(bytes), sum.Files[closing.Added], smaller)
	for _, l := range sum.Whole {
		d.sayf("kept whole, since no small picture can be made: %s: %s", cull.Plain(l.Path), cull.Plain(l.Why))
	}
	if sum.Sets > 0 {
		d.sayf("not taken along: %s of sets, which render cuts again (--sets takes them)", count(sum.Sets, "file"))
	}
	if sum.Unlooked > 0 {
		text := "it is not found by what it looks like"
		if sum.Unlooked > 1 {
			text = "they are not found by what they look like"
		}
		d.sayf("no picture could be made of %s: %s", count(sum.Unlooked, "frame"), text)
	}
	if len(sum.Changed) > 0 {
		d.sayf("changed in the job meanwhile: %s", some(sum.Changed))
	}
	for _, p := range sum.Places {
		switch {
		case p.Err != nil:
			d.sayf("%s: %s", cull.Plain(p.Dir), cull.Plain(p.Reason()))
		case o.DryRun:
			d.sayf("%s: the bag would be here", cull.Plain(p.Dir))
		default:
			d.sayf("%s: %s added (%s), %d read back and right%s", cull.Plain(p.Dir), count(p.Added, "file"), size(p.Bytes), p.Held, cachedText(p))
		}
	}
	switch {
	case o.DryRun:
		d.sayf("nothing was written")
	case sum.Safe:
		d.sayf("this folder is safe to delete: every byte of it that was to be kept was read back from every bag")
	default:
		d.sayf("the folder %s must not be deleted yet:", dir)
		for _, why := range sum.Why {
			d.sayf("  %s", cull.Plain(why))
		}
	}
}

func smallText(made int64, o closing.Options) string {
	switch {
	case made == 0:
		return ""
	case o.DryRun && o.Small > 0:
		return fmt.Sprintf(" of %d pixels; as the camera made them they would take about %s", o.Small, size(made))
	case o.DryRun:
		return " of about " + size(made)
	}
	return ", " + size(made) + " of them made now"
}

func cachedText(p closing.Place) string {
	if p.Bypassed {
		return ""
	}
	return ", from the system's cache in part, since the system can't do better"
}
