package people

import (
	"encoding/binary"
	"errors"
	"io/fs"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/job"
)

// run16 is 16 bytes in a row: four float32s, or eight of half the length.
type run16 [16]byte

// traces are all runs of 16 bytes of templates, in the forms in which they could
// have got into a file: as float32 and float64 and in half precision, either byte
// order.
func traces(templates ...Template) map[run16]bool {
	all := map[run16]bool{}
	for _, t := range templates {
		for _, order := range []binary.AppendByteOrder{binary.LittleEndian, binary.BigEndian} {
			var single, double, half []byte
			for _, v := range t {
				single = order.AppendUint32(single, math.Float32bits(v))
				double = order.AppendUint64(double, math.Float64bits(float64(v)))
				half = order.AppendUint16(half, float16(v))
			}
			for _, b := range [][]byte{single, double, half} {
				for i := range len(b) - 15 {
					all[run16(b[i:])] = true
				}
			}
		}
	}
	return all
}

// float16 is IEEE 754 half precision, cut, for numbers as templates have them.
func float16(v float32) uint16 {
	b := math.Float32bits(v)
	e := int(b>>23&0xff) - 127 + 15
	if e <= 0 {
		return uint16(b >> 16 & 0x8000)
	}
	return uint16(b>>16&0x8000) | uint16(e)<<10 | uint16(b>>13&0x3ff)
}

// found counts the runs in the files below a folder.
func found(t *testing.T, dir string, traces map[run16]bool) (n int, in []string) {
	t.Helper()
	files := 0
	err := filepath.WalkDir(dir, func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		files++
		b, err := os.ReadFile(p)
		if err != nil {
			return err
		}
		before := n
		for i := 0; i+16 <= len(b); i++ {
			if traces[run16(b[i:])] {
				n++
			}
		}
		if n > before {
			in = append(in, p)
		}
		return nil
	})
	if err != nil || files == 0 {
		t.Fatal(files, err)
	}
	return n, in
}

// peopleJob is a real job with both consents.
func peopleJob(t *testing.T) *job.Job {
	t.Helper()
	j, err := job.Open(t.TempDir(), job.Options{Who: "anna", Now: func() time.Time { return time.Unix(1781000000, 0) }})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { j.Close() })
	yes(t, j)
	return j
}

func yes(t *testing.T, j *job.Job) {
	t.Helper()
	if err := errors.Join(j.SetFaces(true), j.SetPeople(true)); err != nil {
		t.Fatal(err)
	}
}

// three puts anna, ben and carl into 12 frames and returns all their templates.
func three(t *testing.T, r *rand.Rand, s *Store) (of [3][]Template) {
	t.Helper()
	who := [3]Template{somebody(r), somebody(r), somebody(r)}
	for frame := range 12 {
		f := Found{Frame: id(frame)}
		for i := range who {
			tpl := lookalike(r, who[i], 0.25)
			of[i] = append(of[i], tpl)
			f.Faces = append(f.Faces, Face{at(i), tpl})
		}
		if err := s.Put(f); err != nil {
			t.Fatal(err)
		}
	}
	return of
}

// Forgetting one leaves no trace of that one in any file of the job, and the others
// as they were; forgetting all, of nobody.
func TestForgettingLeavesNoTrace(t *testing.T) {
	seed := rand.Uint64()
	r := rand.New(rand.NewPCG(seed, 1))
	j := peopleJob(t)
	s := Open(j)
	of := three(t, r, s)
	if _, err := s.Rename("p2", "Ben"); err != nil {
		t.Fatal(err)
	}
	persons, err := s.Persons()
	if err != nil || len(persons) != 3 || persons[1].Faces != 12 || persons[1].Name != "Ben" {
		t.Fatalf("seed %d: %+v, %v", seed, persons, err)
	}
	// The search finds what is there: 497 runs of each template, and in one file.
	for i := range of {
		if n, in := found(t, j.Root(), traces(of[i]...)); n != 12*(4*Dims-15) || len(in) != 1 || filepath.Base(in[0]) != job.PeopleName {
			t.Fatalf("seed %d: %d runs in %v", seed, n, in)
		}
	}

	for range 2 { // once more is no fault and does nothing
		gone, err := s.Forget("ben")
		if errors.Is(err, ErrNoPerson) {
			gone, err = s.Forget("p2")
		}
		if err != nil || gone.Faces != 0 && gone.Faces != 12 {
			t.Fatal(gone, err)
		}
		if n, in := found(t, j.Root(), traces(of[1]...)); n > 0 {
			t.Errorf("seed %d: ben was forgotten, %d runs of his in %v", seed, n, in)
		}
		for _, i := range []int{0, 2} {
			if n, _ := found(t, j.Root(), traces(of[i]...)); n != 12*(4*Dims-15) {
				t.Errorf("seed %d: of person %d %d runs are left", seed, i+1, n)
			}
		}
	}
	if _, err := s.Forget("nobody"); !errors.Is(err, ErrNoPerson) {
		t.Errorf("%v", err)
	}
	// Measured again, his faces stay out; the others keep their persons.
	f := Found{Frame: id(3)}
	for i := range of {
		f.Faces = append(f.Faces, Face{at(i), of[i][3]})
	}
	if err := s.Put(f); err != nil {
		t.Fatal(err)
	}
	if persons, err = s.Persons(); err != nil || len(persons) != 2 || persons[0].Label != "p1" || persons[1].Label != "p3" {
		t.Errorf("seed %d: %+v, %v", seed, persons, err)
	}
	if n, in := found(t, j.Root(), traces(of[1]...)); n > 0 {
		t.Errorf("seed %d: measured again, %d runs of his in %v", seed, n, in)
	}

	for range 2 {
		if _, err := Withdraw(j); err != nil {
			t.Fatal(err)
		}
		if n, in := found(t, j.Root(), traces(append(of[0], append(of[1], of[2]...)...)...)); n > 0 || s.Exists() {
			t.Errorf("seed %d: all are forgotten, %d runs in %v", seed, n, in)
		}
	}
	if err := s.Put(f); !errors.Is(err, ErrNoConsent) || s.Exists() {
		t.Errorf("after the consent was taken back: %v", err)
	}
	if c, err := j.People(); err != nil || c.Yes || !c.Asked {
		t.Errorf("%+v, %v", c, err)
	}
}

// The no may come from anywhere, as a line of a journal that is merged: the file
// goes with it, also while somebody measures.
func TestMeasuringDoesNotBringItBack(t *testing.T) {
	j := peopleJob(t)
	var all sync.WaitGroup
	for k := range 3 {
		all.Go(func() {
			r := rand.New(rand.NewPCG(7, uint64(k)))
			for n := range 40 {
				if err := Open(j).Put(Found{id(100*k + n), []Face{{at(0), somebody(r)}}}); err != nil && !errors.Is(err, ErrNoConsent) {
					t.Error(err)
				}
			}
		})
	}
	for n := range 4 {
		time.Sleep(10 * time.Millisecond)
		var err error
		if n%2 == 0 {
			_, err = Open(j).Forget("p1")
			if errors.Is(err, ErrNoPerson) {
				err = nil
			}
		} else {
			_, err = j.Append(cull.Entry{Verb: cull.VerbCorrect, Args: []string{"people", "no"}})
			if err == nil && Open(j).Exists() {
				t.Error("the consent was taken back and the file is there")
			}
			if n < 3 {
				yes(t, j)
			}
		}
		if err != nil {
			t.Error(err)
		}
	}
	all.Wait()
	if Open(j).Exists() {
		t.Error("measuring brought the file back")
	}
}

// A damaged file, and one of a later version, are refused, and can be removed.
func TestForgettingWhatCannotBeRead(t *testing.T) {
	j := peopleJob(t)
	s := Open(j)
	three(t, rand.New(rand.NewPCG(1, 1)), s)
	b, err := os.ReadFile(s.file.Path)
	if err != nil {
		t.Fatal(err)
	}
	b[200] ^= 1
	if err := os.WriteFile(s.file.Path, b, 0o600); err != nil {
		t.Fatal(err)
	}
	_, perr := s.Persons()
	_, ferr := s.Forget("p1")
	for _, err := range []error{perr, ferr, s.Put(Found{Frame: id(1)})} {
		if !errors.Is(err, ErrDamaged) {
			t.Errorf("%v", err)
		}
	}
	if _, err := s.ForgetAll(); err != nil || s.Exists() {
		t.Errorf("%v", err)
	}
	if err := s.Put(Found{Frame: id(1)}); err != nil {
		t.Errorf("a new one: %v", err)
	}
}

// Killed between the no and the end of the file, and opened to be read only: the file is
// there, and nobody is told what is in it. Opened to be written to it is gone.
func TestFileThatOutlastsItsConsent(t *testing.T) {
	j := peopleJob(t)
	s := Open(j)
	of := three(t, rand.New(rand.NewPCG(1, 1)), s)
	if _, err := s.Rename("p1", "Anna"); err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile(s.file.Path)
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(j.SetPeople(false), os.WriteFile(s.file.Path, b, 0o600)); err != nil {
		t.Fatal(err)
	}
	r, err := job.Open(j.Root(), job.Options{ReadOnly: true})
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	persons, perr := Open(r).Persons()
	matches, merr := Open(r).Find(of[0][0], 10)
	in, ierr := Open(r).In(id(1))
	frames, ferr := Open(r).Frames()
	if err := errors.Join(perr, merr, ierr, ferr); err != nil || len(persons)+len(matches)+len(in)+len(frames) > 0 {
		t.Errorf("after the no: %v, %+v, %d matches, %d and %d frames", err, persons, len(matches), len(in), len(frames))
	}
	w, err := job.Open(j.Root(), job.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer w.Close()
	if Open(w).Exists() {
		t.Error("the file outlasts another opening")
	}
}

// What is known of frames that left the job goes when that is wanted, with no trace, and
// nothing else does; who was forgotten in them stays forgotten.
func TestForgettingFramesThatLeft(t *testing.T) {
	j := peopleJob(t)
	s := Open(j)
	of := three(t, rand.New(rand.NewPCG(5, 1)), s)
	if _, err := s.Forget("p2"); err != nil {
		t.Fatal(err)
	}
	here := func(frame cull.ID) bool { return frame >= id(4) }
	for i, want := range []Forgotten{{8, 4}, {}} {
		if gone, err := s.ForgetOthers(here); err != nil || gone != want {
			t.Errorf("%d: %+v, %v, want %+v", i, gone, err, want)
		}
	}
	for i, n := range []int{8, 0, 8} {
		if got, in := found(t, j.Root(), traces(of[i][4:]...)); got != n*(4*Dims-15) {
			t.Errorf("person %d: of frames that stay %d runs in %v", i+1, got, in)
		}
		if got, in := found(t, j.Root(), traces(of[i][:4]...)); got > 0 {
			t.Errorf("person %d: of frames that left %d runs in %v", i+1, got, in)
		}
	}
	back := Found{Frame: id(1)}
	for i := range of {
		back.Faces = append(back.Faces, Face{at(i), of[i][1]})
	}
	if err := s.Put(back); err != nil {
		t.Fatal(err)
	}
	persons, err := s.Persons()
	if err != nil || len(persons) != 2 || persons[0].Faces != 9 || persons[1].Label != "p3" {
		t.Errorf("one came back: %+v, %v", persons, err)
	}
	if _, err := s.ForgetOthers(func(cull.ID) bool { return false }); err != nil {
		t.Fatal(err)
	}
	if persons, err = s.Persons(); err != nil || len(persons) > 0 {
		t.Errorf("all left: %+v, %v", persons, err)
	}
	if _, err := s.Rename("p1", "Gone"); err == nil {
		t.Error("somebody may be called as those who left")
	}
}
