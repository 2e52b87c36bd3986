package station

import (
	"strings"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/job"
)

// Every correction: what it makes, what it says, that undo jumps to it and says what
// was taken back, and that it lasts.
func TestCorrections(t *testing.T) {
	next := Walk{cull.NextMoment}
	down := Walk{cull.LadderDown}
	for _, c := range []struct {
		name, groups string
		walk         []Act
		act          Act
		want, says   string
		takenBack    string
	}{
		{"join", "1 3 | 1", []Act{next}, Join{}, "[4] | 1", "joined with the moment before it: a burst of 4", "the join of 4 frames"},
		{"join lone frames", "1 1 2", []Act{next}, Join{}, "[2] 2", "a burst of 2", "the join of 2 frames"},
		{"join as a series", "1 3 | 1", []Act{next}, Join{Series: true}, "[4s] | 1", "a series of 4", "the series of 4 frames"},
		{"split", "4 1", []Act{down, down}, Split{}, "2 [2] 1", "split before", "the split before"},
		{"take out", "3 1", []Act{down}, Out{}, "2 [1] 1 1", "is a moment of its own", "by itself"},
		{"let go", "2a 1a 1", nil, Apart{}, "[2] 1 1", "2 moments are no look-alikes any more", "look-alikes let go"},
		{"a scene begins", "1 3 1 | 1", []Act{next}, SceneBegin{}, "1 | [3] 1 | 1", "scene 02 begins here", "a scene that begins with"},
		{"a scene goes on", "1 3 | 1 2 | 1", []Act{next, next}, SceneBegin{}, "1 3 [1] 2 | 1", "scene 01 goes on", "the scene that goes on at"},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := grouped(t, c.groups)
			p := sit(t, dir, Options{AsItIs: true})
			p.press(c.walk...)
			was, on := shapeOf(p.desk.session.Layout(), ""), p.desk.session.Cursor()
			p.press(c.act)
			p.has(c.want)
			p.says(c.says)
			if !p.desk.Notice().Undo || p.desk.session.Cursor() != on {
				t.Errorf("it can be taken back: %v; the cursor is on %s", p.desk.Notice().Undo, p.desk.name(p.desk.session.Cursor()))
			}
			after, last := shape(p.desk), lastEntry(t, p.job)
			p.press(Walk{cull.LastFrame}, Undo{})
			p.says("taken back: ")
			p.says(c.takenBack)
			if got := shapeOf(p.desk.session.Layout(), ""); got != was {
				t.Errorf("taken back: %s, want %s", got, was)
			}
			if got := p.desk.session.Cursor(); !strings.Contains(strings.Join(last.Args, " ")+" ", "#"+string(got)+" ") {
				t.Errorf("undo jumped to %s, which %v does not name", p.desk.name(got), last.Args)
			}
			p.press(Redo{})
			p.says("done again: ")
			p.says(c.takenBack)
			p.press(goTo{on})
			if got := shape(p.desk); got != after {
				t.Errorf("done again: %s, want %s", got, after)
			}
			if l, err := p.job.Layout(); err != nil || shapeOf(l, "") != shapeOf(p.desk.session.Layout(), "") {
				t.Errorf("the job has another layout: %v", err)
			}
		})
	}
}

func TestCorrectionsThatCannotBe(t *testing.T) {
	for _, c := range []struct {
		name, groups string
		act          Act
		says         string
	}{
		{"join the first", "2 1", Join{}, "there is no moment before it in this scene"},
		{"join over the beginning of a scene", "| 2 1", Join{}, "there is no moment before it in this scene"},
		{"split at the first", "2 1", Split{}, "begins with this frame"},
		{"split a lone frame", "1 2", Split{}, "nothing changed"},
		{"take out a lone frame", "1 2", Out{}, "moment by itself"},
		{"let go what has none", "1 2", Apart{}, "no look-alikes"},
		{"the first scene", "1 2", SceneBegin{}, "first"},
	} {
		t.Run(c.name, func(t *testing.T) {
			words, second := strings.CutPrefix(c.groups, "| ")
			if second { // begin in the second scene
				words = "1 | " + words
			}
			p := sit(t, grouped(t, words), Options{AsItIs: true})
			p.look()
			if second {
				p.press(Walk{cull.NextScene})
			}
			before, seq := shape(p.desk), p.desk.session.LastSeq()
			p.press(c.act)
			p.refuses(c.says)
			if got := shape(p.desk); got != before || p.desk.session.LastSeq() != seq {
				t.Errorf("%s became %s", before, got)
			}
		})
	}
}

// A correction disarms like a decision, is done once by a held key, and needs to have
// been seen.
func TestCorrectionsAreHeldBack(t *testing.T) {
	p := sit(t, grouped(t, "1 1 1 1 1 1"), Options{AsItIs: true})
	p.wait()
	p.desk.Do(Join{}, Press{Key: "j", At: p.now})
	p.refuses("not on the screen yet")
	p.press(Walk{cull.LastFrame})
	for range demoFrames - 5 {
		p.press(Walk{cull.PrevFrame})
	}
	p.look()
	begin := p.now.Add(5 * time.Second)
	for _, ms := range []int{0, 500, 533, 566, 600, 633} {
		p.now = begin.Add(time.Duration(ms) * time.Millisecond)
		p.desk.Do(Join{}, Press{Key: "j", At: p.now})
		p.look()
	}
	p.has("1 1 1 [2] 1")
	p.says("held down")
	// Not drawn since: nothing is decided.
	p.desk.Do(Split{}, Press{Key: "s", At: p.now.Add(4 * time.Second)})
	p.desk.Do(Answer{cull.No}, Press{Key: "d", At: p.now.Add(5 * time.Second)})
	p.wait()
	if got := p.decided(cull.KeepPass); len(got) != 0 {
		t.Errorf("decided %v", got)
	}
}

func TestNameScene(t *testing.T) {
	p := sit(t, grouped(t, "1 3 | 2"), Options{AsItIs: true})
	p.press(Walk{cull.NextScene})
	id := p.desk.session.Cursor()
	p.desk.NameScene(id, "  Church ")
	p.wait()
	p.says("this scene is called Church")
	if s, given, ok := p.desk.SceneHere(); s.Name != "Church" || given != "Church" || !ok {
		t.Errorf("scene %+v, given %q", s, given)
	}
	if got := p.desk.FindSceneName("ch"); len(got) != 1 || got[0].Name != "Church" {
		t.Errorf("offered %+v", got)
	}
	p.press(Walk{cull.FirstFrame}, Undo{})
	p.says("taken back: the scene is called 02")
	if got := p.desk.scene(); got != 1 {
		t.Errorf("undo jumped to scene %d", got)
	}
	p.press(Redo{})
	p.says("Church")
	p.desk.NameScene(id, "")
	p.wait()
	p.says("called 02 again")
	p.desk.NameScene(id, "")
	p.refuses("already")
}

func lastEntry(t *testing.T, j *job.Job) cull.Entry {
	t.Helper()
	all, err := j.Corrections()
	if err != nil || len(all) == 0 {
		t.Fatalf("no entry: %v", err)
	}
	return all[len(all)-1]
}
