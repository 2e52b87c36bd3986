package main

import (
	"context"
	"fmt"
	"runtime"

	"github.com/spf13/cobra"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/measure"
	"garner/cull/prepare"
)

func prepareCommand(d desk) *cobra.Command {
	var f jobFlags
	var m measureFlags
	var workers int
	c := &cobra.Command{
		Use:   "prepare JOB",
		Short: "Find the frames, make thumbnails, group into bursts and scenes, measure",
		Long: `Finds every frame in JOB (any folder with camera files), makes thumbnails,
fingerprints and groups, and writes all of it into JOB/.garner. Files are only
read. Run again it looks only at what changed; interrupted, it goes on where it
stopped. It can run beside a decide.

Then it measures what helps the eye: how sharp each frame is and how much of it is
clipped (--no-measures leaves that to the station, or to another time). It never
decides. Faces and eyes are looked for once --faces said yes for the job; --people is
a second yes, to templates of faces by which people are found again: biometric data,
for which those concerned have to agree. Both can be taken back; what was found is
then removed.

` + exitCodes,
		Example: "  garner prepare \"Job 0613\"\n  garner prepare \"Job 0613\" --faces\n  garner prepare \"Job 0613\" --json > frames.jsonl",
		Args:    oneJob,
		RunE: func(c *cobra.Command, args []string) error {
			if workers < 1 {
				return &usageError{"--workers is 1 or more"}
			}
			if err := m.check(); err != nil {
				return err
			}
			_, err := d.prepare(c.Context(), args[0], f, m, workers)
			return err
		},
	}
	f.add(c, true)
	m.add(c)
	c.Flags().IntVar(&workers, "workers", runtime.GOMAXPROCS(0), "frames worked on at once")
	return c
}

func (d desk) prepare(ctx context.Context, dir string, f jobFlags, m measureFlags, workers int) (prepare.Summary, error) {
	j, err := d.open(dir, f, job.Options{Command: "prepare"})
	if err != nil {
		return prepare.Summary{}, err
	}
	defer j.Close()
	if err := d.consent(j, m, jobWords(dir, f)); err != nil {
		return prepare.Summary{}, err
	}
	o := prepare.Options{Workers: workers, Now: d.now, Progress: d.prepareProgress,
		Warn: func(s string) { d.sayf("%s", cull.Plain(s)) }}
	if f.json {
		o.Frame = func(r prepare.FrameReport) { _ = d.object(frameObject(r.Frame, r.Letter)) }
	}
	sum, err := prepare.Run(ctx, j, o)
	d.copyJournals(ctx, j) // letters may be new
	if err == nil {
		d.prepared(sum)
	}
	var measured measure.Summary
	if err == nil && !m.none {
		measured, err = d.measure(ctx, j, workers)
		d.copyJournals(ctx, j) // templates are noted
	}
	if f.json {
		if jerr := d.prepareDone(j, sum, measured); err == nil {
			err = jerr
		}
	}
	if err != nil {
		return sum, err
	}
	switch {
	case sum.Failed > 0:
		return sum, &partlyError{fmt.Sprintf("could not be shown: %s, to be decided all the same (status lists them)", count(sum.Failed, "frame"))}
	case measured.Failed > 0:
		return sum, &partlyError{fmt.Sprintf("could not be measured: %s, to be decided all the same", count(measured.Failed, "frame"))}
	}
	return sum, nil
}

// prepared says what was found.
func (d desk) prepared(sum prepare.Summary) {
	d.sayf("%s of %s: %s in %s; %d new or changed, %d from the cache, %.0f frames/s", count(sum.Frames, "frame"), count(sum.Bodies, "body"),
		count(sum.Moments, "moment"), count(sum.Scenes, "scene"), sum.New, sum.Cached, sum.PerSecond)
	if sum.Gone > 0 {
		d.sayf("%s no longer in the folder; their decisions are kept", count(sum.Gone, "frame"))
	}
	if sum.Others > 0 {
		d.sayf("not part of any frame: %s (--json lists them)", count(sum.Others, "file"))
	}
}

func (d desk) prepareProgress(p prepare.Progress) {
	switch p.Stage {
	case prepare.Scanning:
		d.progressf("scanning: %d of %d files", p.Done, p.Total)
	case prepare.Pictures:
		rate := ""
		if p.PerSecond > 0 {
			rate = fmt.Sprintf(", %.0f/s, %s", p.PerSecond, left(p.Left))
		}
		d.progressf("pictures: %d of %d frames%s", p.Done, p.Total, rate)
	case prepare.Grouping:
		d.progressf("grouping %d frames", p.Total)
	}
}

// prepareDone writes the layout, the other files, what was measured and the last
// object.
func (d desk) prepareDone(j *job.Job, sum prepare.Summary, m measure.Summary) error {
	l, err := j.Layout()
	if err != nil {
		return err
	}
	for i := range l.Places {
		if err := d.object(groupObject(l, i)); err != nil {
			return err
		}
	}
	others, err := j.Others()
	if err != nil {
		return err
	}
	for _, o := range others {
		if err := d.object(jsonOther{1, o.Path, rawName(o.Path), o.Why}); err != nil {
			return err
		}
	}
	if err := d.measures(j, l); err != nil {
		return err
	}
	faces, err := j.Faces()
	if err != nil {
		return err
	}
	people, err := j.People()
	if err != nil {
		return err
	}
	return d.object(struct {
		V           int     `json:"v"`
		Done        bool    `json:"done"`
		Frames      int     `json:"frames"`
		Failed      int     `json:"failed"`
		Cached      int     `json:"cached"`
		Seconds     float64 `json:"seconds"`
		Measured    int     `json:"measured"`     // by this run
		NotMeasured int     `json:"not_measured"` // of those that it tried
		Faces       bool    `json:"faces"`        // they may be looked for
		People      bool    `json:"people"`       // templates may be made
	}{1, true, sum.Frames, sum.Failed, sum.Cached, (sum.Took + m.Took).Seconds(), m.Measured, m.Failed, faces.Yes, people.Yes})
}
