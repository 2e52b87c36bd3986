package job_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"testing"

	"garner/cull"
	"garner/cull/job"
)

// Random deciding, with the job opened again, the catalogue lost and letters
// given in between: what is stored is what a session that saw it all says.
func TestAgainstASession(t *testing.T) {
	seed := rand.Uint64()
	r := rand.New(rand.NewPCG(seed, 0))
	t.Logf("seed %d", seed)
	dir := t.TempDir()
	j := open(t, dir)
	fill(t, j, 24)
	s := session(t, j)
	steps, undone := 0, 0
	for i := range 250 {
		var a cull.Action
		pass := []string{"keep", "keep", "p0", "p1"}[r.IntN(4)]
		id := frameID(r.IntN(24))
		answer := cull.Answer(r.IntN(4))
		switch r.IntN(20) {
		case 0, 1, 2:
			a = cull.Undo{}
		case 3, 4:
			a = cull.Redo{}
		case 5, 6:
			a = cull.DecideBurst{Pass: pass, Frame: id, Answer: answer, Shown: map[cull.ID]bool{id: true}}
		case 7:
			a = cull.Only{Pass: pass, Frame: id}
		case 8:
			a = cull.DefinePass{Pass: cull.Pass{Name: fmt.Sprintf("p%d", r.IntN(2)), Question: fmt.Sprint(r.IntN(3)), Source: cull.Source{Of: "keep", Answer: cull.Yes}}}
		case 9:
			a = cull.NameScene{Frame: id, Name: fmt.Sprint("scene ", r.IntN(5))}
		case 10:
			a = cull.Merge{Pass: pass, Frame: id, Shown: map[cull.ID]bool{id: true}}
		case 11:
			a = cull.Join{Frame: id, Series: r.IntN(2) == 0}
		case 12:
			a = cull.Split{Frame: id}
		case 13:
			a = cull.Out{Frame: id}
		case 14:
			a = cull.Apart{Frame: id}
		case 15:
			a = cull.SceneBegin{Frame: id}
		default:
			a = cull.Decide{Pass: pass, Frames: []cull.ID{id, frameID(r.IntN(24))}, Answer: answer, Shown: r.IntN(2) == 0}
		}
		switch e, err := do(t, j, s, a); {
		case err == nil && e.Verb == cull.VerbUndo:
			undone++
			fallthrough
		case err == nil:
			steps++
		case errors.Is(err, cull.ErrNothing), errors.Is(err, cull.ErrUnknownPass), errors.Is(err, cull.ErrNotInPass), errors.Is(err, cull.ErrAnswer),
			errors.Is(err, cull.ErrBadAction) && a == any(cull.SceneBegin{Frame: id}): // the first of the job
			continue
		default:
			t.Fatalf("%#v: %v", a, err)
		}
		if i%25 == 0 {
			for _, p := range s.Passes() {
				d, err := j.Decisions(p.Name)
				must(t, err)
				same(t, p.Name, orEmpty(s.Decisions(p.Name)), d)
			}
			sameGroups(t, j, s)
			sound(t, j)
		}
		switch {
		case i%60 == 59: // lost: the incremental answers are made anew by a replay
			must(t, os.Remove(catalogFile(dir)))
			j = open(t, dir)
			fill(t, j, 24)
			fallthrough
		case i%40 == 39:
			j = open(t, dir)
			again := session(t, j)
			for _, p := range s.Passes() {
				same(t, "session", s.Decisions(p.Name), again.Decisions(p.Name))
			}
			same(t, "groups", s.Layout(), again.Layout())
			same(t, "corrections", s.Corrections(), again.Corrections())
			s = again
		}
		if t.Failed() {
			t.FailNow()
		}
	}
	sound(t, j)
	if steps < 50 || undone < 5 {
		t.Errorf("only %d steps, %d undone", steps, undone)
	}
}

// sameGroups holds what is known without the answers against a session that saw
// everything.
func sameGroups(t *testing.T, j *job.Job, s *cull.Session) {
	t.Helper()
	l, err := j.Layout()
	must(t, err)
	same(t, "corrected", s.Layout(), l)
	auto, err := j.AutoLayout()
	must(t, err)
	same(t, "grouped", sampleLayout(24), auto)
	loaded, err := j.Load()
	must(t, err)
	same(t, "loaded", s.Layout(), loaded.Session.Layout())
}

func orEmpty(d map[cull.ID]cull.Decision) map[cull.ID]cull.Decision {
	if d == nil {
		return map[cull.ID]cull.Decision{}
	}
	return d
}
