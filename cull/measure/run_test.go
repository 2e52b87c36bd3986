package measure

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/people"
)

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func frameID(i int) cull.ID { return cull.ID(fmt.Sprintf("%016x", i+1)) }

// shot is frame i; the names sort the other way round than the frames do.
func shot(i int, head string) cull.Frame {
	path := fmt.Sprintf("A/F_%03d.CR3", 900-i)
	return cull.Frame{ID: frameID(i), Name: strings.TrimSuffix(path, ".CR3"), Files: []cull.File{{Path: path, Role: cull.RoleMain, Kind: "CR3", Size: 1000, Head: head}},
		Previews: []cull.Preview{{File: path, Role: "full", Offset: 10, Length: 900, Width: 600, Height: 400, Whole: true}}}
}

func jobOf(t testing.TB, n int) *job.Job {
	t.Helper()
	j, err := job.Open(t.TempDir(), job.Options{Who: "anna"})
	must(t, err)
	t.Cleanup(func() { j.Close() })
	var frames []cull.Frame
	var l cull.Layout
	for i := range n {
		frames = append(frames, shot(i, "aa"))
		l.Places = append(l.Places, cull.Place{Frame: frameID(i), Moment: i, Kind: cull.Single})
	}
	must(t, j.SaveFrames(frames))
	must(t, j.SaveLayout(l))
	return j
}

// fake is an eye that needs no files.
type fake struct {
	mu     sync.Mutex
	seen   []cull.ID
	wanted map[cull.ID]wanted // as last asked for
	cannot map[cull.ID]string // damaged pictures
	absent map[cull.ID]bool   // files that cannot be read
	broken error              // of the networks
	before func(ctx context.Context, id cull.ID) error
}

func (f *fake) load(cull.Frame) int64 { return 1 }

func (f *fake) measure(ctx context.Context, fr cull.Frame, w wanted, pause func(context.Context) error) (found, error) {
	if f.before != nil {
		if err := f.before(ctx, fr.ID); err != nil {
			return found{}, err
		}
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	f.seen = append(f.seen, fr.ID)
	if f.wanted == nil {
		f.wanted = map[cull.ID]wanted{}
	}
	f.wanted[fr.ID] = w
	out := found{Measured: job.Measured{Tried: job.Tried{Of: w.of, Why: f.cannot[fr.ID]}}}
	if f.absent[fr.ID] {
		return found{err: &fs.PathError{Op: "open", Path: fr.Name, Err: fs.ErrNotExist}}, nil
	}
	if w.focus {
		if out.Tried.Focus = cull.FocusMethod; out.Tried.Why == "" {
			out.Focus = cull.Focus{Method: cull.FocusMethod, Width: 600, Height: 400}
		}
	}
	if w.light {
		if out.Tried.Light = cull.LightMethod; out.Tried.Why == "" {
			out.Light = cull.Light{Method: cull.LightMethod, Highlights: 0.5}
		}
	}
	if err := pause(ctx); err != nil {
		return found{}, err
	}
	if (w.faces || w.people) && f.broken != nil {
		out.networks = f.broken
		return out, nil
	}
	at := cull.Region{X: 0.25, Y: 0.25, W: 0.25, H: 0.5}
	if w.faces {
		out.Tried.Faces = cull.FacesMethod
		out.Faces = cull.Faces{Method: cull.FacesMethod, List: []cull.Face{{Region: at, Eyes: cull.EyesOpen}}}
	}
	if out.people = w.people; w.people {
		out.faces = []people.Face{{Region: at, Template: people.Template{1, 2, 3}}}
	}
	return out, nil
}

func measures(t testing.TB, j *job.Job) map[cull.ID]cull.Measures {
	t.Helper()
	m, err := j.Measures()
	must(t, err)
	return m
}

func kept(t testing.TB, j *job.Job) (focus, light, faces int) {
	t.Helper()
	for _, m := range measures(t, j) {
		if m.Focus.Known() {
			focus++
		}
		if m.Light.Known() {
			light++
		}
		if m.Faces.Known() {
			faces++
		}
	}
	return focus, light, faces
}

func wantKept(t testing.TB, j *job.Job, what string, want ...int) {
	t.Helper()
	a, b, c := kept(t, j)
	if got := []int{a, b, c}; !slices.Equal(got, want) {
		t.Errorf("%s: focus, light and faces of %v frames are kept, want %v", what, got, want)
	}
}

func TestRunMeasuresWhatIsMissing(t *testing.T) {
	j := jobOf(t, 200)
	e := &fake{}
	var last Progress
	told, frames := map[cull.ID]cull.Measures{}, 0
	o := Options{Workers: 1, Progress: func(p Progress) { last = p }, Frame: func(cull.ID, error) { frames++ },
		Saved: func(m map[cull.ID]cull.Measures) {
			if len(m) > batchFrames {
				t.Errorf("%d frames in one batch", len(m))
			}
			for id, m := range m {
				told[id] = m
			}
		}}
	sum, err := runWith(t.Context(), j, o, e)
	must(t, err)
	if sum.Frames != 200 || sum.Known != 0 || sum.Measured != 200 || sum.Failed != 0 || sum.Faces != 0 || frames != 200 || len(told) != 200 {
		t.Errorf("%+v, %d told of, %d frames", sum, len(told), frames)
	}
	if last.Done != 200 || last.Total != 200 || last.Left != 0 || last.Faces || last.People || last.Waiting {
		t.Errorf("the last progress: %+v", last)
	}
	wantKept(t, j, "nobody said yes to faces", 200, 200, 0)
	for i, id := range e.seen {
		if id != frameID(i) {
			t.Fatalf("frame %d is %s: not the order of the job", i, id)
		}
	}
	if w := e.wanted[frameID(3)]; w.faces || w.people {
		t.Errorf("faces were looked for: %+v", w)
	}
	again := &fake{}
	sum, err = runWith(t.Context(), j, Options{}, again)
	must(t, err)
	if len(again.seen) > 0 || sum.Known != 200 || sum.Measured != 0 {
		t.Errorf("again: %d frames, %+v", len(again.seen), sum)
	}
	// Other pixels, a damaged record, and a frame that came.
	changed := shot(5, "bb")
	late := shot(700, "aa")
	must(t, j.SaveFrames([]cull.Frame{changed, late}))
	must(t, j.PutEvidence(cull.LightMethodName, map[cull.ID][]byte{frameID(9): {7}}))
	sum, err = runWith(t.Context(), j, Options{Workers: 1}, again)
	must(t, err)
	if !slices.Equal(again.seen, []cull.ID{frameID(5), frameID(9), frameID(700)}) || sum.Known != 198 {
		t.Errorf("measured anew: %v, %+v", again.seen, sum)
	}
	if w := again.wanted[frameID(9)]; w.focus || !w.light {
		t.Errorf("of the damaged record %+v is wanted", w)
	}
	wantKept(t, j, "anew", 201, 201, 0)
}

// Faces that are looked for anew, in other pixels, are described anew.
func TestTemplatesOfOtherPixels(t *testing.T) {
	j := jobOf(t, 3)
	must(t, j.SetFaces(true))
	must(t, j.SetPeople(true))
	_, err := runWith(t.Context(), j, Options{Workers: 1}, &fake{})
	must(t, err)
	must(t, j.SaveFrames([]cull.Frame{shot(1, "bb")}))
	e := &fake{}
	sum, err := runWith(t.Context(), j, Options{Workers: 1}, e)
	must(t, err)
	if w := e.wanted[frameID(1)]; !w.faces || !w.people || sum.Templates != 1 || len(e.seen) != 1 {
		t.Errorf("wanted %+v of %d frames; %+v", w, len(e.seen), sum)
	}
}

func TestUrgentFramesComeFirst(t *testing.T) {
	j := jobOf(t, 30)
	e := &fake{}
	var mu sync.Mutex
	urgent := []cull.ID{frameID(20), frameID(21), "ffffffffffffffff"}
	e.before = func(_ context.Context, id cull.ID) error {
		mu.Lock()
		defer mu.Unlock()
		if id == frameID(0) { // somebody walked on
			urgent = []cull.ID{frameID(12)}
		}
		return nil
	}
	_, err := runWith(t.Context(), j, Options{Workers: 1, Urgent: func() []cull.ID {
		mu.Lock()
		defer mu.Unlock()
		return slices.Clone(urgent)
	}}, e)
	must(t, err)
	if !slices.Equal(e.seen[:3], []cull.ID{frameID(20), frameID(21), frameID(0)}) {
		t.Errorf("first %v", e.seen[:5])
	}
	if at := slices.Index(e.seen, frameID(12)); at > 5 {
		t.Errorf("what became urgent is measured as number %d", at)
	}
	if len(e.seen) != 30 {
		t.Errorf("%d frames", len(e.seen))
	}
}

// Ended at any frame, it saves what is done, does not do it again, and comes to the
// same end.
func TestRunGoesOnWhereItStopped(t *testing.T) {
	j := jobOf(t, 40)
	for stop := 1; ; stop += 3 {
		ctx, cancel := context.WithCancel(t.Context())
		done, n := 0, 0
		e := &fake{before: func(ctx context.Context, _ cull.ID) error {
			if n++; n > stop {
				cancel()
				<-ctx.Done()
			}
			return ctx.Err()
		}}
		before := len(measures(t, j))
		sum, err := runWith(ctx, j, Options{Workers: 1, Saved: func(m map[cull.ID]cull.Measures) { done += len(m) }}, e)
		cancel()
		after := len(measures(t, j))
		if after != before+done || after < before+min(stop, 40-before)-1 {
			t.Fatalf("stopped after %d: %d and %d saved, but %d are kept", stop, before, done, after)
		}
		if err == nil {
			break
		}
		if !errors.Is(err, context.Canceled) || sum.Known != before {
			t.Fatalf("%v, %+v", err, sum)
		}
	}
	wantKept(t, j, "in the end", 40, 40, 0)
}

// A program that is killed has lost a batch at most.
func TestKilledBetweenSaves(t *testing.T) {
	j := jobOf(t, batchFrames*2+10)
	e := &fake{}
	n := 0
	func() {
		defer func() { _ = recover() }()
		_, _ = runWith(t.Context(), j, Options{Workers: 1, Frame: func(cull.ID, error) {
			if n++; n == batchFrames+10 {
				panic("killed")
			}
		}}, e)
	}()
	if got := len(measures(t, j)); got < batchFrames {
		t.Errorf("%d of %d are kept", got, n)
	}
}

func TestRunWaitsForWhoeverWorks(t *testing.T) {
	j := jobOf(t, 20)
	var mu sync.Mutex
	busy, begun := true, 0
	e := &fake{before: func(context.Context, cull.ID) error {
		mu.Lock()
		defer mu.Unlock()
		if begun++; busy {
			t.Error("a frame was begun while somebody works")
		}
		return nil
	}}
	isBusy := func() bool {
		mu.Lock()
		defer mu.Unlock()
		return busy
	}
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan error)
	go func() {
		_, err := runWith(ctx, j, Options{Busy: isBusy}, e)
		done <- err
	}()
	time.Sleep(3 * patience) // nothing may happen in it; more time would show no more
	began := time.Now()
	cancel()
	if err := <-done; !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled while it waited: %v", err)
	}
	if took := time.Since(began); took > 5*time.Second {
		t.Errorf("it took %v to end", took)
	}
	// It goes on by itself.
	go func() {
		_, err := runWith(t.Context(), j, Options{Busy: isBusy}, e)
		done <- err
	}()
	time.Sleep(patience)
	mu.Lock()
	busy = false
	mu.Unlock()
	must(t, <-done)
	if begun != 20 {
		t.Errorf("%d frames", begun)
	}
}

func TestFacesOnlyWithAYes(t *testing.T) {
	j := jobOf(t, 10)
	_, err := runWith(t.Context(), j, Options{}, &fake{})
	must(t, err)
	must(t, j.SetFaces(true))
	e := &fake{}
	sum, err := runWith(t.Context(), j, Options{}, e)
	must(t, err)
	wantKept(t, j, "faces", 10, 10, 10)
	if w := e.wanted[frameID(0)]; w.focus || w.light || !w.faces || w.people || sum.Faces != 10 || sum.Templates != 0 {
		t.Errorf("wanted %+v; %+v", w, sum)
	}
	must(t, j.SetPeople(true))
	e = &fake{}
	sum, err = runWith(t.Context(), j, Options{}, e)
	must(t, err)
	if w := e.wanted[frameID(0)]; w.focus || w.light || w.faces || !w.people || sum.Templates != 10 {
		t.Errorf("wanted %+v; %+v", w, sum)
	}
	list, err := people.Open(j).Persons()
	must(t, err)
	if len(list) != 1 || list[0].Faces != 10 {
		t.Errorf("persons: %+v", list)
	}
	must(t, j.SetFaces(false))
	e = &fake{}
	_, err = runWith(t.Context(), j, Options{}, e)
	must(t, err)
	wantKept(t, j, "withdrawn", 10, 10, 0)
	if len(e.seen) > 0 || j.PeopleFile().Exists() {
		t.Errorf("withdrawn: %d frames measured, templates there: %v", len(e.seen), j.PeopleFile().Exists())
	}
}

// An answer counts while it runs.
func TestConsentIsHeardMeanwhile(t *testing.T) {
	n := batchFrames*2 + 20
	t.Run("yes", func(t *testing.T) {
		j := jobOf(t, n)
		e := &fake{}
		seen := 0
		_, err := runWith(t.Context(), j, Options{Workers: 1, Frame: func(cull.ID, error) {
			if seen++; seen == 10 {
				must(t, j.SetFaces(true))
			}
		}}, e)
		must(t, err)
		wantKept(t, j, "a yes", n, n, n)
		if len(e.seen) > n+batchFrames+2 {
			t.Errorf("%d frames measured for %d", len(e.seen), n)
		}
	})
	t.Run("no", func(t *testing.T) {
		j := jobOf(t, n)
		must(t, j.SetFaces(true))
		must(t, j.SetPeople(true))
		e := &fake{}
		seen := 0
		_, err := runWith(t.Context(), j, Options{Workers: 1, Frame: func(cull.ID, error) {
			if seen++; seen == batchFrames+10 {
				must(t, j.SetFaces(false))
			}
		}, Saved: func(m map[cull.ID]cull.Measures) {
			for _, m := range m {
				if m.Faces.Known() && seen >= batchFrames+10 {
					t.Fatal("faces are told of after the no")
				}
			}
		}}, e)
		must(t, err)
		wantKept(t, j, "a no", n, n, 0)
		if w := e.wanted[frameID(n-1)]; w.faces || w.people {
			t.Errorf("faces are looked for after the no: %+v", w)
		}
		if j.PeopleFile().Exists() {
			t.Error("there are templates after the no")
		}
	})
}

// A no to templates and a yes after it, while it runs: everybody is described again.
func TestTemplatesAgainAfterANo(t *testing.T) {
	n := batchFrames*2 + 20
	j := jobOf(t, n)
	must(t, j.SetFaces(true))
	must(t, j.SetPeople(true))
	seen := 0
	_, err := runWith(t.Context(), j, Options{Workers: 1, Frame: func(cull.ID, error) {
		switch seen++; seen {
		case batchFrames - 1:
			must(t, j.SetPeople(false))
		case batchFrames + 10:
			must(t, j.SetPeople(true))
		}
	}}, &fake{})
	must(t, err)
	met, err := people.Open(j).Frames()
	must(t, err)
	if len(met) != n {
		t.Errorf("of %d frames templates were made, want %d", len(met), n)
	}
}

func TestWhatCannotBeMeasured(t *testing.T) {
	j := jobOf(t, 6)
	must(t, j.SetFaces(true))
	unshown := shot(5, "aa")
	unshown.Problems = []cull.Problem{{Code: cull.ProblemNoPicture}}
	bare := shot(4, "aa")
	bare.Previews = nil
	must(t, j.SaveFrames([]cull.Frame{unshown, bare}))
	e := &fake{cannot: map[cull.ID]string{frameID(1): "it is cut off"}, absent: map[cull.ID]bool{frameID(2): true}}
	told := map[cull.ID]string{}
	sum, err := runWith(t.Context(), j, Options{Workers: 1, Frame: func(id cull.ID, cannot error) {
		if cannot != nil {
			told[id] = cannot.Error()
		}
	}}, e)
	must(t, err)
	if sum.Frames != 4 || sum.Failed != 2 || sum.Measured != 2 || len(told) != 2 || told[frameID(1)] != "it is cut off" {
		t.Errorf("%+v, %v", sum, told)
	}
	e.seen, e.absent = nil, nil
	_, err = runWith(t.Context(), j, Options{Workers: 1}, e)
	must(t, err)
	if !slices.Equal(e.seen, []cull.ID{frameID(2)}) {
		t.Errorf("tried again: %v, want the one whose file could not be read", e.seen)
	}
	must(t, j.SaveFrames([]cull.Frame{shot(1, "whole")}))
	e.seen, e.cannot = nil, nil
	_, err = runWith(t.Context(), j, Options{Workers: 1}, e)
	must(t, err)
	if !slices.Equal(e.seen, []cull.ID{frameID(1)}) {
		t.Errorf("tried again: %v, want the one that was replaced", e.seen)
	}
	wantKept(t, j, "in the end", 4, 4, 4)
}

// Networks that do not work cost faces and nothing else, and are tried again.
func TestNetworksThatDoNotWork(t *testing.T) {
	j := jobOf(t, 20)
	must(t, j.SetFaces(true))
	e := &fake{broken: errors.New("the networks are not built in")}
	var warned []string
	sum, err := runWith(t.Context(), j, Options{Workers: 1, Warn: func(s string) { warned = append(warned, s) }}, e)
	must(t, err)
	wantKept(t, j, "without networks", 20, 20, 0)
	if len(warned) != 1 || !strings.Contains(warned[0], "not built in") || !slices.Equal(warned, sum.Warnings) || len(e.seen) != 20 {
		t.Errorf("%q, %d frames", warned, len(e.seen))
	}
	_, err = runWith(t.Context(), j, Options{}, &fake{})
	must(t, err)
	wantKept(t, j, "with networks", 20, 20, 20)
}

// A people.db that cannot be read costs templates and nothing else.
func TestTemplatesThatCannotBeKept(t *testing.T) {
	j := jobOf(t, 5)
	must(t, j.SetFaces(true))
	must(t, j.SetPeople(true))
	must(t, os.WriteFile(j.PeopleFile().Path, []byte("something else"), 0o600))
	sum, err := runWith(t.Context(), j, Options{}, &fake{})
	must(t, err)
	wantKept(t, j, "without templates", 5, 5, 5)
	if len(sum.Warnings) != 1 || sum.Templates != 0 {
		t.Errorf("%+v", sum)
	}
}

func TestRate(t *testing.T) {
	var mu sync.Mutex
	now := time.Unix(1e9, 0)
	clock := func() time.Time {
		mu.Lock()
		defer mu.Unlock()
		return now
	}
	j := jobOf(t, 10)
	e := &fake{before: func(context.Context, cull.ID) error {
		mu.Lock()
		defer mu.Unlock()
		now = now.Add(100 * time.Millisecond)
		return nil
	}}
	var rates []float64
	var left []time.Duration
	_, err := runWith(t.Context(), j, Options{Workers: 1, Now: clock, Progress: func(p Progress) { rates, left = append(rates, p.PerSecond), append(left, p.Left) }}, e)
	must(t, err)
	if rates[0] != 0 || rates[5] < 9.99 || rates[5] > 10.01 || left[5].Round(time.Millisecond) != 500*time.Millisecond {
		t.Errorf("%v frames a second, %v left", rates, left)
	}
}
