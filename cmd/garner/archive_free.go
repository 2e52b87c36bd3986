package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"garner/cull"
	"garner/cull/closing/free"
	"garner/cull/job"
)

// freeFlags are those of archive that delete originals.
type freeFlags struct {
	free, retire bool
	confirm      string
	o            free.Options
}

const freeLong = `--free gives the disk back: it deletes the raw originals of frames that were dropped
(of a pair of raw and JPEG the raw alone), of each of which a small picture is in every
bag of the job. All bags have to be reachable and are read whole first; then each file
is proved and deleted, one after the other, and the journal says so. What stays is
JOB/small: the camera's JPEGs, or what --small made of them, with which the frames live
on. Never touched are frames
that are open, kept, rescued or material for a merge, clips, JPEGs, voice notes and
sidecars.
It asks for the job's name; --confirm NAME answers for scripts, --dry-run only says
what would go. Frames that nobody saw before they were dropped stay (--unshown lets
them go), and nothing goes while keepers have no finished picture (--unfinished).
Interrupted, it goes on. --retire deletes the raw originals of keepers too, if two bags
on two disks have them.

`

func (f *freeFlags) add(c *cobra.Command) {
	c.Flags().BoolVar(&f.free, "free", false, "delete the raw originals of dropped frames, after proof")
	c.Flags().BoolVar(&f.retire, "retire", false, "delete those of kept frames too, which two bags on two disks must have")
	c.Flags().StringVar(&f.confirm, "confirm", "", "with --free or --forget: `NAME` of the job's folder, in place of the question")
	c.Flags().BoolVar(&f.o.Unshown, "unshown", false, "with --free: also what was dropped before it had been shown")
	c.Flags().BoolVar(&f.o.Unfinished, "unfinished", false, "with --free: although keepers have no finished picture")
}

// asked reports whether originals are to be deleted, and refuses what does not go
// together with that, or means nothing without.
func (f *freeFlags) asked(c *cobra.Command) (bool, error) {
	want := f.free || f.retire
	wrong := []string{"sets", "small"}
	switch forget := c.Flags().Changed("forget"); {
	case forget:
		return false, f.alone(c)
	case !want:
		wrong = []string{"confirm", "unshown", "unfinished"}
	}
	for _, name := range wrong {
		switch {
		case !c.Flags().Changed(name):
		case want:
			return false, &usageError{fmt.Sprintf("--%s is for making a bag: it does not go together with --free or --retire", name)}
		case name == "confirm":
			return false, &usageError{"--confirm goes together with --free, --retire or --forget alone"}
		default:
			return false, &usageError{fmt.Sprintf("--%s goes together with --free or --retire alone", name)}
		}
	}
	return want, nil
}

// alone refuses what means nothing beside --forget.
func (f *freeFlags) alone(c *cobra.Command) error {
	for _, name := range []string{"to", "also", "sets", "small", "free", "retire", "unshown", "unfinished"} {
		if c.Flags().Changed(name) {
			return &usageError{"--forget is done by itself: it does not go together with --" + name}
		}
	}
	if c.Flags().Lookup("forget").Value.String() == "" {
		return &usageError{"--forget wants the folder of a bag"}
	}
	return nil
}

func (d desk) freeOriginals(ctx context.Context, dir string, f jobFlags, ff freeFlags, bags []string, dryRun bool) error {
	j, err := d.openPrepared(dir, f, job.Options{Command: freeing, ReadOnly: dryRun})
	if err != nil {
		return err
	}
	defer j.Close()
	if !dryRun {
		if err := d.needFrames(ctx, j); err != nil {
			return err
		}
	}
	o := ff.o
	o.Retire, o.Bags, o.DryRun = ff.retire, bags, dryRun
	o.Progress = d.freeProgress(f.json)
	o.Gone = func(x free.File) { d.freeLine(f.json, "freed", x.Path, x.Frame, x.Bytes, "") }
	o.Stays = func(x free.Stay) { d.stays(f.json, x) }
	work, err := free.Look(ctx, j, o)
	if err != nil {
		return d.freeHint(err, jobWords(dir, f))
	}
	d.showPlan(f.json, work)
	switch err := work.Refused(); {
	case err != nil:
		return d.freeHint(err, jobWords(dir, f))
	case dryRun:
		d.sayf("nothing was read whole yet, and nothing was deleted")
		return d.freeDone(f.json, true, false, work, free.Summary{})
	case len(work.Go) == 0:
		d.sayf("there is nothing to delete")
		return d.freeDone(f.json, false, false, work, free.Summary{})
	}
	if err := d.confirmed(j, ff.confirm, "originals are deleted only if that is confirmed", "delete them"); err != nil {
		return err
	}
	sum, err := work.Free(ctx)
	d.copyJournals(ctx, j)
	jerr := d.freeDone(f.json, false, ctx.Err() != nil, work, sum)
	d.freeSummary(sum)
	if kept := pathsOf(work.Go, true); sum.Freed > 0 && len(kept.paths) > 0 {
		d.sayf("the bags have the originals of the kept ones; archive the job once more, for the small pictures that it has in their place")
	}
	if err != nil {
		return d.freeHint(err, jobWords(dir, f))
	}
	if n := sum.Faults(); n > 0 {
		return &partlyError{fmt.Sprintf("%s stayed because something is not as it should be; the reasons are above", count(n, "original"))}
	}
	return jerr
}

// confirmed asks for the name of the job before something is done that cannot be undone;
// why says that it is asked for.
func (d desk) confirmed(j *job.Job, typed, why, do string) error {
	name := filepath.Base(j.Root())
	if typed == "" {
		if !d.inTTY || !d.errTTY {
			return &usageError{why + ", and there is no terminal to ask on: --confirm wants the name of the job, " + name}
		}
		fmt.Fprintf(d.err, "garner: type the name of the job, %s, to %s: ", cull.Plain(name), do)
		line, err := bufio.NewReader(io.LimitReader(d.in, 4096)).ReadString('\n')
		if err != nil && err != io.EOF {
			return err
		}
		typed = strings.TrimRight(line, "\r\n")
	}
	if typed != name {
		return fmt.Errorf("that is not the name of the job, which is %s: nothing was done", cull.Plain(name))
	}
	return nil
}

// showPlan says what goes, what stays and why, and what a person should think of.
func (d desk) showPlan(json bool, w *free.Work) {
	if json {
		_ = d.object(planObject(w))
	}
	dropped, kept := pathsOf(w.Go, false), pathsOf(w.Go, true)
	if len(dropped.paths) > 0 || len(kept.paths) == 0 {
		d.sayf("may go: %s of dropped frames, %s%s", count(len(dropped.paths), "original"), size(dropped.bytes), examples(dropped.paths))
	}
	if len(kept.paths) > 0 {
		d.sayf("may go: %s of KEPT frames, %s%s", count(len(kept.paths), "original"), size(kept.bytes), examples(kept.paths))
	}
	for _, g := range staying(w.Stay) {
		d.sayf("stay: %s %s, %s%s%s", count(len(g.paths), "original"), g.why, size(g.bytes), examples(g.paths), remedies[g.why])
	}
	if len(w.Go) > 0 {
		d.sayf("each is to be proved from %s, read whole first: %s", count(len(w.Bags), "bag"), cull.Plain(strings.Join(w.Bags, ", ")))
	}
	for _, c := range w.Copies {
		if c.Files > 0 {
			d.sayf("they lie in %s as well, where nothing is deleted: %s, %s", cull.Plain(c.Dir), count(c.Files, "original"), size(c.Bytes))
		}
	}
	if len(w.Go) == 0 || w.Refused() != nil {
		return
	}
	for _, text := range w.Remarks {
		d.sayf("CAREFUL: %s", cull.Plain(text))
	}
	if n := len(w.Unfinished); n > 0 {
		d.sayf("CAREFUL: %s without a finished picture: %s", count(n, "keeper"), some(w.Unfinished))
	}
	if len(kept.paths) > 0 {
		d.sayf("CAREFUL: originals of KEPT frames are deleted here: from then on they are in the bags alone")
	}
	if len(dropped.paths) > 0 {
		d.sayf("CAREFUL: a deleted original of a dropped frame cannot be had again; what stays is its small picture")
	}
}

// remedies say what lets originals go after all.
var remedies = map[free.Why]string{
	free.NotShown:    " (--unshown lets them go)",
	free.NotArchived: " (archived again, they may)",
	free.NotTwice:    " (archived again, they may)",
}

type group struct {
	why   free.Why
	paths []string
	bytes int64
}

func pathsOf(files []free.File, kept bool) (g group) {
	for _, f := range files {
		if f.Kept == kept {
			g.paths, g.bytes = append(g.paths, f.Path), g.bytes+f.Bytes
		}
	}
	return g
}

// staying groups what stays by why it does.
func staying(list []free.Stay) (groups []group) {
	for _, s := range list {
		i := slices.IndexFunc(groups, func(g group) bool { return g.why == s.Why })
		if i < 0 {
			i, groups = len(groups), append(groups, group{why: s.Why})
		}
		groups[i].paths, groups[i].bytes = append(groups[i].paths, s.Path), groups[i].bytes+s.Bytes
	}
	slices.SortFunc(groups, func(a, b group) int { return int(a.why) - int(b.why) })
	return groups
}

func examples(paths []string) string {
	if len(paths) == 0 {
		return ""
	}
	return ": " + some(paths)
}

func (d desk) stays(json bool, s free.Stay) {
	why := s.Why.String()
	if s.What != "" {
		why += ": " + s.What
	}
	d.freeLine(json, "stays", s.Path, s.Frame, s.Bytes, why)
	d.sayf("%s stays, an original %s", cull.Plain(s.Path), cull.Plain(why))
}

func (d desk) freeLine(json bool, action, path string, frame cull.ID, bytes int64, why string) {
	if !json {
		return
	}
	o := map[string]any{"v": 1, "event": "file", "path": path, "id": frame, "action": action, "bytes": bytes, "why": known(why)}
	if raw := rawName(path); raw != "" {
		o["raw"] = raw
	}
	_ = d.object(o)
}

func planObject(w *free.Work) map[string]any {
	files := []map[string]any{}
	add := func(path string, id cull.ID, action string, bytes int64, why *string) {
		o := map[string]any{"path": path, "id": id, "action": action, "bytes": bytes, "why": why}
		if raw := rawName(path); raw != "" {
			o["raw"] = raw
		}
		files = append(files, o)
	}
	for _, f := range w.Go {
		add(f.Path, f.Frame, "go", f.Bytes, nil)
	}
	for _, s := range w.Stay {
		add(s.Path, s.Frame, "stay", s.Bytes, known(s.Why.String()))
	}
	copies := []map[string]any{}
	for _, c := range w.Copies {
		copies = append(copies, map[string]any{"path": c.Dir, "files": c.Files, "bytes": c.Bytes})
	}
	return map[string]any{"v": 1, "event": "plan", "files": files, "bytes": w.Bytes(), "bags": w.Bags, "copies": copies,
		"unfinished": orEmpty(w.Unfinished), "careful": orEmpty(w.Remarks)}
}

func (d desk) freeDone(json, dryRun, interrupted bool, w *free.Work, sum free.Summary) error {
	if !json {
		return nil
	}
	return d.object(map[string]any{"v": 1, "event": "done", "dry_run": dryRun, "interrupted": interrupted, "planned": len(w.Go), "planned_bytes": w.Bytes(),
		"freed": sum.Freed, "bytes": sum.Bytes, "small_bytes": sum.Kept, "stayed": len(w.Stay) + len(sum.Stayed), "failed": sum.Faults(), "put_back": orEmpty(sum.Back)})
}

func (d desk) freeSummary(sum free.Summary) {
	if len(sum.Back) > 0 {
		d.sayf("got their names back, since the last run was interrupted: %s", some(sum.Back))
	}
	if sum.Freed > 0 {
		d.sayf("%s deleted, %s; in their place are small pictures of %s in the job", count(sum.Freed, "original"), size(sum.Bytes), size(sum.Kept))
	} else {
		d.sayf("nothing was deleted")
	}
}

// freeProgress says how far it is: for programs once a second.
func (d desk) freeProgress(json bool) func(free.Progress) {
	var last, began time.Time
	stage := "-"
	return func(p free.Progress) {
		now := d.now()
		if p.Bag != stage {
			stage, began = p.Bag, now
		}
		what := "deleting originals"
		if p.Bag != "" {
			what = "reading " + cull.Plain(p.Bag)
		}
		d.progressf("%s: %d of %d, %s", what, p.Files, p.OfFiles, rate(p.Bytes, p.OfBytes, now.Sub(began)))
		if json && now.Sub(last) >= time.Second {
			last = now
			_ = d.object(map[string]any{"v": 1, "event": "progress", "bag": known(p.Bag), "done": p.Files, "total": p.OfFiles, "bytes": p.Bytes, "all": p.OfBytes})
		}
	}
}

// freeHint says what can be done about what keeps originals from being deleted.
func (d desk) freeHint(err error, dir string) error {
	var bag *free.BagError
	var unfinished *free.UnfinishedError
	var owned *job.OwnedError
	switch {
	case errors.As(err, &bag):
		for _, f := range bag.Findings[:min(len(bag.Findings), 10)] {
			d.sayf("  %s", cull.Plain(f))
		}
		if n := len(bag.Findings) - 10; n > 0 {
			d.sayf("  and %s more", count(n, "fault"))
		}
		hint := "no original is deleted unless every bag of the job is there and right"
		if bag.Away {
			hint += "; where it is gone for good: garner archive " + dir + " --forget " + shellWord(bag.Dir)
		}
		return hinted(err, hint)
	case errors.As(err, &unfinished):
		return hinted(fmt.Errorf("%w: %s", err, some(unfinished.Names)), "nothing is deleted until they have: finish them in "+dir+"/finished, or say --unfinished")
	case errors.Is(err, free.ErrNoBag):
		return hinted(err, "garner archive "+dir+" --to DIR")
	case errors.Is(err, free.ErrNoTwoBag):
		return hinted(err, "garner archive "+dir+" --to DIR --also DIR, on two disks that the system tells apart; --free deletes only what was dropped")
	case errors.As(err, &owned):
		return hinted(err, "end that program first: nobody may decide while originals are deleted")
	}
	return err
}
