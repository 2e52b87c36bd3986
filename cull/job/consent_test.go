package job_test

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/decide"
	"garner/cull/job"
)

func faces(t testing.TB, j *job.Job) job.Consent {
	t.Helper()
	c, err := j.Faces()
	must(t, err)
	return c
}

func people(t testing.TB, j *job.Job) job.Consent {
	t.Helper()
	c, err := j.People()
	must(t, err)
	return c
}

// someFaces are measurements with a face for every frame of the sample.
func someFaces(n int) map[cull.ID]cull.Measures {
	found := map[cull.ID]cull.Measures{}
	for i := range n {
		found[frameID(i)] = cull.Measures{
			Light: cull.Light{Method: cull.LightMethod, Highlights: 0.25},
			Faces: cull.Faces{Method: cull.FacesMethod, Width: 600, Height: 400, List: []cull.Face{{Eyes: cull.EyesOpen}}},
		}
	}
	return found
}

func facesKept(t testing.TB, j *job.Job) (faces, light int) {
	t.Helper()
	found, err := j.Measures()
	must(t, err)
	for _, m := range found {
		if m.Faces.Known() {
			faces++
		}
		if m.Light.Known() {
			light++
		}
	}
	return faces, light
}

func wantKept(t testing.TB, j *job.Job, what string, faces, light int) {
	t.Helper()
	if f, l := facesKept(t, j); f != faces || l != light {
		t.Errorf("%s: faces of %d frames and light of %d are kept, want %d and %d", what, f, l, faces, light)
	}
}

func TestConsent(t *testing.T) {
	j := sample(t, 4)
	if f, p := faces(t, j), people(t, j); f.Asked || f.Yes || p.Asked || p.Yes {
		t.Errorf("nobody was asked: %+v, %+v", f, p)
	}
	if err := j.SetPeople(true); !errors.Is(err, job.ErrNoFaces) {
		t.Errorf("people before faces: %v", err)
	}
	must(t, j.SetFaces(false))
	if f := faces(t, j); !f.Asked || f.Yes || f.Who != "anna" || f.At.IsZero() {
		t.Errorf("a no: %+v", f)
	}
	must(t, j.SetFaces(true))
	must(t, j.SetPeople(true))
	if f, p := faces(t, j), people(t, j); !f.Yes || !p.Yes || !p.At.After(f.At) {
		t.Errorf("yes twice: %+v, %+v", f, p)
	}
	before := text(t, journalFile(j.Root()))
	must(t, j.SetFaces(true))
	must(t, j.SetPeople(true))
	same(t, "journal after the same answers", before, text(t, journalFile(j.Root())))
	for _, line := range []string{"correct faces no ;", "correct faces yes ;", "correct people yes ;"} {
		if !strings.Contains(before, line) {
			t.Errorf("the journal has no line %q", line)
		}
	}
	// What is no answer changes nothing, whatever it begins with.
	for _, args := range [][]string{{"faces"}, {"faces", "maybe"}, {"faces", "no", "#00"}, {"people", "NO"}} {
		_, err := j.Append(cull.Entry{Verb: cull.VerbCorrect, Args: args})
		must(t, err)
	}
	if f, p := faces(t, j), people(t, j); !f.Yes || !p.Yes {
		t.Errorf("after lines of a later version: %+v, %+v", f, p)
	}
	must(t, j.SetFaces(false))
	if f, p := faces(t, j), people(t, j); f.Yes || p.Yes || !p.Asked {
		t.Errorf("faces withdrawn: %+v, %+v", f, p)
	}
	must(t, j.SetFaces(true))
	if p := people(t, j); p.Yes {
		t.Error("a new yes to faces brings the old one to people back")
	}
	must(t, j.SetPeople(true))
	merge(t, j, "correct faces no\ncorrect faces yes\n")
	if p := people(t, j); p.Yes {
		t.Error("so it does by lines of decide")
	}
}

// An answer is no step that undo takes back, and none that it takes back instead
// of a decision.
func TestConsentIsNoStep(t *testing.T) {
	j := sample(t, 4)
	s := session(t, j)
	_, err := do(t, j, s, cull.Decide{Pass: "keep", Frames: []cull.ID{frameID(0)}, Answer: cull.Yes})
	must(t, err)
	must(t, j.SetFaces(true))
	s = session(t, j)
	e, err := do(t, j, s, cull.Undo{})
	must(t, err)
	if e.Of != 1 || !faces(t, j).Yes {
		t.Errorf("undo takes back entry %d, and faces are %v", e.Of, faces(t, j))
	}
	if _, err := s.Plan(cull.Undo{}, begin, "anna"); !errors.Is(err, cull.ErrNothing) {
		t.Errorf("a second undo: %v", err)
	}
}

func TestWithdrawingRemoves(t *testing.T) {
	templates := func(t *testing.T, j *job.Job) string {
		t.Helper()
		must(t, os.WriteFile(j.PeopleFile().Path, []byte(job.PeopleBegins+"templates"), 0o600))
		return j.PeopleFile().Path
	}
	gone := func(t *testing.T, path string) {
		t.Helper()
		if _, err := os.Lstat(path); !errors.Is(err, os.ErrNotExist) {
			t.Errorf("the templates are still there: %v", err)
		}
	}
	allowed := func(t *testing.T) *job.Job {
		t.Helper()
		j := sample(t, 4)
		must(t, j.SetFaces(true))
		must(t, j.SetPeople(true))
		must(t, j.SaveMeasures(someFaces(4)))
		wantKept(t, j, "allowed", 4, 4)
		return j
	}
	t.Run("faces", func(t *testing.T) {
		j := allowed(t)
		path := templates(t, j)
		must(t, j.SetFaces(false))
		wantKept(t, j, "withdrawn", 0, 4)
		gone(t, path)
		must(t, j.SaveMeasures(someFaces(4))) // those that were being measured
		wantKept(t, j, "measured late", 0, 4)
	})
	t.Run("people", func(t *testing.T) {
		j := allowed(t)
		path := templates(t, j)
		must(t, j.SetPeople(false))
		gone(t, path)
		wantKept(t, j, "faces stay", 4, 4)
	})
	t.Run("what was left beside it", func(t *testing.T) {
		j := allowed(t)
		path := templates(t, j)
		twin := filepath.Join(t.TempDir(), "twin")
		must(t, os.Link(path, twin))
		must(t, os.WriteFile(path+".old", []byte(job.PeopleBegins+"templates"), 0o600))
		must(t, j.SetPeople(false))
		gone(t, path)
		gone(t, path+".old")
		same(t, "the bytes", string(make([]byte, len(job.PeopleBegins+"templates"))), text(t, twin))
	})
	t.Run("again", func(t *testing.T) {
		j := allowed(t)
		must(t, j.SetPeople(false))
		path := templates(t, j)
		must(t, j.SetPeople(false))
		gone(t, path)
	})
	t.Run("by a line of decide", func(t *testing.T) {
		j := allowed(t)
		path := templates(t, j)
		merge(t, j, "correct faces no\n")
		wantKept(t, j, "withdrawn", 0, 4)
		gone(t, path)
	})
	t.Run("by a journal that comes back", func(t *testing.T) {
		j := allowed(t)
		path := templates(t, j)
		restore := snapshot(t, j.Root())
		must(t, j.SetFaces(false))
		line := text(t, journalFile(j.Root()))
		restore()
		must(t, os.WriteFile(path, []byte(job.PeopleBegins+"templates"), 0o600))
		wantKept(t, j, "an old catalogue", 4, 4)
		must(t, os.WriteFile(journalFile(j.Root()), []byte(line), 0o666))
		back := open(t, j.Root())
		wantKept(t, back, "opened with the journal", 0, 4)
		gone(t, path)
	})
}

// merge takes the lines of another journal over.
func merge(t *testing.T, j *job.Job, lines string) string {
	t.Helper()
	return mergeAt(t, j, lines, begin.Add(24*time.Hour))
}

func mergeAt(t *testing.T, j *job.Job, lines string, now time.Time) string {
	t.Helper()
	var out bytes.Buffer
	_, err := decide.Run(t.Context(), j, strings.NewReader(lines), &out, decide.Options{Who: "ben", Now: func() time.Time { return now }})
	must(t, err)
	return out.String()
}

func TestConsentOutlivesTheCatalogue(t *testing.T) {
	j := sample(t, 4)
	must(t, j.SetFaces(true))
	must(t, j.SetPeople(true))
	want := []job.Consent{faces(t, j), people(t, j)}
	must(t, os.Remove(catalogFile(j.Root())))
	back := open(t, j.Root())
	same(t, "answers", want, []job.Consent{faces(t, back), people(t, back)})
	// and reaches every copy of the journal.
	also := destination(t)
	must(t, back.SetAlso([]string{also}))
	copied(t, back)
	same(t, "answers in the copy", want, []job.Consent{faces(t, open(t, also)), people(t, open(t, also))})
}

// Of two journals the later answer holds, in whichever order they are merged.
func TestConsentIsMerged(t *testing.T) {
	theirs := sample(t, 4)
	must(t, theirs.SetFaces(true)) // one of the first times of the clock
	old := text(t, journalFile(theirs.Root()))
	line := old[strings.Index(old, "correct faces"):]

	ours := sample(t, 4)
	for range 4 {
		_, err := ours.Append(job.Letter("k", "A"))
		must(t, err)
	}
	must(t, ours.SetFaces(false))
	out := merge(t, ours, line)
	if faces(t, ours).Yes || !strings.HasPrefix(out, "no correct faces yes : ") {
		t.Errorf("an old yes undoes a no: %s", out)
	}
	no := text(t, journalFile(ours.Root()))
	out = merge(t, theirs, no[strings.Index(no, "correct faces"):])
	if f := faces(t, theirs); f.Yes || !f.Asked || !f.At.Equal(faces(t, ours).At) || !strings.HasPrefix(out, "ok correct faces no") {
		t.Errorf("a later no is %+v: %s", f, out)
	}
}

// Somebody else's yes is none here, however late it was said and however it arrives; a
// no is one, also by a clock that runs behind.
func TestNobodyElseSaysYes(t *testing.T) {
	theirs := sample(t, 4)
	for range 4 {
		_, err := theirs.Append(job.Letter("k", "A"))
		must(t, err)
	}
	must(t, theirs.SetFaces(true))
	must(t, theirs.SetPeople(true))
	_, err := theirs.Append(cull.Entry{Verb: cull.VerbCorrect, Args: []string{job.CorrectTemplates, "made", "40"}})
	must(t, err)
	journal := text(t, journalFile(theirs.Root()))
	lines := journal[strings.Index(journal, "correct faces"):]
	for _, lines := range []string{lines, "correct faces yes\ncorrect people yes\n"} {
		never := sample(t, 4)
		out := merge(t, never, lines)
		if f, p := faces(t, never), people(t, never); f.Yes || p.Yes || strings.Count(out, "a yes about faces counts where it is said") != 2 {
			t.Errorf("never asked here: %+v, %+v\n%s", f, p, out)
		}
		if ours, err := never.Entries(); err != nil || len(ours) > 0 {
			t.Errorf("nothing was made here: %+v, %v", ours, err)
		}
		refused := sample(t, 4)
		must(t, refused.SetFaces(false))
		out = merge(t, refused, lines)
		if f, p := faces(t, refused), people(t, refused); f.Yes || p.Yes {
			t.Errorf("refused here: %+v, %+v\n%s", f, p, out)
		}
		half := sample(t, 4)
		must(t, half.SetFaces(true))
		out = merge(t, half, lines)
		if p := people(t, half); p.Yes {
			t.Errorf("faces alone: %+v\n%s", p, out)
		}
	}
	out := mergeAt(t, theirs, "correct people no\n", begin.Add(-24*time.Hour))
	if people(t, theirs).Yes || !strings.HasPrefix(out, "ok correct people no") {
		t.Errorf("a no by a clock that runs behind: %s", out)
	}
}

func TestPeopleFileStaysInTheState(t *testing.T) {
	j := sample(t, 1)
	if got := j.PeopleFile().Path; got != filepath.Join(j.StateDir(), "people.db") {
		t.Error(got)
	}
}

// What a journal says of faces at its end: the journals are written by jobs.
func TestFacesRefused(t *testing.T) {
	journal := func(say func(j *job.Job)) []byte {
		j := sample(t, 4)
		say(j)
		text, err := os.ReadFile(journalFile(j.Root()))
		if !errors.Is(err, fs.ErrNotExist) { // nothing was done
			must(t, err)
		}
		return text
	}
	yes := func(j *job.Job) { must(t, j.SetFaces(true)); must(t, j.SetPeople(true)) }
	for name, c := range map[string]struct {
		say  func(j *job.Job)
		want bool
	}{
		"nobody asked":            {func(*job.Job) {}, false},
		"yes":                     {yes, false},
		"no to faces":             {func(j *job.Job) { must(t, j.SetFaces(false)) }, true},
		"no to templates":         {func(j *job.Job) { must(t, j.SetFaces(true)); must(t, j.SetPeople(false)) }, true},
		"yes taken back":          {func(j *job.Job) { yes(j); must(t, j.SetFaces(false)) }, true},
		"yes after a no":          {func(j *job.Job) { must(t, j.SetFaces(false)); yes(j) }, false},
		"a copy leaves the yes":   {func(j *job.Job) { yes(j); _, err := j.LeaveConsent(); must(t, err) }, false},
		"and somebody says no":    {func(j *job.Job) { yes(j); _, err := j.LeaveConsent(); must(t, err); must(t, j.SetFaces(false)) }, true},
		"a no stands before both": {func(j *job.Job) { must(t, j.SetFaces(false)); yes(j); _, err := j.LeaveConsent(); must(t, err) }, false},
	} {
		if got := job.FacesRefused(journal(c.say)); got != c.want {
			t.Errorf("%s: refused %v", name, got)
		}
	}
	no := journal(func(j *job.Job) { must(t, j.SetFaces(false)) })
	damaged := bytes.Replace(no, []byte("sum="), []byte("sum=0"), 1)
	if !job.FacesRefused(damaged) {
		t.Error("a no on a damaged line does not count")
	}
	ok := journal(func(j *job.Job) { must(t, j.SetFaces(false)); must(t, j.SetFaces(true)) })
	if at := bytes.LastIndex(ok, []byte("sum=")); !job.FacesRefused(append(ok[:at:at], "sum=00000000\n"...)) {
		t.Error("a yes on a damaged line counts")
	}
}
