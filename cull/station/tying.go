package station

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"slices"
	"strings"
	"time"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/output"
	"garner/cull/prepare"
	"garner/cull/returned"
	"garner/preview/sched"
)

// TyingOptions say what is to be tied.
type TyingOptions struct {
	Matched *returned.Matched // what is known of the pictures that came back
	Now     func() time.Time
	Workers int // pictures that are made at once; 0 = as many as cores
}

// ErrTied is returned where no picture waits to be tied by hand.
var ErrTied = errors.New("every finished picture has its frame")

// Tying is a desk at which a person says which frames finished pictures show, of those
// that it could not be told of. What is said is on the disk before it is shown. Its methods belong to one goroutine, but for Next.
type Tying struct {
	board
	job     *job.Job
	claim   *job.Claim
	session *cull.Session
	frames  map[cull.ID]cull.Frame
	finder  finder
	viewer  *prepare.Viewer
	showing *output.Showing

	items  []tyingItem
	at     int       // which picture
	near   []cull.ID // the frames that it may show
	around bool      // all frames are walked, in the order of the day
	cursor int       // which of the frames
	picked []cull.ID // for a merge, the lead first

	did      []tiedBefore // what can be taken back
	writing  bool         // something is on its way to the disk
	deed     bool         // the last event of a key said something
	withdraw bool         // that is to be taken back once it is written
	pressed  time.Time    // when the last key was read

	work   errands[prepare.Picture]
	album  album
	failed map[string]string

	place   FanArea // for the frames
	edge    int     // long edge of the finished picture, in pixels
	shot    TyingShot
	armed   bool
	armedAt time.Time
}

// tyingItem is a picture that waits, or waited, to be tied.
type tyingItem struct {
	tie  returned.Tie
	done string // what was said of it here; "" = nothing yet
}

// tiedBefore is what was said of a picture before it was said anew.
type tiedBefore struct {
	item int
	said bool
	was  []cull.ID
}

// OpenTying takes the job for deciding. The error is the job's *OwnedError where
// somebody else has it, ErrTied where there is nothing to be done.
func OpenTying(ctx context.Context, j *job.Job, o TyingOptions) (*Tying, error) {
	items := waiting(o.Matched.Ties)
	if len(items) == 0 {
		return nil, ErrTied
	}
	showing, err := output.OpenShowing(ctx, j, nil)
	if err != nil {
		return nil, err
	}
	l, err := j.Load()
	if err != nil {
		return nil, err
	}
	claim, err := j.Claim()
	if err != nil {
		return nil, err
	}
	if o.Workers <= 0 {
		o.Workers = runtime.GOMAXPROCS(0)
	}
	d := &Tying{board: newBoard(o.Now), job: j, claim: claim, session: l.Session, frames: l.Frames, viewer: prepare.NewViewer(j), showing: showing, items: items,
		failed: map[string]string{}}
	d.finder = finder{d.session, d.name}
	d.work = newErrands[prepare.Picture](&d.board, sched.Options{Workers: o.Workers, MaxBytes: maxTrialBytes, MaxQueue: 64})
	d.look(0)
	return d, nil
}

// waiting are the pictures that are not tied.
func waiting(ties []returned.Tie) []tyingItem {
	var open []tyingItem
	for _, t := range ties {
		if t.State == returned.Open {
			open = append(open, tyingItem{tie: t})
		}
	}
	return open
}

// Close waits for what is being written, calls all other work off and gives the job back.
func (d *Tying) Close() error {
	d.work.close()
	return errors.Join(d.viewer.Close(), d.claim.Release())
}

// Take folds news in.
func (d *Tying) Take(n Brought) {
	d.take(n)
	d.renew()
}

// Held takes in an event of a key, and reports whether it is the key that was pressed
// before, held down. A key that turns out to have been held before, when it was taken
// for a press, takes back what that said.
func (d *Tying) Held(p Press) bool {
	v := d.hold.press(p)
	if v.unmasked && d.deed {
		d.deed = false
		if d.withdraw = d.writing; !d.withdraw {
			d.undo("the key was held: ")
		}
	}
	if !v.repeat {
		d.deed = false
	}
	d.pressed = p.At
	return v.repeat
}

// look goes to a picture and the frames that it may show.
func (d *Tying) look(at int) {
	d.at, d.cursor, d.picked, d.around = at, 0, nil, false
	t := d.items[at].tie
	d.near = nil
	for _, id := range t.Nearest {
		if _, ok := d.frames[id]; ok {
			d.near = append(d.near, id)
		}
	}
	if len(d.near) == 0 {
		d.around = true
	}
	d.version++
	d.renew()
}

// list are the frames that are walked: those that the picture may show, or all.
func (d *Tying) list() []cull.ID {
	if !d.around {
		return d.near
	}
	places := d.session.Layout().Places
	ids := make([]cull.ID, len(places))
	for i, p := range places {
		ids[i] = p.Frame
	}
	return ids
}

// frame is the one under the cursor; "" = there is none.
func (d *Tying) frame() cull.ID {
	if list := d.list(); d.cursor < len(list) {
		return list[d.cursor]
	}
	return ""
}

// Walk goes along the frames; past the nearest ones it goes on among all of them, where
// the last of these is.
func (d *Tying) Walk(step int) {
	d.settled()
	list := d.list()
	switch to := d.cursor + step; {
	case to < 0:
		d.Refuse("this is the first frame")
		return
	case to < len(list):
		d.cursor = to
	case !d.around:
		d.ToggleAround()
		return
	default:
		d.Refuse("this is the last frame")
		return
	}
	d.version++
	d.renew()
}

// WalkRows goes up or down a row of tiles.
func (d *Tying) WalkRows(step int) { d.leap(step * max(d.shot.Tiling.Columns, 1)) }

// WalkPages goes to the next tiles, or those before.
func (d *Tying) WalkPages(step int) { d.leap(step * max(d.shot.Tiling.Tiles(), 1)) }

func (d *Tying) leap(by int) {
	if to := d.cursor + by; to < 0 || to >= len(d.list()) {
		by = min(max(to, 0), len(d.list())-1) - d.cursor
	}
	if by == 0 {
		d.Refuse("there are no more frames that way")
		return
	}
	d.Walk(by)
}

// ToggleAround shows all frames in the order of the day, around the one under the cursor;
// and again those that the picture may show.
func (d *Tying) ToggleAround() {
	id := d.frame()
	if d.around && len(d.near) == 0 {
		d.Refuse("no frame is near to this picture: all are shown")
		return
	}
	d.around = !d.around
	d.cursor = max(0, slices.Index(d.list(), id))
	d.settled()
	d.version++
	d.renew()
}

// Find looks for frames by what a person types.
func (d *Tying) Find(text string) []Match { return d.finder.find(text) }

// GoTo goes to a frame, among all.
func (d *Tying) GoTo(id cull.ID) {
	d.around = true
	d.cursor = max(0, slices.Index(d.list(), id))
	d.settled()
	d.version++
	d.renew()
}

// Skip goes to the next picture of which nothing was said, round the end; with -1 to the
// picture before, whatever was said of it.
func (d *Tying) Skip(step int) {
	d.settled()
	if step < 0 {
		d.look((d.at + len(d.items) - 1) % len(d.items))
		return
	}
	to, ok := d.nextOpen()
	if !ok {
		d.Refuse(d.noOther())
		return
	}
	d.look(to)
}

func (d *Tying) nextOpen() (int, bool) {
	for i := 1; i < len(d.items); i++ {
		if to := (d.at + i) % len(d.items); d.items[to].done == "" {
			return to, true
		}
	}
	return 0, false
}

func (d *Tying) noOther() string {
	if d.items[d.at].done == "" {
		return "this is the only picture that is left"
	}
	return "every picture has been said something of"
}

func (d *Tying) name(id cull.ID) string {
	if f, ok := d.frames[id]; ok && f.Name != "" {
		return f.Name
	}
	return "#" + string(id)
}

func (d *Tying) names(ids []cull.ID) string {
	var names []string
	for _, id := range ids {
		names = append(names, d.name(id))
	}
	return strings.Join(names, ", ")
}

// inFinished is a picture's path below finished/.
func inFinished(path string) string { return strings.TrimPrefix(path, returned.Folder+"/") }

// TyingHere is what is looked at.
type TyingHere struct {
	Picture   string   // path in finished/
	At, Total int      // which picture, from 1
	Left      int      // of how many nothing was said yet
	Why       []string // why it is open
	Done      string   // what was said of it; "" = nothing yet
	Picked    []string
	Around    bool // all frames are walked
	From, All int  // the number of the first tile, from 1, and how many frames there are
	Waiting   bool // it cannot be tied yet: it is not on the screen
}

// Here says what is looked at.
func (d *Tying) Here() TyingHere {
	it := d.items[d.at]
	h := TyingHere{Picture: inFinished(it.tie.Path), At: d.at + 1, Total: len(d.items), Why: it.tie.Why, Done: it.done,
		Around: d.around, From: d.page() + 1, All: len(d.list()), Waiting: !d.armed}
	for _, o := range d.items {
		if o.done == "" {
			h.Left++
		}
	}
	for _, id := range d.picked {
		h.Picked = append(h.Picked, d.name(id))
	}
	return h
}

// Counts is how many pictures something was said of, and how many are left.
func (d *Tying) Counts() (said, left int) {
	h := d.Here()
	return h.Total - h.Left, h.Left
}

// Rungs are the frames of the tiles.
func (d *Tying) Rungs() []TyingRung {
	var list []TyingRung
	for _, t := range d.shot.Tiles {
		r := TyingRung{Rung: Rung{Frame: t.Frame, Name: d.name(t.Frame), Decision: d.session.Decision(cull.KeepPass, t.Frame), Here: t.Frame == d.frame(), Broken: t.Why != "", Drawn: true},
			Waiting: !t.Whole, Why: t.Why, Picked: slices.Index(d.picked, t.Frame) + 1}
		if p, ok := d.session.Place(t.Frame); ok {
			r.At = p.Corrected.Wall
		}
		list = append(list, r)
	}
	return list
}

// TyingRung is a frame that a picture may show.
type TyingRung struct {
	Rung
	At      time.Time // by the clock, corrected; zero = not known
	Picked  int       // for a merge, from 1; 0 = it is not
	Waiting bool
	Why     string // why it cannot be shown
}

// said tells what a picture shows.
func (d *Tying) said(ids []cull.ID) string {
	switch len(ids) {
	case 0:
		return "shows none of the frames"
	case 1:
		return "shows " + d.name(ids[0])
	}
	return fmt.Sprintf("is a merge of %s", d.names(ids))
}
