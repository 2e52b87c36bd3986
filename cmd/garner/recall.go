package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"garner/cull"
	"garner/cull/recall"
)

// recallFlags are what is asked, as it was typed.
type recallFlags struct {
	from, to, clock string
	passes          []string
	like            string // file of a picture
	face            string // file of a picture with a face
	which           int    // of its faces, from the left; 0 = the only one
	agreed          bool
	q               recall.Query
	take            string
	json            bool
	show            bool
	picture         string
}

func recallCommand(d desk) *cobra.Command {
	var f recallFlags
	c := &cobra.Command{
		Use:   "recall PLACE...",
		Short: "Find frames again in jobs, bags and shelves of bags, and take copies of them",
		Long: `Looks for frames in places: jobs, bags (what garner archive makes) and shelves, which
are folders that hold bags, one or two levels deep. Everything that is asked has to
hold; what is asked of nothing is everything. Of each frame the best file that is still
there is named: the original, else the finished picture, a delivered file, the camera's
JPEG, the small picture. A frame that is in several places is found once.

Times are local time as corrected: 2026-06-13, 2026-06-13T14 or 2026-06-13T14:00; --to
goes to the end of what it names. --clock 14:00..15:30 is of every day, and may go over
midnight. Texts are parts of names, in any case; digits for --name are a whole number, so
that 412 finds 0412-A and IMG_0412 but not IMG_4123.

--like FILE looks for the frames that a JPEG, TIFF or PNG may show: one that a client
sends back, cropped, made smaller, edited, with a stamp on it, or the screen of a
telephone. Frames of one burst are all like it. It is laid on the thumbnails of the
nearest, and those that it fits on come first; "very like" are those, and without a
thumbnail what is as near as frames of one burst are.

--face FILE looks for a face: of a portrait, of a frame, of any JPEG, TIFF, PNG or raw file.
Where it shows several, --which N says which, from the left. The faces in all frames
that are left by what else is asked are described afresh, some five frames a second for each
processor, and what describes them is forgotten when the answer is there: it is never in
a bag. A job is searched where it said yes to templates, a bag unless its journal says no.
It is likeness and not identity: relatives are taken for one another. Templates are
biometric data, and in many places the law asks for the consent of each person: garner
asks you, and --agreed says that those concerned agree.

--take DIR makes verified copies, JOB-FRAME.ext. A file that is there with other content
is never replaced: the copy gets the next name.

--show shows what was found on the full screen: all at once, one large, and its pixels
1:1. Those that are chosen there are copied into the folder of --take.

Of a shelf an index is kept in SHELF/.garner-shelf, or in your cache folder where the
shelf cannot be written. It holds nothing that is not in the bags, is brought up to date
each time, and may be deleted. A bag that cannot be read is listed, and all others are
searched.

` + exitCodes,
		Example: `  garner recall Archive --name 412
  garner recall Archive --from 2026-06-13T14:00 --to 2026-06-13T15:30 --scene church
  garner recall Archive "Job 0714" --clock 23:00..01:30 --pass keep=no
  garner recall Archive --like from-the-client.jpg
  garner recall Archive --job 0613 --scene dance --face portrait.jpg --which 2
  garner recall Archive --body B --name 0012-bride --take "For Anna"
  garner recall Archive --clock 14:00..15:30 --show --take "For Anna"`,
		Args: func(c *cobra.Command, args []string) error {
			if len(args) == 0 {
				return &usageError{"recall wants the folder of a bag, of a job or of bags"}
			}
			if slices.Contains(args, "") {
				return &usageError{"the name of a place is empty"}
			}
			return nil
		},
		RunE: func(c *cobra.Command, args []string) error {
			if err := f.read(c); err != nil {
				return err
			}
			return d.recall(c.Context(), args, f)
		},
	}
	c.Flags().StringVar(&f.from, "from", "", "taken at or after `TIME`")
	c.Flags().StringVar(&f.to, "to", "", "taken before the end of `TIME`")
	c.Flags().StringVar(&f.clock, "clock", "", "taken at a time of day, `FROM..TO`, whatever the day")
	c.Flags().StringVar(&f.q.Job, "job", "", "part of the job's `NAME`, or of its folder's or bag's")
	c.Flags().StringVar(&f.q.Scene, "scene", "", "part of the scene's `NAME`")
	c.Flags().StringVar(&f.q.Body, "body", "", "`BODY`: its letter or serial number, or part of its model")
	c.Flags().StringVar(&f.q.Name, "name", "", "part of the frame's `NAME` or of a delivered file's, or its number")
	c.Flags().StringArrayVar(&f.passes, "pass", nil, "`PASS=ANSWER` with yes, no, part or open (repeatable)")
	c.Flags().StringVar(&f.like, "like", "", "like the picture in `FILE`, nearest first")
	c.Flags().StringVar(&f.face, "face", "", "a face like the one in the picture `FILE`, nearest first (asks)")
	c.Flags().IntVar(&f.which, "which", 0, "with --face: the `N`th face of the picture, from the left")
	c.Flags().BoolVar(&f.agreed, "agreed", false, "with --face: the question was answered, those concerned agree")
	c.Flags().StringVar(&f.q.Person, "person", "", "`PERSON` by number or name, in jobs that hold templates of faces")
	c.Flags().IntVar(&f.q.Most, "most", 100, "show and take so many frames at most; 0 = all")
	c.Flags().StringVar(&f.take, "take", "", "copy the best file of each into `DIR`, verified")
	c.Flags().BoolVar(&f.show, "show", false, "look at what was found on the full screen, and choose what --take copies")
	c.Flags().StringVar(&f.picture, "picture", "auto", "how pictures get onto the terminal then, as of garner cull")
	c.Flags().BoolVar(&f.json, "json", false, "machine output on stdout, one object a line")
	return c
}

// read understands what was typed. What is set to nothing is a mistake: an unset variable
// of a script would ask for everything.
func (f *recallFlags) read(c *cobra.Command) error {
	for _, name := range []string{"from", "to", "clock", "job", "scene", "body", "name", "like", "face", "person", "take"} {
		if flag := c.Flags().Lookup(name); flag.Changed && flag.Value.String() == "" {
			return &usageError{"--" + name + " is empty"}
		}
	}
	if f.q.Most < 0 {
		return &usageError{"--most is 0 or more"}
	}
	if f.show && f.json {
		return &usageError{"--show is for the eye and --json for programs: one at a time"}
	}
	switch {
	case f.face == "" && (f.which != 0 || f.agreed):
		return &usageError{"--which and --agreed belong to --face"}
	case f.which < 0 || c.Flags().Changed("which") && f.which == 0:
		return &usageError{"--which is 1 or more: the first face from the left"}
	case f.face != "" && (f.like != "" || f.q.Person != ""):
		return &usageError{"--face, --like and --person are three questions: one at a time"}
	}
	var err error
	if f.from != "" {
		if f.q.From, _, err = recall.ParseTime(f.from); err != nil {
			return &usageError{"--from: " + err.Error()}
		}
	}
	if f.to != "" {
		if _, f.q.To, err = recall.ParseTime(f.to); err != nil {
			return &usageError{"--to: " + err.Error()}
		}
	}
	if f.from != "" && f.to != "" && !f.q.From.Before(f.q.To) {
		return &usageError{"--from is after --to"}
	}
	if f.clock != "" {
		clock, err := recall.ParseClock(f.clock)
		if err != nil {
			return &usageError{"--clock: " + err.Error()}
		}
		f.q.Clock = &clock
	}
	for _, text := range f.passes {
		a, err := recall.ParseAnswered(text)
		if err != nil {
			return &usageError{"--pass: " + err.Error()}
		}
		f.q.Passes = append(f.q.Passes, a)
	}
	return nil
}

func (d desk) recall(ctx context.Context, dirs []string, f recallFlags) error {
	if f.show {
		if err := d.fullScreen(f.picture, "without --show what was found is listed"); err != nil {
			return err
		}
	}
	if f.like != "" {
		var err error
		if f.q.Like, err = recall.PictureFrom(ctx, f.like); err != nil {
			return fmt.Errorf("%s cannot be looked for: %w", f.like, err)
		}
	}
	l, err := recall.Open(ctx, dirs, recall.Options{Cache: shelfCache(), Progress: d.reading(), Pictures: d.matching})
	if err != nil {
		return err
	}
	var found recall.FaceFound
	if f.face != "" {
		found, err = d.findFace(ctx, l, f)
	} else {
		found.Found, err = l.Find(ctx, f.q)
	}
	if err != nil {
		return err
	}
	for _, s := range l.Remarks() {
		d.sayf("%s", cull.Plain(s))
	}
	for _, b := range l.Broken() {
		d.errorf("%s: %s", cull.Plain(b.Dir), cull.Plain(b.Err.Error()))
	}
	places, frames := l.Places()
	if places == 0 {
		return hinted(errors.New("there is nothing to look in"), "a bag is wanted, a job, or a folder that holds bags")
	}
	listed := found.Hits
	if f.show && len(listed) > 0 {
		if listed, err = d.fanOfHits(ctx, f, listed); err != nil {
			return err
		}
	}
	if found.Total == 0 && !f.show { // what is hardly like a picture is not wanted
		f.take = ""
	}
	failed, err := d.showFound(ctx, f, listed)
	if err != nil {
		return err
	}
	if f.json {
		if err := d.object(recallDone(l, f, found)); err != nil {
			return err
		}
	}
	d.sayf("%s", foundText(f, found.Found, places, frames))
	switch broken := len(l.Broken()); {
	case broken > 0:
		return &partlyError{count(broken, "place") + " could not be read; the reasons are above"}
	case failed > 0:
		return &partlyError{count(failed, "frame") + " could not be copied; the reasons are above"}
	}
	return nil
}

// shelfCache is where the indexes of shelves lie that cannot be written.
func shelfCache() string {
	dir, err := os.UserCacheDir()
	if err != nil {
		return "" // without a home they are kept in memory
	}
	return filepath.Join(dir, "garner", "shelves")
}

// reading shows how far the records of a shelf have been read.
func (d desk) reading() func(done, total int) {
	start := d.now()
	return func(done, total int) {
		text := ""
		if took := d.now().Sub(start); took > time.Second {
			text = ", " + left(took/time.Duration(done)*time.Duration(total-done))
		}
		d.progressf("reading what bags say of their frames: %d of %d%s", done, total, text)
	}
}

// showFound lists the hits, or copies them and tells of each what became of it.
func (d desk) showFound(ctx context.Context, f recallFlags, hits []recall.Hit) (failed int, err error) {
	n, called := 0, jobsOf(hits)
	show := func(h recall.Hit, t *recall.Taken) {
		n++
		if f.json && err == nil {
			err = d.object(hitObject(h, t, f.like != ""))
		}
		if t != nil && t.Err != nil {
			failed++
			d.errorf("%s of %s: %s", cull.Plain(h.Name), cull.Plain(h.Job), cull.Plain(t.Err.Error()))
		} else if !f.json {
			d.sayf("%4d  %s", n, hitText(h, t, called(h), f))
		}
	}
	if f.take == "" {
		for _, h := range hits {
			show(h, nil)
		}
		return 0, err
	}
	takeErr := recall.Take(ctx, f.take, hits, func(t recall.Taken) { show(t.Hit, &t) })
	return failed, errors.Join(takeErr, err)
}
