package station

import (
	"fmt"
	"strings"
	"testing"

	"garner/cull"
	"garner/testdata/testjob"
)

// grouped is the small wedding in moments of one's own, see testjob.Groups.
func grouped(t testing.TB, words string) string {
	t.Helper()
	dir := shoot(t, true)
	regroup(t, dir, func(l *cull.Layout) { testjob.Groups(l, words) })
	return dir
}

// shape is the layout in the words of testjob.Groups, the cursor's moment in brackets.
func shape(d *Desk) string { return shapeOf(d.session.Layout(), d.session.Cursor()) }

func shapeOf(l cull.Layout, cursor cull.ID) string {
	var out []string
	here := -1
	for _, p := range l.Places {
		if p.Frame == cursor {
			here = p.Moment
		}
	}
	for i := 0; i < len(l.Places); {
		p := l.Places[i]
		n := i
		for n < len(l.Places) && l.Places[n].Moment == p.Moment {
			n++
		}
		if i > 0 && l.Places[i-1].Scene != p.Scene {
			out = append(out, "|")
		}
		w := fmt.Sprint(n - i)
		if p.Kind == cull.Series {
			w += "s"
		}
		if p.Alike > 0 {
			w += "a"
		}
		if p.Moment == here {
			w = "[" + w + "]"
		}
		out = append(out, w)
		i = n
	}
	return strings.Join(out, " ")
}

// has checks the first moments.
func (p *person) has(want string) {
	p.t.Helper()
	if got := shape(p.desk); !strings.HasPrefix(got+" ", want+" ") {
		p.t.Errorf("the moments are %s, want %s …", got, want)
	}
}

func (p *person) refuses(part string) {
	p.t.Helper()
	if n := p.desk.Notice(); n.Kind != Refused || !strings.Contains(n.Text, part) {
		p.t.Errorf("the desk says %q (%d), want a refusal with %q", n.Text, n.Kind, part)
	}
}

// each counts what was decided how.
func (p *person) each() string {
	c := map[cull.Answer]int{}
	for _, d := range p.decided(cull.KeepPass) {
		c[d.Answer]++
	}
	return fmt.Sprintf("%d yes %d no %d part", c[cull.Yes], c[cull.No], c[cull.Part])
}

// A series is decided as one: yes merges it with this frame as the lead, no drops all
// of it; again, it is about the frame alone.
func TestSeriesIsDecidedAsOne(t *testing.T) {
	p := sit(t, grouped(t, "4s 3s 2"), Options{})
	first := p.look().Frame
	p.press(Answer{cull.Yes})
	p.says("leads a merge: 1 kept; 3 marked as part, 3 of them never shown"[:16])
	p.says("3 marked as part")
	p.says("never shown")
	if got := p.decided(cull.KeepPass)[first]; got.Answer != cull.Yes || !got.Explicit {
		t.Errorf("the lead: %+v", got)
	}
	p.has("4s [3s] 2")
	p.press(Answer{cull.No})
	p.says("the whole bracket of 3: 3 dropped, 2 of them never shown")
	if got := p.each(); got != "1 yes 3 no 3 part" {
		t.Errorf("decided %s", got)
	}
	p.press(Undo{})
	p.has("4s [3s] 2")
	p.press(Undo{})
	if got := p.each(); got != "0 yes 0 no 0 part" {
		t.Errorf("after undoing %s", got)
	}
	// What was merged is changed frame by frame.
	p.press(Answer{cull.Yes}, goTo{first}, Walk{cull.LadderDown}, Answer{cull.No})
	p.says("dropped, was part")
	if got := p.each(); got != "1 yes 1 no 2 part" {
		t.Errorf("then %s", got)
	}
	p.press(goTo{first}, Walk{cull.LadderDown}, Walk{cull.LadderDown}, Answer{cull.Yes})
	p.says("leads a merge")
	// In a later pass the frames are asked about one by one.
	p.press(NextPass{})
	if p.desk.AsksToMerge() {
		t.Error("a later pass asks to merge")
	}
}

func TestMergeByHand(t *testing.T) {
	p := sit(t, grouped(t, "1 4 2"), Options{})
	p.press(Merge{})
	p.refuses("moment of its own")
	p.press(Walk{cull.NextMoment}, Walk{cull.LadderDown}, Merge{})
	p.says("leads a merge")
	if got := p.each(); got != "1 yes 0 no 3 part" {
		t.Errorf("decided %s", got)
	}
	p.has("1 4 [2]")
	p.press(Undo{})
	p.says("taken back")
	p.has("1 [4] 2")
}

// One key decides all that look alike; it says how many, and is one step of undo.
func TestAlikesAreDecidedTogether(t *testing.T) {
	p := sit(t, grouped(t, "2a 1a 3a 2"), Options{})
	if got := p.desk.Alikes(); len(got) != 2 || got[0].Counts.All() != 1 || got[1].Counts.All() != 3 || got[1].Kind != cull.Burst {
		t.Fatalf("alike: %+v", got)
	}
	p.press(Answer{cull.Yes}, AnswerAlikes{cull.No})
	p.says("all 6 alike: 5 dropped")
	p.says("1 left as it was")
	if got := p.each(); got != "1 yes 5 no 0 part" {
		t.Errorf("decided %s", got)
	}
	p.has("2a 1a 3a [2]")
	p.press(AnswerAlikes{cull.Yes})
	p.refuses("looks like")
	p.press(Undo{})
	if got := p.each(); got != "1 yes 0 no 0 part" {
		t.Errorf("after undo %s", got)
	}
}

// The fan over look-alikes: all of their moments, in place, and on from there.
func TestFanOfAlikes(t *testing.T) {
	p := sit(t, grouped(t, "2a 1a 3a 2 1"), Options{})
	d := p.desk
	d.SetFan(FanArea{Cols: 120, Rows: 30})
	p.press(Fan{Alike: true})
	v := d.FanView()
	if len(v.Tiles) != 6 || v.Alike != 3 || v.Tiles[2].Of != 2 || v.Tiles[5].Of != 3 || !v.Tiles[1].Moment || v.Tiles[2].Moment {
		t.Fatalf("%+v", v)
	}
	p.press(Walk{cull.NextMoment}, Walk{cull.NextMoment}, Answer{cull.No})
	if got := len(d.Shot().Tiles); got != 6 || !d.InFan() {
		t.Errorf("after a decision %d tiles", got)
	}
	p.press(Burst{cull.No})
	if got := p.each(); got != "0 yes 4 no 0 part" {
		t.Errorf("decided %s", got)
	}
	if got := len(d.Shot().Tiles); got != 6 {
		t.Errorf("two are open still, but there are %d tiles", got)
	}
	p.press(AnswerAlikes{cull.Yes})
	p.has("2a 1a 3a [2]")
	if got := len(d.Shot().Tiles); got != 2 || !d.InFan() {
		t.Errorf("on in the fan: %d tiles", got)
	}
	p.press(Fan{Alike: true})
	p.refuses("looks like")
	p.press(Walk{cull.PrevMoment})
	if got := len(d.Shot().Tiles); got != 6 {
		t.Errorf("back in the set: %d tiles", got)
	}
	p.press(Fan{})
	if d.InFan() {
		t.Error("it does not close")
	}
}

// Another scene is named once when it is walked into.
func TestSceneChangeIsSaid(t *testing.T) {
	p := sit(t, grouped(t, "1 2 | 1 2 | 1"), Options{})
	p.press(Walk{cull.NextScene})
	p.says("scene 02, ")
	p.press(Walk{cull.NextMoment})
	if n := p.desk.Notice(); n.Text != "" {
		t.Errorf("said again: %q", n.Text)
	}
	p.press(Walk{cull.PrevMoment}, Walk{cull.PrevMoment})
	p.says("scene 01, ")
	p.press(Burst{cull.No})
	p.press(goTo{p.desk.session.Layout().Places[0].Frame}, Answer{cull.Yes})
	p.says("kept; next is scene 02, ")
	if !p.desk.Notice().Undo {
		t.Error("the decision can be taken back")
	}
}

// A part of the job is walked alone, and then all again.
func TestShowOnly(t *testing.T) {
	p := sit(t, grouped(t, "3 3 3"), Options{})
	places := p.desk.session.Layout().Places
	p.press(Burst{cull.No})
	few := []cull.ID{places[1].Frame, places[2].Frame, places[7].Frame}
	p.look()
	p.desk.ShowOnly("a few", few)
	if name, at, of, ok := p.desk.Shown(); name != "a few" || at == 0 || of != 3 || !ok {
		t.Errorf("shown: %q, %d of %d, %v", name, at, of, ok)
	}
	seen := map[cull.ID]bool{}
	for _, m := range []cull.Motion{cull.FirstFrame, cull.NextFrame, cull.NextFrame, cull.NextFrame} {
		p.press(Walk{m})
		seen[p.desk.session.Cursor()] = true
	}
	p.refuses("of a few")
	if len(seen) != 3 {
		t.Errorf("%d frames are walked", len(seen))
	}
	p.press(goTo{places[1].Frame}, Answer{cull.Yes})
	if got := p.desk.session.Cursor(); got != places[7].Frame {
		t.Errorf("after a decision on %s", p.desk.name(got))
	}
	p.press(Answer{cull.Yes})
	p.says("that was the last of a few")
	p.desk.ShowAll()
	if _, _, _, ok := p.desk.Shown(); ok {
		t.Error("not all are shown")
	}
	p.desk.ShowOnly("none", nil)
	p.refuses("no frame")
}
