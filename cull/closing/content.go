package closing

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/json"
	"maps"
	"slices"
	"strings"
	"time"

	"garner/cull"
	"garner/cull/closing/record"
	"garner/cull/output"
	"garner/cull/prepare"
	"garner/cull/returned"
	"garner/store"
)

// recordNames are the files of a record in the order in which they are brought to a bag:
// job.json says that it is whole.
var recordNames = []string{record.FramesName, record.FilesName, record.PicturesName, record.WroteName, record.JournalName, record.ThumbsName, record.JobName}

// write brings the record to the bags. Where it says what the last one says, that one
// stands, and places that lack it get it too.
func (r *runner) write(ctx context.Context) error {
	r.o.Progress(Progress{Stage: Writing})
	c, err := r.content(ctx)
	if err != nil {
		return err
	}
	c.Job.Run = max(r.runs, 1)
	files, err := c.Encode()
	if err != nil {
		return err
	}
	if r.runs > 0 && !r.said(r.runs, files) {
		c.Job.Run = r.runs + 1
		if files, err = c.Encode(); err != nil {
			return err
		}
	}
	r.sum.Run, r.sum.New = c.Job.Run, c.Job.Run > r.runs
	var puts []put
	for _, name := range recordNames {
		path := record.RunFolder(c.Job.Run) + "/" + name
		content := files[name]
		if content == nil {
			content = []byte{}
		}
		puts = append(puts, put{path: path, content: content})
	}
	return r.complete(ctx, puts)
}

// said reports whether a bag has this very record.
func (r *runner) said(run int, files map[string][]byte) bool {
	return slices.ContainsFunc(r.places, func(p *place) bool {
		return p.alive() && !slices.ContainsFunc(recordNames, func(name string) bool {
			is, ok := p.sum(record.RunFolder(run) + "/" + name)
			return !ok || is != sha256.Sum256(files[name])
		})
	})
}

// complete brings the record to all places: to those that have it too, whose tag files
// may have to be written anew, or an interrupted growing to be ended.
func (r *runner) complete(ctx context.Context, puts []put) error {
	for _, p := range r.places {
		if !p.alive() {
			continue
		}
		if err := r.growAt(ctx, []*place{p}, puts); err != nil {
			return err
		}
	}
	if !slices.ContainsFunc(r.places, (*place).alive) {
		return r.placeErrors()
	}
	return nil
}

// content gathers what the job knows.
func (r *runner) content(ctx context.Context) (record.Content, error) {
	w := r.whole
	layout := w.Session.Layout()
	c := record.Content{Journal: w.Journal}
	c.Job = record.Job{Name: strings.ToValidUTF8(nameInJob(r.job.Root()), "\uFFFD"), Small: r.o.Small, Bodies: []record.Body{}, Passes: []record.Pass{}, Scenes: []record.Scene{}}
	if !w.Last.IsZero() {
		c.Job.Last = w.Last.UTC().Format(time.RFC3339Nano)
	}
	for _, b := range w.Bodies {
		c.Job.Bodies = append(c.Job.Bodies, record.BodyOf(b))
	}
	for _, p := range w.Passes {
		c.Job.Passes = append(c.Job.Passes, record.PassOf(p))
	}
	for _, s := range layout.Scenes {
		c.Job.Scenes = append(c.Job.Scenes, record.Scene(s))
	}
	c.Files = r.files()
	var err error
	if c.Pictures, err = r.pictures(ctx); err != nil {
		return c, err
	}
	if c.Wrote, err = r.wrote(); err != nil {
		return c, err
	}
	if c.Frames, c.Thumbs, err = r.frames(ctx, layout); err != nil {
		return c, err
	}
	return c, nil
}

// files says where every file of the job lies.
func (r *runner) files() []record.File {
	list := []record.File{}
	for _, x := range r.items {
		text, why := "", x.why
		if x.sum != nil {
			text = store.Hex(*x.sum)
		}
		switch {
		case x.bag == "" && x.small != "":
			why = "its frame was dropped: its small picture is kept"
		case x.retired && why == "":
			why = "it was freed in the job, as the bags have it"
		}
		f := record.FileOf(x.path, x.bag, why, text, x.size, x.mod)
		f.Small, f.From = x.small, strings.ToValidUTF8(x.outside, "\uFFFD")
		if s, ok := r.plan.manifest[x.path]; ok {
			f.Listed = s.String()
		}
		list = append(list, f)
	}
	for _, l := range r.folder.left {
		list = append(list, record.FileOf(l.Path, "", l.Why, "", 0, time.Time{}))
	}
	slices.SortStableFunc(list, func(a, b record.File) int { return cmp.Or(cmp.Compare(a.Path, b.Path), cmp.Compare(a.Raw, b.Raw)) })
	return list
}

// wrote lists what handoffs wrote into the job's sidecars. What they remember besides is
// of folders elsewhere.
func (r *runner) wrote() ([]record.Wrote, error) {
	all, err := r.job.AllWrote()
	if err != nil {
		return nil, err
	}
	list := []record.Wrote{}
	for _, path := range slices.Sorted(maps.Keys(all)) {
		if !strings.Contains(path, "\x00") && json.Valid(all[path]) {
			list = append(list, record.WroteOf(path, all[path]))
		}
	}
	return list, nil
}

// frames writes the frames in the order of the day, those of which no file is left after
// the others, and their thumbnails one after the other.
func (r *runner) frames(ctx context.Context, layout cull.Layout) (list []record.Frame, thumbs []byte, err error) {
	v := prepare.NewViewer(r.job)
	defer v.Close()
	byFrame := map[cull.ID][]*item{}
	for _, x := range r.items {
		if x.frame != nil {
			byFrame[x.frame.ID] = append(byFrame[x.frame.ID], x)
		}
	}
	places, placed := slices.Clone(layout.Places), map[cull.ID]bool{}
	for _, p := range places {
		placed[p.Frame] = true
	}
	for _, id := range slices.SortedFunc(maps.Keys(r.whole.Frames), r.byName) {
		if !placed[id] {
			places = append(places, cull.Place{Frame: id, Moment: -1, Scene: -1})
		}
	}
	list = []record.Frame{}
	for _, p := range places {
		f, ok := r.whole.Frames[p.Frame]
		if !ok {
			continue
		}
		if ctx.Err() != nil {
			return nil, nil, ctx.Err()
		}
		k := record.Known{Frame: f, Place: p, Order: len(list), Answers: map[string]cull.Decision{}, Look: r.whole.Looks[f.ID], Measures: r.whole.Measures[f.ID]}
		for pass, answers := range r.whole.Answers {
			if d, ok := answers[f.ID]; ok {
				k.Answers[pass] = d
			}
		}
		o := record.FrameOf(k)
		o.Small, o.Why = r.standsFor(f, byFrame[f.ID])
		thumb, err := v.ThumbJPEG(ctx, f)
		if ctx.Err() != nil {
			return nil, nil, ctx.Err()
		}
		if err == nil && len(thumb) > 0 {
			o.Thumb = &record.Span{Offset: int64(len(thumbs)), Length: int64(len(thumb))}
			thumbs = append(thumbs, thumb...)
		}
		if !k.Look.Known() {
			r.sum.Unlooked++
		}
		list = append(list, o)
		r.o.Progress(Progress{Stage: Writing, Done: len(list), Total: len(places)})
	}
	return list, thumbs, nil
}

func (r *runner) byName(a, b cull.ID) int {
	return cmp.Or(strings.Compare(r.whole.Frames[a].Name, r.whole.Frames[b].Name), strings.Compare(string(a), string(b)))
}

// standsFor is the small picture that is kept of a frame's main original, or why there is
// none where the frame was dropped.
func (r *runner) standsFor(f cull.Frame, items []*item) (*record.Small, string) {
	for _, file := range f.Files {
		for _, x := range items {
			switch {
			case x.path != file.Path:
			case x.small != "":
				return r.smallOf(x), ""
			case x.unpictured != "":
				return nil, x.unpictured
			case x.freed():
				return r.freed(x), ""
			}
		}
	}
	return nil, ""
}

// pictures says which frames the finished pictures show, and what they were called.
func (r *runner) pictures(ctx context.Context) ([]record.Picture, error) {
	m, err := returned.Match(ctx, r.job, returned.Options{Workers: r.o.Workers})
	if err != nil {
		return nil, err
	}
	given, err := output.AllGiven(r.job.Root())
	if err != nil {
		return nil, err
	}
	list := []record.Picture{}
	for _, t := range m.Ties {
		g := given[strings.TrimPrefix(t.Path, output.FinishedFolder+"/")]
		var delivered []record.Delivered
		for _, f := range g.Files {
			delivered = append(delivered, record.Delivered(f))
		}
		list = append(list, record.PictureOf(t.Path, t.Frames, g.Number, delivered))
	}
	return list, nil
}
