package station

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/job"
	"garner/testdata/testjob"
)

const demoFrames = 24

func TestMain(m *testing.M) { os.Exit(testjob.Run(m)) }

// shoot is a small wedding. Its bracket is a burst, since a series is decided as
// one: tests of series make them.
func shoot(t testing.TB, prepared bool) string {
	t.Helper()
	dir := testjob.Demo(t, demoFrames, prepared)
	if prepared {
		regroup(t, dir, func(l *cull.Layout) {
			for i := range l.Places {
				if l.Places[i].Kind == cull.Series {
					l.Places[i].Kind, l.Places[i].Series = cull.Burst, ""
				}
			}
		})
	}
	return dir
}

// regroup changes the layout that preparation has saved.
func regroup(t testing.TB, dir string, change func(*cull.Layout)) {
	t.Helper()
	j := openJob(t, dir)
	l, err := j.AutoLayout()
	if err != nil {
		t.Fatal(err)
	}
	change(&l)
	if err := errors.Join(j.SaveLayout(l), j.Close()); err != nil {
		t.Fatal(err)
	}
}

func openJob(t testing.TB, dir string) *job.Job {
	t.Helper()
	j, err := job.Open(dir, job.Options{Who: "anna", Command: "test"})
	if err != nil {
		t.Fatal(err)
	}
	return j
}

// person sits at a desk whose clock stands still unless told otherwise.
type person struct {
	t    testing.TB
	desk *Desk
	job  *job.Job
	now  time.Time
}

// sit sits down where nothing is measured: most tests have nothing to do with it.
func sit(t testing.TB, dir string, o Options) *person {
	t.Helper()
	o.Evidence.NoMeasuring = true
	return sitDown(t, dir, o)
}

func sitDown(t testing.TB, dir string, o Options) *person {
	t.Helper()
	p := &person{t: t, job: openJob(t, dir), now: time.Date(2026, 6, 20, 9, 0, 0, 0, time.UTC)}
	o.Who = "anna"
	o.Now = func() time.Time { return p.now }
	d, err := Open(p.job, o)
	if err != nil {
		t.Fatal(err)
	}
	p.desk = d
	t.Cleanup(func() {
		if err := errors.Join(d.Close(), p.job.Close()); err != nil {
			t.Error(err)
		}
	})
	d.SetEdge(200)
	return p
}

// wait takes in news until nothing is under way.
func (p *person) wait() {
	p.t.Helper()
	limit := time.AfterFunc(2*time.Minute, func() { panic("the desk is busy for ever") })
	defer limit.Stop()
	for p.desk.Busy() {
		n, ok := p.desk.Next()
		if !ok {
			p.t.Fatal("no more news from a busy desk")
		}
		p.desk.Take(n)
	}
}

// look waits until all is there and sees it.
func (p *person) look() Shot {
	p.t.Helper()
	p.wait()
	s := p.desk.Shot()
	p.desk.Drawn(s.ID, p.now)
	return s
}

// type presses keys well apart, each after looking.
func (p *person) press(acts ...Act) {
	p.t.Helper()
	for _, a := range acts {
		p.look()
		p.now = p.now.Add(3 * time.Second)
		p.desk.Do(a, Press{Key: fmt.Sprintf("%T", a), At: p.now})
		p.wait()
	}
}

func (p *person) decided(pass string) map[cull.ID]cull.Decision {
	p.t.Helper()
	all, err := p.job.Decisions(pass)
	if err != nil {
		p.t.Fatal(err)
	}
	for id, d := range all {
		if d.Answer == cull.Open {
			delete(all, id)
		}
	}
	return all
}

func (p *person) says(part string) {
	p.t.Helper()
	if n := p.desk.Notice(); !strings.Contains(n.Text, part) {
		p.t.Errorf("the desk says %q, want something with %q", n.Text, part)
	}
}

// onBurst walks to the first burst of several frames.
func (p *person) onBurst() []Rung {
	p.t.Helper()
	for range demoFrames {
		if kind, rungs := p.desk.Moment(); kind == cull.Burst && len(rungs) > 2 {
			return rungs
		}
		p.press(Walk{cull.NextMoment})
	}
	p.t.Fatal("the demo has no burst")
	return nil
}

func TestOneFrameAfterTheOther(t *testing.T) {
	p := sit(t, shoot(t, true), Options{})
	first := p.look()
	if first.Picture == nil || !first.Whole {
		t.Fatalf("the first shot has no picture: %+v", first)
	}
	p.press(Answer{cull.Yes})
	if now := p.desk.Shot().Frame; now == first.Frame {
		t.Error("keeping did not go on to the next frame")
	}
	p.press(Answer{cull.No})
	got := p.decided(cull.KeepPass)
	if d := got[first.Frame]; len(got) != 2 || d.Answer != cull.Yes || !d.Shown || !d.Explicit || d.Who != "anna" {
		t.Errorf("decided: %+v", got)
	}
}

func TestNothingUndrawnIsDecided(t *testing.T) {
	p := sit(t, shoot(t, true), Options{})
	p.wait()
	p.desk.Do(Answer{cull.Yes}, Press{Key: "k", At: p.now})
	p.says("not on the screen yet")
	p.desk.Do(Only{}, Press{Key: "o", At: p.now})
	p.desk.Do(Burst{cull.No}, Press{Key: "x", At: p.now})
	p.wait()
	if got := p.decided(cull.KeepPass); len(got) != 0 {
		t.Fatalf("decided without having been drawn: %+v", got)
	}
	// A landing of an older shot does not count for the present one.
	old := p.look()
	p.desk.Do(Walk{cull.NextMoment}, Press{Key: "right", At: p.now})
	p.wait()
	p.desk.Drawn(old.ID, p.now)
	p.desk.Do(Answer{cull.Yes}, Press{Key: "k", At: p.now.Add(time.Second)})
	p.wait()
	if got := p.decided(cull.KeepPass); len(got) != 0 {
		t.Fatalf("the landing of one picture let another be decided: %+v", got)
	}
}

func TestSecondKeyBeforeTheNextPicture(t *testing.T) {
	p := sit(t, shoot(t, true), Options{})
	first := p.look()
	p.desk.Do(Answer{cull.Yes}, Press{Key: "k", At: p.now})
	p.desk.Do(Answer{cull.No}, Press{Key: "d", At: p.now.Add(200 * time.Millisecond)}) // while it goes to the disk
	p.wait()
	p.desk.Do(Answer{cull.No}, Press{Key: "d", At: p.now.Add(400 * time.Millisecond)}) // kept, the next not drawn
	p.wait()
	got := p.decided(cull.KeepPass)
	if len(got) != 1 || got[first.Frame].Answer != cull.Yes {
		t.Errorf("decided: %+v, want the first frame kept and nothing else", got)
	}
	p.press(Answer{cull.Yes})
	p.says("2 keys before it came too soon")
}

// A held k, the first repeat after 250, 500 or 660 ms, then every 33 ms for two
// seconds, every picture drawn at once: one decision (DESIGN section 3).
func TestHeldKeyDecidesOnce(t *testing.T) {
	for _, delay := range []int{250, 500, 660} {
		for _, slow := range []bool{false, true} {
			t.Run(fmt.Sprintf("%d ms, slow disk %v", delay, slow), func(t *testing.T) {
				p := sit(t, shoot(t, true), Options{})
				first := p.look()
				begin := p.now
				event := func(ms int) {
					p.now = begin.Add(time.Duration(ms) * time.Millisecond)
					p.desk.Do(Answer{cull.Yes}, Press{Key: "k", At: p.now})
				}
				event(0)
				p.look()
				event(delay)
				if !slow { // else the second decision is still on its way at the third event
					p.look()
				}
				for ms := delay + 33; ms <= delay+2000; ms += 33 {
					event(ms)
					p.look()
				}
				got := p.decided(cull.KeepPass)
				if len(got) != 1 || got[first.Frame].Answer != cull.Yes {
					t.Fatalf("decided: %v, want the first frame alone", got)
				}
				p.says("held down")
			})
		}
	}
}

// A busy machine reads a repeat late, so that it looks like a press: the decision
// before it is withdrawn all the same once the hold is seen. The press that began
// the hold always stands.
func TestHeldKeyOnABusyMachine(t *testing.T) {
	for _, c := range []struct {
		name  string
		at    []int
		looks int // after so many events the next picture is drawn
	}{
		{"a late repeat", []int{0, 500, 650, 680, 700}, 1},
		{"a late repeat, its picture drawn", []int{0, 500, 650, 680, 700}, 2},
		{"two late repeats", []int{0, 500, 650, 790, 810}, 1},
		{"two late repeats, their pictures drawn", []int{0, 500, 650, 790, 810, 830}, 3},
		{"a short delay and a late repeat", []int{0, 150, 180, 210}, 0},
		{"a short delay, all drawn", []int{0, 150, 180, 210}, 4},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := sit(t, shoot(t, true), Options{})
			first := p.look()
			begin := p.now
			for i, ms := range c.at {
				p.now = begin.Add(time.Duration(ms) * time.Millisecond)
				p.desk.Do(Answer{cull.Yes}, Press{Key: "k", At: p.now})
				p.wait()
				if i < c.looks {
					p.look()
				}
			}
			got := p.decided(cull.KeepPass)
			if len(got) != 1 || got[first.Frame].Answer != cull.Yes {
				t.Errorf("decided %v, want the first frame alone", got)
			}
		})
	}
}

func TestHeldUndoTakesBackOnce(t *testing.T) {
	p := sit(t, shoot(t, true), Options{})
	p.press(Answer{cull.Yes}, Answer{cull.Yes}, Answer{cull.No})
	begin := p.now.Add(5 * time.Second)
	for _, ms := range []int{0, 500, 533, 566, 600} {
		p.desk.Do(Undo{}, Press{Key: "u", At: begin.Add(time.Duration(ms) * time.Millisecond)})
		p.wait()
	}
	if got := p.decided(cull.KeepPass); len(got) != 2 {
		t.Errorf("%d frames decided after a held undo, want 2 of 3", len(got))
	}
}

func TestBurstKeys(t *testing.T) {
	p := sit(t, shoot(t, true), Options{})
	rungs := p.onBurst()
	p.press(Walk{cull.LadderDown}, Answer{cull.Yes}) // the second by itself
	second := rungs[1].Frame
	p.press(goTo{rungs[0].Frame}, Burst{cull.No})
	p.says("left as it was")
	got := p.decided(cull.KeepPass)
	if len(got) != len(rungs) || got[second].Answer != cull.Yes {
		t.Fatalf("decided %+v; want all of the burst, %s still kept", got, second)
	}
	unseen := 0
	for _, r := range rungs[2:] {
		if d := got[r.Frame]; d.Answer != cull.No || d.Explicit {
			t.Errorf("%s: %+v", r.Name, d)
		} else if !d.Shown {
			unseen++
		}
	}
	if unseen > 0 {
		p.says("never shown")
	}
	p.press(Undo{})
	if got := p.decided(cull.KeepPass); len(got) != 1 {
		t.Errorf("%d decided after one undo of the burst, want 1", len(got))
	}
}

func TestLaterPass(t *testing.T) {
	p := sit(t, shoot(t, true), Options{Questions: map[string]string{"review": "Really?"}})
	p.press(NextPass{})
	p.says("nothing is") // no frame kept yet
	p.press(Answer{cull.Yes}, Answer{cull.No}, Answer{cull.Yes}, NextPass{})
	if pass := p.desk.Pass(); pass.Name != "review" || pass.Question != "Really?" {
		t.Fatalf("pass %+v", pass)
	}
	if r := p.desk.Reckoning(); r.All() != 2 || r.Open != 2 {
		t.Errorf("review asks about %d frames, %d open; want the 2 kept ones", r.All(), r.Open)
	}
	p.press(Answer{cull.No}, NextPass{})
	if pass := p.desk.Pass(); pass.Name != cull.KeepPass {
		t.Errorf("Tab from the last pass leads to %s", pass.Name)
	}
	if got := p.decided("review"); len(got) != 1 {
		t.Errorf("review: %v", got)
	}
}

func TestUnprepared(t *testing.T) {
	p := sit(t, shoot(t, false), Options{})
	if s := p.desk.Shot(); s.Whole || !strings.Contains(s.Title, "looking for frames") {
		t.Errorf("at once: %+v", s)
	}
	p.look()
	if h, ok := p.desk.Here(); !ok || h.Total != demoFrames {
		t.Fatalf("%d frames after filling in, want %d", h.Total, demoFrames)
	}
	p.press(Answer{cull.Yes})
	if got := p.decided(cull.KeepPass); len(got) != 1 {
		t.Errorf("decided: %v", got)
	}
}

// A frame without a picture says why, counts as such, and is decided by a person
// all the same; the decision does not claim that it was shown.
func TestFrameThatCannotBeShown(t *testing.T) {
	p := sit(t, shoot(t, true), Options{})
	var broken cull.ID
	for _, pl := range p.desk.session.Layout().Places {
		if !p.desk.frames[pl.Frame].CanBeShown() {
			broken = pl.Frame
		}
	}
	if broken == "" {
		t.Fatal("the demo has no broken frame")
	}
	p.press(goTo{broken})
	s := p.look()
	if s.Picture != nil || !s.Whole || !strings.Contains(s.Title, "cannot be shown") || len(s.Text) == 0 {
		t.Fatalf("shot: %+v", s)
	}
	if d := p.desk.session.Decision(cull.KeepPass, broken); d.Answer != cull.Open {
		t.Fatalf("it is decided already: %+v", d)
	}
	p.press(Answer{cull.No})
	if d := p.decided(cull.KeepPass)[broken]; d.Answer != cull.No || d.Shown {
		t.Errorf("decision %+v, want a drop that was never shown", d)
	}
}

func TestPictureThatVanishes(t *testing.T) {
	dir := shoot(t, true)
	p := sit(t, dir, Options{})
	p.desk.SetEdge(600) // larger than a thumbnail
	p.look()
	for _, sub := range []string{"A", "B", "C"} {
		os.Rename(filepath.Join(dir, sub), filepath.Join(dir, sub+" away"))
	}
	os.RemoveAll(filepath.Join(dir, ".garner", "cache", "renditions"))
	p.press(Walk{cull.NextScene})
	s := p.look()
	if s.Picture != nil && s.Whole {
		t.Skip("the picture was made ahead")
	}
	if !strings.Contains(s.Title, "cannot be shown") {
		t.Fatalf("shot: %+v", s)
	}
}

func TestOneAtATime(t *testing.T) {
	dir := shoot(t, true)
	sit(t, dir, Options{})
	other := openJob(t, dir)
	defer other.Close()
	_, err := Open(other, Options{Who: "ben"})
	var owned *job.OwnedError
	if !errors.As(err, &owned) {
		t.Fatalf("a second station opened: %v", err)
	}
}

// What the disk refuses is said, and the frame stays open.
func TestNotKept(t *testing.T) {
	dir := shoot(t, true)
	p := sit(t, dir, Options{})
	s := p.look()
	if err := os.Rename(filepath.Join(dir, ".garner"), filepath.Join(dir, ".gone")); err != nil {
		t.Fatal(err)
	}
	p.now = p.now.Add(time.Second)
	p.desk.Do(Answer{cull.Yes}, Press{Key: "k", At: p.now})
	p.wait()
	os.RemoveAll(filepath.Join(dir, ".garner"))
	os.Rename(filepath.Join(dir, ".gone"), filepath.Join(dir, ".garner"))
	if n := p.desk.Notice(); n.Kind != Fault || !strings.Contains(n.Text, "NOT kept") {
		t.Errorf("notice: %+v", n)
	}
	if d := p.desk.session.Decision(cull.KeepPass, s.Frame); d.Answer != cull.Open {
		t.Errorf("shown as decided: %+v", d)
	}
	if got := p.decided(cull.KeepPass); len(got) != 0 {
		t.Errorf("decided: %v", got)
	}
}

func TestTurnedView(t *testing.T) {
	p := sit(t, shoot(t, true), Options{})
	s := p.look()
	w, h := s.Picture.Width, s.Picture.Height
	p.press(Turn{})
	if s = p.look(); s.Picture.Width != h || s.Picture.Height != w {
		t.Errorf("%dx%d turned is %dx%d", w, h, s.Picture.Width, s.Picture.Height)
	}
}

func TestFind(t *testing.T) {
	p := sit(t, shoot(t, true), Options{})
	p.look()
	places := p.desk.session.Layout().Places
	fifth := places[4]
	name := p.desk.name(fifth.Frame)
	for _, c := range []struct{ text, want string }{
		{"5", string(fifth.Frame)},
		{strings.ToLower(name), string(fifth.Frame)},
		{name[len(name)-6:], string(fifth.Frame)},
		{fifth.Corrected.Wall.Format("15:04:05"), ""},
		{"01", string(places[0].Frame)},
	} {
		found := p.desk.Find(c.text)
		if len(found) == 0 {
			t.Errorf("%q: nothing found", c.text)
		} else if c.want != "" && string(found[0].Frame) != c.want {
			ok := false
			for _, m := range found {
				ok = ok || string(m.Frame) == c.want
			}
			if !ok {
				t.Errorf("%q: %+v, want %s among them", c.text, found, c.want)
			}
		}
	}
	if found := p.desk.Find("no such frame"); len(found) != 0 {
		t.Errorf("found %+v", found)
	}
	if p.desk.Find("") != nil {
		t.Error("found something for nothing")
	}
}
