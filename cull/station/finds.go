package station

import (
	"fmt"
	"runtime"
	"time"

	"garner/cull"
	"garner/preview/sched"
)

// FoundFrame is a frame that was found again, in whichever job or bag.
type FoundFrame struct {
	Name, Job   string
	At          time.Time // by the clock, corrected; zero = not known
	Scene, Body string
	Answer      cull.Answer
	Notes       []string               // what else is known of it, the most telling first
	File        string                 // the best one that is there, absolute; "" = none is
	Kind        string                 // what that is to the frame: "original"
	Thumb       func() ([]byte, error) // a thumbnail that is kept of it, as JPEG; nil = none is
}

// FindsOptions say what was found.
type FindsOptions struct {
	Frames  []FoundFrame // at least one
	Taking  string       // folder that copies are made in; "" = none was named, nothing can be taken
	Now     func() time.Time
	Workers int // pictures that are made at once; 0 = as many as cores
}

// Finds is a desk at which frames that were found are looked at, and those chosen that
// are to be taken. It only reads: who opened it makes the copies. Its methods belong to
// one goroutine, but for Next.
type Finds struct {
	stand
	frames []FoundFrame
	taking string
	jobs   int // that the frames are of
	cursor int
	marked []bool
	view   findsView

	work   errands[found]
	failed map[string]string // by what was asked for
	lesser map[int]string    // why a frame's thumbnail alone is shown
	place  FanArea
}

// findsView is how frames are looked at.
type findsView uint8

const (
	allFinds findsView = iota
	oneFind
	findPixels
)

// OpenFinds makes the desk.
func OpenFinds(o FindsOptions) *Finds {
	if o.Workers <= 0 {
		o.Workers = runtime.GOMAXPROCS(0)
	}
	d := &Finds{stand: stand{board: newBoard(o.Now), details: details{limit: detailBytes}}, frames: o.Frames, taking: o.Taking, marked: make([]bool, len(o.Frames)),
		failed: map[string]string{}, lesser: map[int]string{}}
	d.work = newErrands[found](&d.board, sched.Options{Workers: o.Workers, MaxBytes: maxTrialBytes, MaxQueue: 64})
	jobs := map[string]bool{}
	for _, f := range o.Frames {
		jobs[f.Job] = true
	}
	d.jobs = len(jobs)
	d.renew()
	return d
}

// Close calls all work off.
func (d *Finds) Close() { d.work.close() }

// Take folds news in.
func (d *Finds) Take(n Brought) {
	d.take(n)
	d.renew()
}

// Walk goes along the frames, however they are looked at.
func (d *Finds) Walk(step int) {
	switch to := d.cursor + step; {
	case to < 0:
		d.Refuse("this is the first frame")
	case to >= len(d.frames):
		d.Refuse("this is the last frame")
	default:
		d.cursor = to
		d.moved()
	}
}

// WalkRows goes up or down a row of tiles.
func (d *Finds) WalkRows(step int) {
	if d.view != allFinds {
		d.Walk(step)
		return
	}
	d.leap(step * max(d.shot.Tiling.Columns, 1))
}

// WalkPages goes to the next tiles, or those before.
func (d *Finds) WalkPages(step int) { d.leap(step * max(d.tiling().Tiles(), 1)) }

func (d *Finds) leap(by int) {
	to := min(max(d.cursor+by, 0), len(d.frames)-1)
	if to == d.cursor {
		d.Refuse("there are no more frames that way")
		return
	}
	d.Walk(to - d.cursor)
}

func (d *Finds) moved() {
	d.panned = false
	d.settled()
	d.version++
	d.renew()
}

// ToggleOne shows one frame large; and again all.
func (d *Finds) ToggleOne() {
	if d.view == allFinds {
		d.view = oneFind
	} else {
		d.view = allFinds
	}
	d.moved()
}

// ToggleLoupe shows the pixels of a frame; and again all of it.
func (d *Finds) ToggleLoupe() {
	if d.view == findPixels {
		d.view = oneFind
	} else {
		d.view = findPixels
	}
	d.moved()
}

// Back goes back one step: from the pixels to the frame, from there to all.
func (d *Finds) Back() {
	if d.view > allFinds {
		d.view--
		d.moved()
	}
}

// InFan reports whether all frames are seen.
func (d *Finds) InFan() bool { return d.view == allFinds }

// InLoupe reports whether single pixels are seen.
func (d *Finds) InLoupe() bool { return d.view == findPixels }

// NoLoupe says why no pixels can be shown; "" = they can.
func (d *Finds) NoLoupe() string {
	f := d.frames[d.cursor]
	if f.File == "" {
		return noFileThere
	}
	return d.failed[d.detailKey(d.cursor)]
}

const noFileThere = "no file of this frame is there any more"

// Pan moves the part that is seen.
func (d *Finds) Pan(p Pan) {
	if now, ok := d.part(); d.pan(now, ok, p) {
		d.renew()
	}
}

// Mark chooses the frame under the cursor to be taken; and lets it go.
func (d *Finds) Mark() {
	switch {
	case d.taking == "":
		d.Refuse(noFolder)
		return
	case d.frames[d.cursor].File == "":
		d.Refuse(noFileThere + ": it cannot be taken")
		return
	}
	d.marked[d.cursor] = !d.marked[d.cursor]
	d.settled()
	d.version++
}

const noFolder = "no folder was named to take frames into: garner recall … --show --take DIR"

// MarkAll chooses all frames; and where they are chosen, lets all go.
func (d *Finds) MarkAll() {
	if d.taking == "" {
		d.Refuse(noFolder)
		return
	}
	on, gone := false, 0
	for i, f := range d.frames {
		on = on || f.File != "" && !d.marked[i]
		if f.File == "" {
			gone++
		}
	}
	for i, f := range d.frames {
		d.marked[i] = on && f.File != ""
	}
	d.settled()
	if on && gone > 0 {
		d.Remark(fmt.Sprintf("all but %d, of which no file is there any more", gone))
	}
	d.version++
}

// Marked are the numbers of the frames to be taken, from 0.
func (d *Finds) Marked() []int {
	var list []int
	for i, on := range d.marked {
		if on {
			list = append(list, i)
		}
	}
	return list
}

// FindsHere is what is looked at.
type FindsHere struct {
	FoundFrame
	Number, Total int // from 1
	Jobs          int // that all are of
	Taken         bool
	Taking        string // folder; "" = none
	Marked        int    // how many are to be taken
	From          int    // the number of the first tile, from 1
	Lesser        string // why only a thumbnail is shown; "" = the file is
	Loupe         *LoupePart
}

// Here says what is looked at.
func (d *Finds) Here() FindsHere {
	return FindsHere{FoundFrame: d.frames[d.cursor], Number: d.cursor + 1, Total: len(d.frames), Jobs: d.jobs, Taken: d.marked[d.cursor], Taking: d.taking,
		Marked: len(d.Marked()), From: d.page() + 1, Lesser: d.lesser[d.cursor], Loupe: d.shot.Loupe}
}

// FindsTile is a frame of the fan.
type FindsTile struct {
	FoundFrame
	Tile
	Number      int // from 1
	Here, Taken bool
}

// Tiles are the frames that are seen.
func (d *Finds) Tiles() []FindsTile {
	var list []FindsTile
	from := d.page()
	for i, t := range d.shot.Tiles {
		n := from + i
		list = append(list, FindsTile{FoundFrame: d.frames[n], Tile: t, Number: n + 1, Here: n == d.cursor, Taken: d.marked[n]})
	}
	return list
}
