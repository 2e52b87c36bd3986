package station

import (
	"slices"
	"strings"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/prepare"
	"garner/preview/jpeg"
)

// What the screen is told agrees with the session, after every kind of change.
func TestStateAgreesWithTheSession(t *testing.T) {
	p := sit(t, shoot(t, true), Options{Goal: 9})
	for i, act := range []Act{Walk{cull.NextMoment}, Answer{cull.Yes}, Burst{cull.No}, Undo{}, Answer{cull.Yes}, NextPass{}, Answer{cull.No}, NextPass{}, Walk{cull.NextScene}} {
		p.press(act)
		d := p.desk
		pass := d.session.CursorPass()
		want := d.session.Progress(pass)
		if got := d.Reckoning(); got.Counts != want {
			t.Errorf("act %d: counted %+v, the session has %+v", i, got.Counts, want)
		}
		h, ok := d.Here()
		if !ok || h.Frame.ID != d.session.Cursor() || h.Total != want.All() {
			t.Errorf("act %d: here %+v of %d", i, h.Frame.ID, h.Total)
		}
		if frames := d.session.Frames(pass); h.Position != slices.Index(frames, h.Frame.ID)+1 {
			t.Errorf("act %d: position %d", i, h.Position)
		}
		frames, here := 0, 0
		for _, s := range d.Ribbon() {
			frames += len(s.Answers)
			if s.Here >= 0 {
				here++
			}
		}
		if frames != want.All() || here != 1 {
			t.Errorf("act %d: the ribbon has %d frames of %d, the cursor in %d scenes", i, frames, want.All(), here)
		}
		_, rungs := d.Moment()
		if !slices.ContainsFunc(rungs, func(r Rung) bool { return r.Here && r.Frame == h.Frame.ID }) {
			t.Errorf("act %d: the ladder has no rung for the frame", i)
		}
	}
	if g := p.desk.Reckoning().Goal; g != 9 {
		t.Errorf("goal %d", g)
	}
}

// A frame that was decided in an earlier sitting counts as seen if it had been
// shown then.
func TestSeenInAnEarlierSitting(t *testing.T) {
	dir := shoot(t, true)
	first := func() cull.ID {
		j := openJob(t, dir)
		defer j.Close()
		d, err := Open(j, Options{Who: "anna"})
		if err != nil {
			t.Fatal(err)
		}
		defer d.Close()
		d.SetEdge(200)
		p := &person{t: t, desk: d, job: j, now: time.Now()}
		id := p.look().Frame
		p.press(Answer{cull.Yes})
		return id
	}()
	p := sit(t, dir, Options{})
	p.press(goTo{first})
	_, rungs := p.desk.Moment()
	for _, r := range rungs {
		if r.Frame == first && !r.Drawn {
			t.Error("it was shown when it was decided")
		}
	}
}

func TestFacts(t *testing.T) {
	bias, flash := -0.7, true
	f := cull.Frame{Shot: cull.Shot{Seconds: 1.0 / 250, FNumber: 2.8, ISO: 800, FocalLength: 85, Bias: &bias, Flash: &flash, Rating: -1, Protected: true}}
	at := cull.Stamp{Wall: time.Date(2026, 6, 13, 14, 2, 11, 0, time.UTC)}
	if got, want := strings.Join(Glance(f, at), " "), "14:02:11 1/250 s f/2.8 ISO 800 85 mm"; got != want {
		t.Errorf("at a glance %q, want %q", got, want)
	}
	if got, want := strings.Join(marked(f, nil), "; "), "marked as unwanted in the body; protected in the body"; got != want {
		t.Errorf("marks %q, want %q", got, want)
	}
	var text []string
	for _, x := range exposureFacts(f.Shot) {
		text = append(text, x.Label+" "+x.Value)
	}
	if got := strings.Join(text, ", "); !strings.Contains(got, "correction -0.7 EV") || !strings.Contains(got, "flash fired") {
		t.Errorf("facts %q", got)
	}
	for seconds, want := range map[float64]string{1.0 / 8000: "1/8000 s", 0.25: "1/4 s", 0.5: "0.5 s", 30: "30 s"} {
		if got := shutter(seconds); got != want {
			t.Errorf("%v s is %q, want %q", seconds, got, want)
		}
	}
	p := sit(t, shoot(t, true), Options{})
	p.press(Answer{cull.Yes}, Undo{}, Answer{cull.No}, Undo{})
	all := ""
	for _, group := range p.desk.Facts() {
		for _, x := range group {
			all += x.Label + " " + x.Value + "\n"
		}
	}
	for _, want := range []string{"scene 01", "keep open", "JPEG inside", "exposure"} {
		if !strings.Contains(all, want) {
			t.Errorf("no %q among the facts:\n%s", want, all)
		}
	}
}

// Of a frame that was freed the facts say what was, and what is there.
func TestFactsOfAFreedFrame(t *testing.T) {
	f := cull.Frame{Files: []cull.File{{Path: "small/A/x.CR3.jpg", Role: cull.RoleSmall, Size: 2e6, Of: cull.Origin{Path: "A/x.CR3", Kind: "CR3", Size: 25e6}}}}
	got := fileFacts(f)
	want := []Fact{{"original", "A/x.CR3, 25.0 MB: not here, its small picture is"}, {"small", "small/A/x.CR3.jpg, 2.0 MB"}}
	if !slices.Equal(got, want) {
		t.Errorf("%q", got)
	}
}

func TestTook(t *testing.T) {
	for d, want := range map[time.Duration]string{45 * time.Second: "45 s", 90 * time.Second: "2 min", 72 * time.Minute: "1 h 12 min"} {
		if got := Took(d); got != want {
			t.Errorf("%v is %q, want %q", d, got, want)
		}
	}
}

// The album keeps what was used last, and never lets go of the newest.
func TestAlbum(t *testing.T) {
	picture := func(n int) prepare.Picture { return prepare.Picture{Image: &jpeg.Image{Y: make([]byte, n)}} }
	var a album
	a.put("1 a", picture(40), 100)
	a.put("2 a", picture(40), 100)
	a.use("1 a")
	a.put("3 a", picture(40), 100)
	if _, ok := a.get("2 a"); ok {
		t.Error("what was not used for longest is still there")
	}
	if _, ok := a.get("1 a"); !ok {
		t.Error("what was used is gone")
	}
	a.put("4 a", picture(500), 100)
	if _, ok := a.get("4 a"); !ok || len(a.pictures) != 1 || a.bytes != 500 {
		t.Errorf("a large one: %d pictures, %d bytes", len(a.pictures), a.bytes)
	}
	a.forget("4")
	if len(a.pictures) != 0 || a.bytes != 0 || len(a.order) != 0 {
		t.Errorf("forgotten: %d pictures, %d bytes", len(a.pictures), a.bytes)
	}
}
