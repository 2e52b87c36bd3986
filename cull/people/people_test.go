package people

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/job"
	"garner/store/erasable"
	"garner/store/vfs"
)

// somebody is a random template; lookalike one at a distance from it.
func somebody(r *rand.Rand) Template {
	var t Template
	for i := range t {
		t[i] = float32(r.NormFloat64() * 0.12) // persons lie about 1.9 apart
	}
	return t
}

func lookalike(r *rand.Rand, t Template, away float64) Template {
	var by [Dims]float64
	var sum float64
	for i := range by {
		by[i] = r.NormFloat64()
		sum += by[i] * by[i]
	}
	for i := range t {
		t[i] += float32(by[i] * away / math.Sqrt(sum))
	}
	return t
}

// at is the n-th place of a frame; places do not overlap.
func at(n int) cull.Region {
	return cull.Region{X: float64(n%8) / 8, Y: float64(n/8) / 8, W: 0.1, H: 0.1}
}

func id(n int) cull.ID { return cull.ID(fmt.Sprintf("%016x", 0xabc000+n)) }

// testStore is a store in a folder, with consent and without a job.
func testStore(t *testing.T) (*Store, *[]string) {
	t.Helper()
	var notes []string
	return &Store{
		file:    erasable.File{FS: vfs.OS{}, Path: filepath.Join(t.TempDir(), "people.db"), Begins: magic, MaxSize: 1 << 20},
		consent: func() (bool, error) { return true, nil },
		aliases: func() (map[cull.ID]cull.ID, error) { return nil, nil },
		note:    func(words ...string) error { notes = append(notes, fmt.Sprint(words)); return nil },
	}, &notes
}

func put(t *testing.T, s *Store, frame int, faces ...Template) {
	t.Helper()
	f := Found{Frame: id(frame)}
	for i, tpl := range faces {
		f.Faces = append(f.Faces, Face{at(i), tpl})
	}
	if err := s.Put(f); err != nil {
		t.Fatal(err)
	}
}

func TestPutAndGroup(t *testing.T) {
	seed := rand.Uint64()
	r := rand.New(rand.NewPCG(seed, 1))
	s, notes := testStore(t)
	anna, ben, carl := somebody(r), somebody(r), somebody(r)
	put(t, s, 1, anna, ben)
	put(t, s, 2)
	put(t, s, 3, lookalike(r, ben, 0.3), lookalike(r, anna, 0.5), carl)
	put(t, s, 4, lookalike(r, anna, 0.58)) // may be her: 0.58 from the first, about 0.77 from the second
	in, err := s.In(id(1), id(3), id(4))
	if err != nil {
		t.Fatal(err)
	}
	got := func(frame int) (labels []string) {
		for _, n := range in[id(frame)] {
			labels = append(labels, n.Label)
		}
		return labels
	}
	if !slices.Equal(got(1), []string{"p1", "p2"}) || !slices.Equal(got(3), []string{"p2", "p1", "p3"}) || !slices.Equal(got(4), []string{"p4"}) {
		t.Errorf("seed %d: %v %v %v", seed, got(1), got(3), got(4))
	}
	for frame, want := range map[int]bool{1: true, 2: true, 3: true, 5: false} {
		if has, err := s.Has(id(frame)); err != nil || has != want {
			t.Errorf("has %d: %v, %v", frame, has, err)
		}
	}
	info, err := os.Stat(s.file.Path)
	if err != nil || info.Mode().Perm() != 0o600 && os.PathSeparator == '/' {
		t.Errorf("%v, %v", info.Mode(), err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if want := []string{"[begun]", "[made 6]"}; !slices.Equal(*notes, want) {
		t.Errorf("%v", *notes)
	}
	if m, err := s.Find(anna, Cut); err != nil || len(m) != 2 || m[0].Distance != 0 || m[0].Frame != id(1) || m[1].Label != "p1" {
		t.Errorf("%+v, %v", m, err)
	}
}

func TestPutNeedsConsent(t *testing.T) {
	j, err := job.Open(t.TempDir(), job.Options{Who: "anna", Now: func() time.Time { return time.Unix(1e9, 0) }})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	s := Open(j)
	face := Face{at(0), somebody(rand.New(rand.NewPCG(1, 1)))}
	if err := s.Put(Found{id(1), []Face{face}}); !errors.Is(err, ErrNoConsent) || s.Exists() {
		t.Errorf("%v", err)
	}
}

// Nobody waits for the journal with the file locked: whoever takes the consent back
// writes to the journal and then waits for the file.
func TestNotesAreMadeUnlocked(t *testing.T) {
	s, _ := testStore(t)
	r := rand.New(rand.NewPCG(1, 1))
	noted := 0
	s.note = func(words ...string) error {
		noted++
		unlock, err := s.file.Lock()
		if err != nil {
			t.Fatalf("%v: %v", words, err)
		}
		unlock()
		return nil
	}
	put(t, s, 1, somebody(r), somebody(r))
	if _, err := s.Forget("p1"); err != nil {
		t.Fatal(err)
	}
	if _, err := s.ForgetAll(); err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil || noted != 4 {
		t.Errorf("%v, %d notes", err, noted)
	}
}
