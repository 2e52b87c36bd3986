package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"garner/cull"
	"garner/cull/closing/reopen"
)

// bagFlags are those of archive that read bags.
type bagFlags struct{ check, open bool }

const bagLong = `--check reads every byte of bags, or of all bags of a folder, and says what is wrong:
with the bag as BagIt describes it, and with what its record says of files, originals
and small pictures. A bag that garner did not make is checked as a bag.
--open makes a job again from a bag, in a folder that is new or empty: files, decisions,
order, letters, in place of originals that the bag has not their small pictures.
Interrupted, it goes on. A yes about faces is not taken over: it was said elsewhere.

`

func (b *bagFlags) add(c *cobra.Command) {
	c.Flags().BoolVar(&b.check, "check", false, "read the bags BAG… and say whether they are whole")
	c.Flags().BoolVar(&b.open, "open", false, "make a job again: garner archive --open BAG JOB")
}

// args is the rule for what stands beside the flags.
func (b *bagFlags) args(c *cobra.Command, args []string) error {
	with := []string{"json"}
	switch {
	case b.check && b.open:
		return &usageError{"--check and --open are two things"}
	case b.check && len(args) == 0:
		return &usageError{"--check wants a bag, or a folder of bags"}
	case b.open && len(args) != 2:
		return &usageError{"--open wants a bag and the folder that becomes the job"}
	case !b.check && !b.open:
		return oneJob(c, args)
	case slices.Contains(args, ""):
		return &usageError{"the name of a folder is empty"}
	case b.open:
		with = append(with, "state")
	}
	var wrong string
	for _, name := range []string{"to", "also", "sets", "small", "dry-run", "state", "free", "retire", "confirm", "unshown", "unfinished", "forget"} {
		if c.Flags().Changed(name) && !slices.Contains(with, name) {
			wrong = name
		}
	}
	if wrong != "" {
		return &usageError{"--" + wrong + " means nothing together with --check or --open"}
	}
	return nil
}

// checkBags checks bags one after the other.
func (d desk) checkBags(ctx context.Context, dirs []string, json bool) error {
	var bags []string
	for _, dir := range dirs {
		found, err := reopen.Bags(dir)
		if err != nil {
			return noBagHint(err, dir)
		}
		bags = append(bags, found...)
	}
	faulty := 0
	for _, bag := range bags {
		v, err := reopen.Check(ctx, bag, d.bagProgress(json, bag))
		switch {
		case ctx.Err() != nil:
			return ctx.Err()
		case err != nil && len(bags) == 1:
			return noBagHint(err, bag)
		case err != nil:
			v.Faults = append(v.Faults, reopen.Fault{What: err.Error()})
		}
		if json {
			if err := d.checkObjects(bag, v); err != nil {
				return err
			}
		}
		d.showVerdict(bag, v)
		if !v.Valid() {
			faulty++
		}
	}
	if len(bags) > 1 {
		d.sayf("%s read, %d of them whole", count(len(bags), "bag"), len(bags)-faulty)
	}
	if json {
		if err := d.object(map[string]any{"v": 1, "event": "done", "bags": len(bags), "faulty": faulty}); err != nil {
			return err
		}
	}
	if faulty > 0 {
		return &partlyError{fmt.Sprintf("%s not whole; the faults are above", count(faulty, "bag"))}
	}
	return nil
}

func noBagHint(err error, dir string) error {
	switch {
	case errors.Is(err, reopen.ErrNoBag):
		return hinted(fmt.Errorf("%s is no bag, and there is none in it", cull.Plain(dir)), "a bag is the folder that garner archive made, with a bagit.txt in it")
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("%s: there is no such folder", cull.Plain(dir))
	}
	return fmt.Errorf("%s: %w", dir, err)
}

// showVerdict says whether a bag is whole, and what is in it.
func (d desk) showVerdict(bag string, v reopen.Verdict) {
	say := func(format string, args ...any) { d.sayf("  %s", cull.Plain(fmt.Sprintf(format, args...))) }
	d.sayf("%s: %s", cull.Plain(bag), verdictWord(v))
	for _, f := range v.Report.Findings {
		if f.Fault {
			say("%s", f)
		} else {
			say("warning: %s", f)
		}
	}
	for _, f := range v.Faults {
		say("%s", f)
	}
	if n := v.Report.More + v.More; n > 0 {
		say("and %d more", n)
	}
	cached := ""
	if !v.Report.Bypassed && v.Report.Files > 0 {
		cached = ", from the system's cache in part, since the system can't do better"
	}
	say("%s read and right, %s%s", count(v.Report.Files, "file"), size(v.Report.Bytes), cached)
	switch {
	case v.Job != nil:
		say("the job %s, record %d: %s, %s, %s of originals that are not kept, %s",
			v.Job.Name, v.Job.Run, count(v.Frames, "frame"), count(v.Originals, "original"), count(v.Smalls, "small picture"), count(v.Others, "other file"))
	case v.Record == "" && v.Report.Bag != nil:
		say("it is no archived job: it was checked as a bag")
	}
}

func verdictWord(v reopen.Verdict) string {
	switch {
	case v.Valid() && v.Job != nil:
		return "complete and valid, and as its record says"
	case v.Valid():
		return "complete and valid"
	case v.Report.Valid() && v.Report.Bag != nil:
		return "complete and valid as a bag, but NOT as its record says"
	case v.Report.Complete() && v.Report.Bag != nil:
		return "complete, but NOT valid"
	}
	return "NOT valid"
}

func (d desk) checkObjects(bag string, v reopen.Verdict) error {
	fault := func(fault bool, path, what string) error {
		o := map[string]any{"v": 1, "event": "finding", "bag": bag, "fault": fault, "path": known(path), "what": what}
		if raw := rawName(path); raw != "" {
			o["raw"] = raw
		}
		return d.object(o)
	}
	for _, f := range v.Report.Findings {
		if err := fault(f.Fault, f.Path, f.What); err != nil {
			return err
		}
	}
	for _, f := range v.Faults {
		if err := fault(true, f.Path, f.What); err != nil {
			return err
		}
	}
	o := map[string]any{"v": 1, "event": "bag", "path": bag, "valid": v.Valid(), "bag_valid": v.Report.Valid(), "complete": v.Report.Complete(), "files": v.Report.Files, "bytes": v.Report.Bytes,
		"from_medium": v.Report.Bypassed, "unlisted_findings": v.Report.More + v.More, "job": nil, "record": nil,
		"frames": v.Frames, "originals": v.Originals, "small_pictures": v.Smalls, "other_files": v.Others}
	if v.Job != nil {
		o["job"], o["record"] = v.Job.Name, v.Job.Run
	}
	if raw := rawName(bag); raw != "" {
		o["raw"] = raw
	}
	return d.object(o)
}

// bagProgress says how far it is: for programs once a second.
func (d desk) bagProgress(json bool, bag string) func(reopen.Progress) {
	var last, began time.Time
	var stage reopen.Stage
	return func(p reopen.Progress) {
		now := d.now()
		if p.Stage != stage {
			stage, began = p.Stage, now
		}
		text := []string{fmt.Sprintf("%s: %s: %d of %d", cull.Plain(bag), p.Stage, p.Done, p.Total)}
		if p.All > 0 {
			text = append(text, rate(p.Bytes, p.All, now.Sub(began)))
		}
		d.progressf("%s", strings.Join(text, ", "))
		if json && now.Sub(last) >= time.Second {
			last = now
			o := map[string]any{"v": 1, "event": "progress", "bag": bag, "stage": p.Stage, "done": p.Done, "total": p.Total, "bytes": p.Bytes, "all": known(p.All), "per_second": nil, "seconds_left": nil}
			if spent := now.Sub(began).Seconds(); spent >= 1 && p.Bytes > 0 {
				perSecond := float64(p.Bytes) / spent
				o["per_second"], o["seconds_left"] = perSecond, float64(p.All-p.Bytes)/perSecond
			}
			_ = d.object(o)
		}
	}
}
