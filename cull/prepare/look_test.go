package prepare

import (
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"garner/cull"
	"garner/cull/job"
	"garner/preview/build"
)

// wide fills a job with so much that it is looked at in parts: raws and JPEGs of
// two bodies with the same names in folders of their own, a second slot, voice
// notes. The body whose folder is met last began to shoot first.
func (s shoot) wide(exposures int) {
	s.t.Helper()
	pic := picture(s.t, 64, 48, 1)
	for i := range exposures {
		for _, body := range []struct {
			folder, serial string
			second         int
		}{{"A", "222", 1000}, {"Z", "111", 0}} {
			of := shot(body.serial, body.second+2*i, 1)
			raw, err := build.DNG(of, build.Pictures{Full: pic}, binary.LittleEndian)
			if err != nil {
				s.t.Fatal(err)
			}
			of.Counter = 0 // the JPEG does not know it: by itself it is known under another name
			jpg, err := build.JPEG(of, build.Pictures{Full: pic}, false)
			if err != nil {
				s.t.Fatal(err)
			}
			name := fmt.Sprintf("L%04d", i)
			s.put(body.folder+"/JPG/"+name+".JPG", jpg)
			s.put(body.folder+"/RAW/"+name+".DNG", raw)
			if i%5 == 0 {
				s.put("second/"+body.folder+"/"+name+".DNG", raw)
				s.put(body.folder+"/RAW/"+name+".WAV", []byte("RIFF"))
			}
		}
	}
	s.put("A/readme.txt", []byte("not a picture"))
}

// aside opens the job with a state folder of its own, as if nothing was known.
func (s shoot) aside() *job.Job {
	s.t.Helper()
	now := time.Date(2026, 6, 14, 9, 0, 0, 0, time.UTC)
	j, err := job.Open(s.dir, job.Options{Who: "test", State: s.t.TempDir(), Now: func() time.Time { return now }})
	if err != nil {
		s.t.Fatal(err)
	}
	s.t.Cleanup(func() { j.Close() })
	return j
}

// kept is what a scan leaves in a job.
type kept struct {
	Frames map[cull.ID]cull.Frame
	Bodies []cull.Body
	Others []job.Other
	Layout cull.Layout
}

func keptIn(t *testing.T, j *job.Job) (k kept) {
	t.Helper()
	var errs [4]error
	k.Frames, errs[0] = j.Frames()
	k.Bodies, errs[1] = j.Bodies()
	k.Others, errs[2] = j.Others()
	k.Layout, errs[3] = j.Layout()
	if err := errors.Join(errs[:]...); err != nil {
		t.Fatal(err)
	}
	return k
}

// unpainted leaves out what pictures add.
func unpainted() cmp.Option {
	return cmp.Options{cmpopts.IgnoreFields(cull.Frame{}, "Fingerprint", "HasFingerprint", "Luma"),
		cmpopts.IgnoreFields(cull.Place{}, "Kind", "Moment", "Series", "Alike"), cmpopts.EquateEmpty()}
}

func TestEarlyLook(t *testing.T) {
	s := newShoot(t)
	s.wide(120)
	whole := s.aside()
	if _, err := Scan(t.Context(), whole); err != nil {
		t.Fatal(err)
	}
	want := keptIn(t, whole)

	j := s.aside()
	if !j.NeedsScan() {
		t.Error("nothing is known and it needs no scan")
	}
	var decided []cull.ID
	told := map[cull.ID]bool{}
	calls := 0
	sum, err := Run(t.Context(), j, Options{Workers: 2, Saved: func(saved Saved) {
		if saved.Frames == nil {
			t.Error("told to read all anew")
		}
		for _, f := range saved.Frames {
			told[f.ID] = true
		}
		if calls++; calls > 1 {
			return
		}
		// The first look: a part of the frames, whole, in an order, without letters.
		is := keptIn(t, j)
		if n := len(is.Frames); n < 25 || n > 100 || len(is.Layout.Places) != n || !saved.Layout || len(saved.Frames) != n {
			t.Errorf("%d frames at first, %d in order, told of %d", n, len(is.Layout.Places), len(saved.Frames))
		}
		if len(is.Others) != 0 || len(is.Bodies) != 2 || is.Bodies[0].Letter != "" || !j.NeedsScan() {
			t.Errorf("others %v, bodies %v, needs a scan: %v", is.Others, is.Bodies, j.NeedsScan())
		}
		for id, f := range is.Frames {
			if d := cmp.Diff(want.Frames[id], f, unpainted()); d != "" {
				t.Fatalf("%s at first: %s", f.Name, d)
			}
		}
		for _, p := range is.Layout.Places {
			decided = append(decided, p.Frame)
		}
		slices.Sort(decided)
		s.decide(j, decided)
	}})
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(want, keptIn(t, j), unpainted()); d != "" {
		t.Error(d)
	}
	if sum.Frames != 240 || sum.New != 240 || sum.Made != 240 || sum.Bodies != 2 || sum.Others != 1 || len(told) != 240 || j.NeedsScan() {
		t.Errorf("%+v, told of %d, needs a scan: %v", sum, len(told), j.NeedsScan())
	}
	s.stand(j, decided)
}

func (s shoot) decide(j *job.Job, ids []cull.ID) {
	s.t.Helper()
	e := cull.Entry{Verb: cull.VerbAnswer, Pass: cull.KeepPass}
	for i, id := range ids {
		e.Changes = append(e.Changes, cull.Change{Frame: id, After: []cull.Answer{cull.Yes, cull.No}[i%2], Shown: true, Explicit: true})
	}
	if _, err := j.Append(e); err != nil {
		s.t.Fatal(err)
	}
}

// stand checks that what decide decided stands.
func (s shoot) stand(j *job.Job, ids []cull.ID) {
	s.t.Helper()
	session, err := j.Session()
	if err != nil {
		s.t.Fatal(err)
	}
	for i, id := range ids {
		if a := session.Decision(cull.KeepPass, id).Answer; a != []cull.Answer{cull.Yes, cull.No}[i%2] {
			s.t.Errorf("%s is %v", id, a)
		}
	}
	if faults, err := j.Check(); err != nil || len(faults) > 0 {
		s.t.Errorf("%v, %v", faults, err)
	}
}

// An end after the first look is no harm: the job says that it needs a scan, and
// a whole scan gives what it would have given.
func TestEndAfterTheEarlyLook(t *testing.T) {
	s := newShoot(t)
	s.wide(120)
	whole := s.aside()
	if _, err := Scan(t.Context(), whole); err != nil {
		t.Fatal(err)
	}
	want := keptIn(t, whole)
	j := s.aside()
	ctx, cancel := context.WithCancel(t.Context())
	var decided []cull.ID
	_, err := Run(ctx, j, Options{Saved: func(saved Saved) {
		cancel()
		for _, f := range saved.Frames {
			decided = append(decided, f.ID)
		}
	}})
	if !errors.Is(err, context.Canceled) {
		t.Fatal(err)
	}
	s.decide(j, decided)
	again, err := job.Open(s.dir, job.Options{Who: "test", State: j.StateDir()})
	if err != nil {
		t.Fatal(err)
	}
	defer again.Close()
	if n := len(keptIn(t, again).Frames); n == 0 || n > 100 || !again.NeedsScan() {
		t.Fatalf("%d frames, needs a scan: %v", n, again.NeedsScan())
	}
	sum, err := Scan(t.Context(), again)
	if err != nil || sum.Frames != 240 || sum.New != 240-len(decided) {
		t.Fatalf("%+v, %v", sum, err)
	}
	if d := cmp.Diff(want, keptIn(t, again), unpainted()); d != "" {
		t.Error(d)
	}
	if again.NeedsScan() {
		t.Error("it still needs a scan")
	}
	s.stand(again, decided)
}

// A small folder, or one of which all is known, is looked at once.
func TestNoEarlyLook(t *testing.T) {
	s := newShoot(t)
	s.wide(40)
	j := s.aside()
	for _, made := range []int{80, 0} {
		places := 0
		sum, err := Run(t.Context(), j, Options{Saved: func(saved Saved) {
			if l := keptIn(t, j).Layout; len(l.Places) != 0 && len(l.Places) != 80 {
				places = len(l.Places)
			}
		}})
		if err != nil || sum.Made != made || places != 0 {
			t.Errorf("%+v, an order of %d, %v", sum, places, err)
		}
	}
}

// Frames that somebody waits for have their turn first, each once, and those
// that nobody knows are nobody's.
func TestUrgentFirst(t *testing.T) {
	s := newShoot(t)
	for i := range 12 {
		s.raw(fmt.Sprintf("A/L%04d.DNG", i), shot("222", 10*i, 1), 300, 200, i)
	}
	j := s.aside()
	if _, err := Scan(t.Context(), j); err != nil {
		t.Fatal(err)
	}
	frames := keptIn(t, j).Layout.Places
	var order []cull.ID
	want := []cull.ID{frames[7].Frame, "0000000000000000", frames[9].Frame, frames[7].Frame}
	_, err := Run(t.Context(), j, Options{Workers: 1, Urgent: func() []cull.ID { return want }, Frame: func(r FrameReport) { order = append(order, r.Frame.ID) }})
	if err != nil {
		t.Fatal(err)
	}
	wanted := []int{7, 9, 0, 1, 2, 3, 4, 5, 6, 8, 10, 11}
	for i, n := range wanted {
		if len(order) != len(wanted) || order[i] != frames[n].Frame {
			t.Fatalf("the order is %v", order)
		}
	}
}

// While somebody looks on, what belongs together shows before all pictures are
// made.
func TestOrderWhilePicturesAreMade(t *testing.T) {
	s := newShoot(t)
	for i := range 30 { // bursts of three that only pictures tell
		s.raw(fmt.Sprintf("A/L%04d.DNG", i), shot("222", 20*(i/3)+i%3, 1), 300, 200, i/3)
	}
	j := s.aside()
	now := time.Date(2026, 6, 14, 9, 0, 0, 0, time.UTC)
	var moments []int
	told := map[cull.ID]bool{}
	_, err := Run(t.Context(), j, Options{Workers: 1, Now: func() time.Time {
		now = now.Add(100 * time.Millisecond) // a slow disk: some looks at the clock for each frame
		return now
	}, Saved: func(saved Saved) {
		frames := keptIn(t, j).Frames
		for _, f := range saved.Frames {
			if d := cmp.Diff(frames[f.ID], f, cmpopts.EquateEmpty()); d != "" {
				t.Errorf("told of a frame that is not the one saved: %s", d)
			}
			told[f.ID] = told[f.ID] || f.HasFingerprint
		}
		if saved.Layout {
			l := keptIn(t, j).Layout
			moments = append(moments, l.Places[len(l.Places)-1].Moment+1)
		}
	}})
	if err != nil {
		t.Fatal(err)
	}
	if n := len(moments); n < 4 || moments[0] != 30 || moments[n-1] != 10 || !slices.IsSortedFunc(moments, func(a, b int) int { return b - a }) {
		t.Errorf("moments went as %v", moments)
	}
	for id := range keptIn(t, j).Frames {
		if !told[id] {
			t.Errorf("never told of %s with its picture", id)
		}
	}
}
