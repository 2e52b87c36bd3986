package station

import (
	"context"
	"errors"
	"maps"
	"slices"
	"sync/atomic"

	"garner/cull"
	"garner/cull/prepare"
)

// filling is the preparation that goes on beside the deciding.
type filling struct {
	started  bool
	running  bool
	progress prepare.Progress
	err      error
	urgent   atomic.Pointer[[]cull.ID] // frames whose pictures are wanted next
}

func (f *filling) setUrgent(wishes []wish) {
	ids := make([]cull.ID, 0, len(wishes))
	for _, w := range wishes {
		if !slices.Contains(ids, w.frame) {
			ids = append(ids, w.frame)
		}
	}
	f.urgent.Store(&ids)
}

// Fill begins to prepare the job in the background: to find what is new in its
// folder and to make what pictures are missing. It does so once; a job that was
// not prepared yet is filled from the start.
func (d *Desk) Fill() {
	if d.filling.started || d.o.AsItIs {
		return
	}
	d.filling.started, d.filling.running = true, true
	d.beside(func() {
		sum, err := prepare.Run(d.ctx, d.job, prepare.Options{
			Progress: func(p prepare.Progress) { d.mail.put(func(n *News) { n.progress = &p }) },
			Warn:     func(s string) { d.mail.put(func(n *News) { n.warnings = append(n.warnings, s) }) },
			Saved:    d.saved,
			Urgent: func() []cull.ID {
				if ids := d.filling.urgent.Load(); ids != nil {
					return *ids
				}
				return nil
			},
		})
		d.mail.put(func(n *News) { n.done = &doneNews{sum, err} })
	})
}

// saved brings what preparation has saved. It runs beside the desk and reads
// the job there.
func (d *Desk) saved(s prepare.Saved) {
	news := filledNews{frames: make(map[cull.ID]cull.Frame, len(s.Frames))}
	for _, f := range s.Frames {
		news.frames[f.ID] = f
	}
	if s.Frames == nil {
		news.frames, news.err = d.job.Frames()
	}
	if s.Layout && news.err == nil {
		l, err := d.job.AutoLayout()
		news.layout, news.err = &l, err
		if news.err == nil {
			news.bodies, news.err = d.job.Bodies()
		}
		if news.err == nil {
			news.aliases, news.err = d.job.Aliases()
		}
	}
	d.viewer.Refresh()
	d.mail.put(func(n *News) {
		if n.filled == nil {
			n.filled = &news
			return
		}
		for id, f := range news.frames {
			n.filled.frames[id] = f
		}
		if news.layout != nil {
			n.filled.layout, n.filled.bodies, n.filled.aliases = news.layout, news.bodies, news.aliases
		}
		n.filled.err = errors.Join(n.filled.err, news.err)
	})
}

// takeFilled takes in what preparation found.
func (d *Desk) takeFilled(n filledNews) {
	if n.err != nil {
		d.Murmur("what was found in the folder could not be read: %s", cause(n.err))
		return
	}
	renamed := false
	d.looks++
	for id, f := range n.frames {
		old, known := d.frames[id]
		if known && changedPicture(old, f) {
			d.forget(id)
			d.forgetMeasures(id)
			d.forceShotOf(id)
		}
		renamed = renamed || old.Name != f.Name
		delete(d.failed, id)
		delete(d.noThumb, id)
		d.frames[id] = f
	}
	learned := map[cull.ID]cull.ID{}
	for former, id := range n.aliases {
		if d.aliases[former] != id {
			learned[former] = id
			d.rename(former, id)
		}
	}
	d.session.SetAliases(learned)
	if n.layout == nil {
		return
	}
	if renamed {
		names := make(map[cull.ID]string, len(d.frames))
		for id, f := range d.frames {
			names[id] = f.Name
		}
		d.session.SetNames(names)
	}
	moved := !maps.Equal(d.aliases, n.aliases)
	d.aliases, d.bodies = n.aliases, bodiesByKey(n.bodies)
	if moved || d.session.Cursor() == "" {
		d.adopt(*n.layout) // ids of the layout that is walked mean nothing any more
		return
	}
	d.join(*n.layout)
}

// join works out beside the desk how a newer layout goes together with the one that
// is walked: in a large job that takes as long as many keys.
func (d *Desk) join(newer cull.Layout) {
	d.joins++
	n := joinedNews{number: d.joins, newer: newer, layouts: d.layouts, cursor: d.session.Cursor()}
	old, walked, made := d.session.Base(), d.session.Layout(), d.session.Corrections()
	d.joining = true
	d.beside(func() {
		n.layout, n.arrived = adoptCorrected(old, walked, newer, n.cursor, made)
		d.mail.put(func(news *News) { news.joined = &n })
	})
}

// takeJoined takes over what was worked out. Where the cursor went on meanwhile it
// is done again, at once: what is behind the cursor now must not change.
func (d *Desk) takeJoined(n joinedNews) {
	if n.number != d.joins || !d.joining {
		return // a newer layout came
	}
	d.joining = false
	if n.cursor != d.session.Cursor() || n.layouts != d.layouts {
		d.adopt(n.newer)
		return
	}
	d.setLayout(n.layout, n.arrived)
}

// adopt takes over a newer layout.
func (d *Desk) adopt(newer cull.Layout) {
	d.joining = false
	cursor := d.session.Cursor()
	if id, ok := d.aliases[cursor]; ok {
		cursor = id
	}
	layout, arrived := adoptCorrected(withAliases(d.session.Base(), d.aliases), withAliases(d.session.Layout(), d.aliases), newer, cursor, d.session.Corrections())
	d.setLayout(layout, arrived)
}

func (d *Desk) setLayout(l cull.Layout, arrived int) {
	empty := d.session.Cursor() == ""
	d.arrived += arrived
	d.session.SetLayout(l)
	d.layouts++
	if empty {
		d.session.EnterPass(d.session.CursorPass()) // to the first open frame
	}
}

// rename moves what this sitting knows of a frame to the id it is known by now.
func (d *Desk) rename(former, id cull.ID) {
	if d.drawn[former] {
		d.drawn[id] = true
	}
	if n := d.turns[former]; n != 0 {
		d.turns[id] = n
	}
	for _, ids := range d.has {
		if i := slices.Index(ids, former); i >= 0 {
			ids[i] = id
		}
	}
	if d.loupe.face.of == former {
		d.loupe.face.of = id
	}
	if m, ok := d.measured.of[former]; ok {
		d.measured.of[id] = m
		d.measured.number++
		d.measured.changed[id] = d.measured.number
	}
	delete(d.measured.of, former)
	delete(d.drawn, former)
	delete(d.turns, former)
	delete(d.frames, former)
	d.forget(former)
}

// withAliases is a layout with the frames' present ids.
func withAliases(l cull.Layout, aliases map[cull.ID]cull.ID) cull.Layout {
	for i, p := range l.Places {
		if id, ok := aliases[p.Frame]; ok && id != p.Frame {
			l.Places = slices.Clone(l.Places)
			for k := i; k < len(l.Places); k++ {
				if id, ok := aliases[l.Places[k].Frame]; ok {
					l.Places[k].Frame = id
				}
			}
			return l
		}
	}
	return l
}

// changedPicture reports that a picture made of a frame's files is not one of
// the frame any more.
func changedPicture(old, f cull.Frame) bool {
	if len(old.Files) != len(f.Files) || old.Shot.Orientation != f.Shot.Orientation {
		return true
	}
	for i := range f.Files {
		if old.Files[i].Head != f.Files[i].Head || old.Files[i].Size != f.Files[i].Size {
			return true
		}
	}
	return false
}

func (d *Desk) takeDone(n doneNews) {
	d.filling.running = false
	if n.err != nil && !errors.Is(n.err, context.Canceled) {
		d.filling.err = n.err
		d.Murmur("preparing stopped: %s; deciding goes on with what is there", cause(n.err))
	}
	if d.begun {
		d.readSidecars()
	}
	if n.err == nil {
		d.Measure()
	}
}

// Preparing says how far preparation is; false when it does not run.
func (d *Desk) Preparing() (prepare.Progress, bool) { return d.filling.progress, d.filling.running }
