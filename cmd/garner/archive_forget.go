package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"garner/cull"
	"garner/cull/closing"
	"garner/cull/job"
)

const forgetLong = `--forget DIR is for a bag that is gone for good, such as one on a disk that died: the
job notes that it is one of its bags no longer, and neither --free nor "safe to delete"
asks for it then. Nothing is deleted, in the bag or in the job; archiving again to the
folder that it lies in takes it in again. Where originals were deleted of which no other
bag has a picture it has to be confirmed, as --free has.

`

// forgetBag takes a bag off the list of the job's bags.
func (d desk) forgetBag(ctx context.Context, dir string, f jobFlags, bag, confirm string, dryRun bool) error {
	j, err := d.openPrepared(dir, f, job.Options{Command: "archive --forget", ReadOnly: dryRun})
	if err != nil {
		return err
	}
	defer j.Close()
	what, err := closing.ToForget(ctx, j, bag)
	if err != nil {
		return forgetHint(err, bag)
	}
	d.showForgetting(what)
	if dryRun {
		d.sayf("nothing was noted")
		return d.forgotten(f.json, true, what)
	}
	if what.Grave() {
		if err := d.confirmed(j, confirm, "it is forgotten only if that is confirmed", "forget it"); err != nil {
			return err
		}
	}
	if err := what.Forget(); err != nil {
		return archiveHint(err)
	}
	d.copyJournals(ctx, j)
	d.sayf("forgotten: %s is no bag of the job any more; nothing was deleted", cull.Plain(what.Dir))
	return d.forgotten(f.json, false, what)
}

// showForgetting says what it means, before it is done.
func (d desk) showForgetting(f closing.Forgetting) {
	if f.There {
		d.sayf("%s is there, and has all its files at their sizes: it stays as it is, and is not added to", cull.Plain(f.Dir))
	}
	if len(f.Stay) == 0 {
		d.sayf("the job has no other bag")
	}
	for _, b := range f.Stay {
		if b.There {
			d.sayf("stays a bag of the job: %s", cull.Plain(b.Dir))
		} else {
			d.sayf("stays a bag of the job, and cannot be looked at now: %s: %s", cull.Plain(b.Dir), cull.Plain(b.Why))
		}
	}
	if f.Freed > len(f.Alone) {
		d.sayf("originals that were deleted here, and of which other bags have pictures: %d of %d", f.Freed-len(f.Alone), f.Freed)
	}
	if len(f.Alone) > 0 {
		d.sayf("CAREFUL: the original of %s was deleted, and no other bag that is there has a picture of it: the small picture in this job is all that is left: %s", count(len(f.Alone), "file"), some(f.Alone))
	}
	if len(f.Kept) > 0 {
		d.sayf("CAREFUL: among them KEPT frames, whose raw files only a bag had: %s", some(f.Kept))
	}
}

func (d desk) forgotten(json, dryRun bool, f closing.Forgetting) error {
	if !json {
		return nil
	}
	bags := []map[string]any{}
	for _, b := range f.Stay {
		o := map[string]any{"path": b.Dir, "there": b.There, "why": known(b.Why)}
		if raw := rawName(b.Dir); raw != "" {
			o["raw"] = raw
		}
		bags = append(bags, o)
	}
	o := map[string]any{"v": 1, "event": "forgotten", "dry_run": dryRun, "path": f.Dir, "there": f.There, "bags": bags, "freed": f.Freed, "only_here": orEmpty(f.Alone)}
	if raw := rawName(f.Dir); raw != "" {
		o["raw"] = raw
	}
	return d.object(o)
}

func forgetHint(err error, bag string) error {
	var not *closing.NotNotedError
	if !errors.As(err, &not) {
		return err
	}
	err = fmt.Errorf("%s: %w", cull.Plain(bag), err)
	if len(not.Bags) == 0 {
		return err
	}
	return hinted(err, "its bags are "+cull.Plain(strings.Join(not.Bags, ", ")))
}
