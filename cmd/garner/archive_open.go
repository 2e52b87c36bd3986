package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"strings"

	"garner/cull"
	"garner/cull/closing/record"
	"garner/cull/closing/reopen"
	"garner/cull/job"
)

// openBag makes a job again from a bag.
func (d desk) openBag(ctx context.Context, bag, dir string, f jobFlags) error {
	o := reopen.Options{State: f.state, Progress: d.bagProgress(f.json, bag)}
	o.Remark = func(text string) { d.sayf("%s", cull.Plain(text)) }
	o.Failed = func(x reopen.Fault) {
		d.sayf("%s", cull.Plain(x.String()))
		if f.json {
			line := map[string]any{"v": 1, "event": "file", "path": x.Path, "action": "failed", "why": x.What}
			if raw := rawName(x.Path); raw != "" {
				line["raw"] = raw
			}
			_ = d.object(line)
		}
	}
	sum, err := reopen.Run(ctx, bag, dir, o)
	if f.json && (err == nil || ctx.Err() != nil) {
		if jerr := d.object(map[string]any{"v": 1, "event": "done", "interrupted": ctx.Err() != nil, "job": sum.Name, "record": sum.Run, "resumed": sum.Resumed, "frames": sum.Frames, "copied": sum.Copied, "present": sum.Present,
			"bytes": sum.Bytes, "small_pictures": sum.Smalls, "left_out": sum.LeftOut, "failed": len(sum.Failed), "from_medium": sum.Bypassed, "faces_asked_again": sum.Unasked, "also_dropped": orEmpty(sum.Also)}); err == nil {
			err = jerr
		}
	}
	if err != nil {
		return openBagHint(err, bag, dir)
	}
	d.sayf("%s: the job %s as record %d has it: %s, %s of originals that the bag has not", cull.Plain(dir), cull.Plain(sum.Name), sum.Run, count(sum.Frames, "frame"), count(sum.Smalls, "small picture"))
	present := ""
	if sum.Present > 0 {
		present = fmt.Sprintf(", %d of them were there from an interrupted run", sum.Present)
	}
	cached := ""
	if !sum.Bypassed {
		cached = ", from the system's cache in part, since the system can't do better"
	}
	d.sayf("%s copied, read back and right (%s)%s%s", count(sum.Copied+sum.Present, "file"), size(sum.Bytes), present, cached)
	if sum.LeftOut > 0 {
		d.sayf("%s of the job are in the bag neither whole nor as a picture; its files.jsonl says why", count(sum.LeftOut, "file"))
	}
	if sum.Unasked {
		d.sayf("that faces may be looked for was said elsewhere and does not hold here: nothing measured of them came along")
	}
	if len(sum.Also) > 0 {
		d.sayf("nothing goes to %s from here, as it did there", cull.Plain(strings.Join(sum.Also, ", ")))
	}
	if n := len(sum.Failed); n > 0 {
		return &partlyError{fmt.Sprintf("%s missing, listed above; the same command with another bag of the job brings what that one has", count(n, "file"))}
	}
	d.sayf("next: garner status %s", jobWords(dir, f))
	return nil
}

func openBagHint(err error, bag, dir string) error {
	var owned *job.OwnedError
	var room *reopen.RoomError
	var unread *reopen.UnreadError
	switch {
	case errors.As(err, &room):
		return hinted(fmt.Errorf("%s: %w", dir, err), "make room there, or give it another folder")
	case errors.Is(err, reopen.ErrNoBag):
		if bags, berr := reopen.Bags(bag); berr == nil {
			return hinted(fmt.Errorf("%s is a folder of bags, and a job is made from one of them", bag), "garner archive --open "+shellWord(bags[0])+" "+shellWord(dir))
		}
	case errors.Is(err, record.ErrNone):
		return hinted(fmt.Errorf("%s: %w", bag, err), "garner archive --check "+shellWord(bag)+" checks a bag of any kind")
	case errors.As(err, &unread) && errors.Is(err, fs.ErrNotExist):
		return noBagHint(err, bag)
	case errors.As(err, &unread) && !errors.Is(err, reopen.ErrNoBag) && !errors.Is(err, context.Canceled):
		return hinted(fmt.Errorf("%s: %w", bag, err), "garner archive --check "+shellWord(bag)+" says all that is wrong; any other bag of the job does as well")
	case errors.Is(err, reopen.ErrNotEmpty), errors.Is(err, reopen.ErrOther):
		return hinted(fmt.Errorf("%s: %w", dir, err), "give it another folder: nothing is ever written over")
	case errors.As(err, &owned):
		return hinted(err, "wait until that one is done")
	}
	return noBagHint(openHint(err, dir), bag)
}
