package station

import (
	"bytes"
	"context"
	"errors"
	"image"
	"image/color"
	stdjpeg "image/jpeg"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/returned"
)

// tyer is a desk at which pictures are tied, and a clock.
type tyer struct {
	*Tying
	t   *testing.T
	job *job.Job
	ids []cull.ID // frames in the order of the day
	now time.Time
	end func() // closes the desk, once
}

// tyingOf opens a desk with these pictures that nothing can be told of; each may show
// the frames of those numbers.
func tyingOf(t *testing.T, near map[string][]int) *tyer {
	t.Helper()
	d := &tyer{t: t, job: openJob(t, shoot(t, true)), now: time.Date(2026, 9, 20, 9, 0, 0, 0, time.UTC)}
	t.Cleanup(func() { d.job.Close() })
	l, err := d.job.Layout()
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range l.Places {
		d.ids = append(d.ids, p.Frame)
	}
	var m returned.Matched
	for path, frames := range near {
		putPicture(t, filepath.Join(d.job.Root(), returned.Folder, path))
		tie := returned.Tie{Path: returned.Folder + "/" + path, Why: []string{"nothing says which"}}
		for _, i := range frames {
			tie.Nearest = append(tie.Nearest, d.ids[i])
		}
		m.Ties = append(m.Ties, tie)
	}
	slices.SortFunc(m.Ties, func(a, b returned.Tie) int { return strings.Compare(a.Path, b.Path) })
	if d.Tying, err = OpenTying(context.Background(), d.job, TyingOptions{Matched: &m}); err != nil {
		t.Fatal(err)
	}
	d.end = sync.OnceFunc(func() {
		if err := d.Close(); err != nil {
			t.Error(err)
		}
	})
	t.Cleanup(d.end)
	d.SetPlaces(300, FanArea{Cols: 60, Rows: 30, Pixels: image.Pt(600, 600), CellShape: 2})
	d.settle()
	return d
}

func putPicture(t *testing.T, path string) {
	t.Helper()
	m := image.NewRGBA(image.Rect(0, 0, 90, 60))
	m.Set(4, 4, color.White)
	var b bytes.Buffer
	if err := errors.Join(stdjpeg.Encode(&b, m, nil), os.MkdirAll(filepath.Dir(path), 0o777), os.WriteFile(path, b.Bytes(), 0o666)); err != nil {
		t.Fatal(err)
	}
}

// settle takes in all news, and lets the screen show what there is.
func (d *tyer) settle() {
	d.t.Helper()
	for d.Busy() {
		n, ok := d.Next()
		if !ok {
			d.t.Fatal("a busy desk has no news")
		}
		d.Take(n)
	}
	if err := d.Broke(); err != nil {
		d.t.Fatal(err)
	}
	d.now = d.now.Add(time.Millisecond)
	d.Drawn(d.Shot().ID, d.now)
	for d.Busy() { // what is made ahead
		n, _ := d.Next()
		d.Take(n)
	}
}

// press is a key some time after the last.
func (d *tyer) press(do func()) *tyer { return d.pressAfter(3*time.Second, "x", do) }

func (d *tyer) pressAfter(pause time.Duration, key string, do func()) *tyer {
	d.t.Helper()
	d.now = d.now.Add(pause)
	if !d.Held(Press{Key: key, At: d.now}) {
		do()
	}
	d.settle()
	return d
}

func (d *tyer) said() map[string][]cull.ID {
	d.t.Helper()
	said, err := d.job.Finished()
	if err != nil {
		d.t.Fatal(err)
	}
	return said
}

// What is said of a picture is a line of the journal, as decide writes it, is what
// matching goes by, and can be taken back to what was before.
func TestTyingIsKept(t *testing.T) {
	d := tyingOf(t, map[string][]int{"a.jpg": {3, 5}, "b.jpg": {7}, "c.jpg": {2, 4, 6}})
	d.press(func() { d.Walk(1) }).press(d.Tie)
	if got := d.said()["finished/a.jpg"]; !slices.Equal(got, []cull.ID{d.ids[5]}) {
		t.Fatalf("a is said to show %v", got)
	}
	if h := d.Here(); h.Picture != "b.jpg" || h.Left != 2 {
		t.Errorf("%+v", h)
	}
	d.press(d.None)
	d.press(d.Pick).press(func() { d.Walk(2) }).press(d.Pick).press(d.Tie)
	said := d.said()
	if got, ok := said["finished/b.jpg"]; !ok || len(got) != 0 || !slices.Equal(said["finished/c.jpg"], []cull.ID{d.ids[2], d.ids[6]}) {
		t.Errorf("%v", said)
	}
	if n := d.Notice(); !strings.Contains(n.Text, "c.jpg is a merge of ") || !strings.Contains(n.Text, "no picture is left") || !n.Undo {
		t.Errorf("%+v", n)
	}
	m, err := returned.Match(context.Background(), d.job, returned.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []returned.State{returned.ByHand, returned.Foreign, returned.ByHand} {
		if m.Ties[i].State != want {
			t.Errorf("%s is %v", m.Ties[i].Path, m.Ties[i].State)
		}
	}
	journal, err := os.ReadFile(filepath.Join(d.job.StateDir(), "journal.txt"))
	if err != nil || !strings.Contains(string(journal), "correct finished finished/a.jpg #"+string(d.ids[5])) || !strings.Contains(string(journal), "correct finished finished/b.jpg none") {
		t.Errorf("the journal: %v\n%s", err, journal)
	}
	for range 3 {
		d.press(d.Undo)
	}
	if said := d.said(); len(said) != 0 {
		t.Errorf("taken back, there is %v", said)
	}
	if d.press(d.Undo); d.Notice().Text != "there is nothing to take back" {
		t.Errorf("%+v", d.Notice())
	}
	if h := d.Here(); h.Picture != "a.jpg" || h.Left != 3 {
		t.Errorf("%+v", h)
	}
}

// What is on its way to the disk when somebody leaves gets there.
func TestTyingClosedAtOnce(t *testing.T) {
	d := tyingOf(t, map[string][]int{"a.jpg": {3}})
	if d.Tie(); !d.writing {
		t.Fatalf("%+v", d.Notice())
	}
	d.end()
	if said := d.said(); len(said["finished/a.jpg"]) != 1 {
		t.Errorf("%v", said)
	}
}

// A key says something only of what has been drawn before it was pressed.
func TestTyingWaitsForTheScreen(t *testing.T) {
	d := tyingOf(t, map[string][]int{"a.jpg": {3}, "b.jpg": {4}})
	at := d.now
	d.Redraw()
	for _, act := range []func(){d.Tie, d.None, d.Pick} {
		if act(); d.Notice().Kind != Refused || len(d.picked) > 0 {
			t.Errorf("%+v", d.Notice())
		}
	}
	d.settle()
	d.Held(Press{Key: "enter", At: at}) // was read before it was drawn
	if d.Tie(); d.Notice().Kind != Refused {
		t.Errorf("an early key: %+v", d.Notice())
	}
	d.settle()
	if said := d.said(); len(said) != 0 {
		t.Fatalf("%v", said)
	}
	d.press(d.Tie)
	d.Hidden()
	if d.Tie(); d.Notice().Kind != Refused || len(d.said()) != 1 {
		t.Errorf("covered: %+v, %v", d.Notice(), d.said())
	}
}

// A held key says one thing: its first repeat may look like a press, and is taken back
// as soon as the second comes.
func TestTyingHeldKey(t *testing.T) {
	d := tyingOf(t, map[string][]int{"a.jpg": {3}, "b.jpg": {4}, "c.jpg": {5}})
	d.pressAfter(3*time.Second, "enter", d.Tie)
	d.pressAfter(500*time.Millisecond, "enter", d.Tie)
	if len(d.said()) != 2 {
		t.Fatalf("%v", d.said())
	}
	for range 4 {
		d.pressAfter(30*time.Millisecond, "enter", d.Tie)
	}
	if said := d.said(); len(said) != 1 || said["finished/a.jpg"] == nil || d.Here().Picture != "b.jpg" || !strings.Contains(d.Notice().Text, "the key was held") {
		t.Errorf("%v, %+v, %+v", said, d.Here(), d.Notice())
	}
}

// Past the nearest frames all are walked, from where they are; where none is near they
// are shown at once. What is tied is not asked about.
func TestTyingWalks(t *testing.T) {
	d := tyingOf(t, map[string][]int{"a.jpg": {9, 3}, "b.jpg": nil, "z.jpg": {12}})
	d.Walk(-1)
	if d.Notice().Text != "this is the first frame" {
		t.Errorf("%+v", d.Notice())
	}
	d.Walk(1)
	d.Walk(1)
	if h := d.Here(); !h.Around || d.frame() != d.ids[3] || h.All != len(d.ids) {
		t.Errorf("%+v at %s", h, d.frame())
	}
	d.WalkPages(100)
	if d.frame() != d.ids[len(d.ids)-1] {
		t.Errorf("at %s", d.frame())
	}
	if d.Walk(1); d.Notice().Text != "this is the last frame" {
		t.Errorf("%+v", d.Notice())
	}
	found := d.Find("5")
	if len(found) == 0 || found[0].Frame != d.ids[4] {
		t.Fatalf("%+v", found)
	}
	d.GoTo(found[0].Frame)
	d.settle()
	if !slices.ContainsFunc(d.Rungs(), func(r TyingRung) bool { return r.Here && r.Frame == d.ids[4] && !r.Waiting }) {
		t.Errorf("%+v", d.Rungs())
	}
	d.ToggleAround()
	if d.Here().Around {
		t.Error("the nearest are not shown again")
	}
	d.Skip(1)
	if h := d.Here(); h.Picture != "b.jpg" || !h.Around {
		t.Errorf("%+v", h)
	}
	if d.ToggleAround(); d.Notice().Kind != Refused {
		t.Error("the nearest of none are shown")
	}
	d.Skip(1)
	d.Skip(1)
	d.Skip(-1)
	if h := d.Here(); h.Picture != "z.jpg" {
		t.Errorf("%+v", h)
	}
}

// A picture that cannot be shown says why, and can be said to be of no frame.
func TestTyingBrokenPicture(t *testing.T) {
	d := tyingOf(t, map[string][]int{"a.jpg": {3}})
	if err := os.WriteFile(filepath.Join(d.job.Root(), returned.Folder, "a.jpg"), []byte("no picture"), 0o666); err != nil {
		t.Fatal(err)
	}
	d.SetPlaces(200, d.place)
	d.settle()
	if s := d.Shot(); s.Picture != nil || s.Why == "" || !s.Whole {
		t.Fatalf("%+v", s)
	}
	if d.press(d.None); len(d.said()) != 1 {
		t.Errorf("%+v", d.Notice())
	}
	_, err := OpenTying(context.Background(), d.job, TyingOptions{Matched: &returned.Matched{Ties: []returned.Tie{{State: returned.Tied}, {State: returned.Foreign}}}})
	if !errors.Is(err, ErrTied) {
		t.Errorf("with nothing to do: %v", err)
	}
}
