package people

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"garner/cull"
)

// away is the root of the mean square of the distances, worked out without them.
func TestAway(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	var a, b sums
	var as, bs []Template
	for range 5 {
		x, y := somebody(r), somebody(r)
		a.add(&x)
		b.add(&y)
		as, bs = append(as, x), append(bs, y)
	}
	rms := func(of []Template, to ...Template) float64 {
		sum := 0.0
		for i := range of {
			for k := range to {
				d := Distance(&of[i], &to[k])
				sum += d * d
			}
		}
		return math.Sqrt(sum / float64(len(of)*len(to)))
	}
	if got, want := a.away(&bs[0]), rms(as, bs[0]); math.Abs(got-want) > 1e-5 {
		t.Errorf("away %v, want %v", got, want)
	}
	if got, want := a.apart(&b), rms(as, bs...); math.Abs(got-want) > 1e-5 || math.Abs(a.apart(&b)-b.apart(&a)) > 1e-12 {
		t.Errorf("apart %v, want %v", got, want)
	}
}

// persons gives every face of a store its person.
func persons(t *testing.T, s *Store) map[string]string {
	t.Helper()
	frames, err := s.Frames()
	if err != nil {
		t.Fatal(err)
	}
	in, err := s.In(slices.Collect(maps.Keys(frames))...)
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]string{}
	for id, faces := range in {
		for _, f := range faces {
			out[fmt.Sprint(id, f.At)] = f.Label
		}
	}
	return out
}

// Whatever is put, put again, named and forgotten, in whatever order: nobody is in a
// frame twice, a person given once moves only if its frame is measured anew, numbers
// are never given twice, and what is listed is what is there.
func TestProperties(t *testing.T) {
	seed := rand.Uint64()
	r := rand.New(rand.NewPCG(seed, 1))
	s, _ := testStore(t)
	guests := make([]Template, 9)
	for i := range guests {
		guests[i] = somebody(r)
	}
	gone, most := map[string]bool{}, 0
	for step := range 120 {
		before := persons(t, s)
		var batch []Found
		switch r.IntN(6) {
		case 0: // forget somebody
			labels := slices.Sorted(maps.Values(before))
			if len(labels) == 0 {
				continue
			}
			who := labels[r.IntN(len(labels))]
			n := 0
			for _, l := range before {
				if l == who {
					n++
				}
			}
			if f, err := s.Forget(who); err != nil || f.Faces != n {
				t.Fatalf("seed %d: %s had %d faces, %+v forgotten, %v", seed, who, n, f, err)
			}
			gone[who] = true
		default:
			for range 1 + r.IntN(3) {
				f := Found{Frame: id(r.IntN(25))}
				for i, g := range r.Perm(len(guests))[:r.IntN(4)] {
					f.Faces = append(f.Faces, Face{at(i), lookalike(r, guests[g], r.Float64()*0.6)})
				}
				batch = append(batch, f)
			}
			if err := s.Put(batch...); err != nil {
				t.Fatal(err)
			}
		}
		now := persons(t, s)
		touched := map[cull.ID]bool{}
		for _, f := range batch {
			touched[f.Frame] = true
		}
		frames, err := s.Frames()
		if err != nil {
			t.Fatal(err)
		}
		for id := range frames {
			in, err := s.In(id)
			if err != nil {
				t.Fatal(err)
			}
			twice := map[string]bool{}
			for _, f := range in[id] {
				key := fmt.Sprint(id, f.At)
				switch {
				case twice[f.Label]:
					t.Fatalf("seed %d, step %d: %s is in %s twice", seed, step, f.Label, id)
				case gone[f.Label]:
					t.Fatalf("seed %d, step %d: %s was forgotten and is there", seed, step, f.Label)
				case !touched[id] && before[key] != f.Label:
					t.Fatalf("seed %d, step %d: %s was %q and is %s", seed, step, key, before[key], f.Label)
				}
				twice[f.Label] = true
			}
		}
		list, err := s.Persons()
		if err != nil {
			t.Fatal(err)
		}
		faces := 0
		for i, p := range list {
			faces += p.Faces
			if p.Frames != p.Faces || !frames[p.Best.Frame] || i > 0 && cmp.Compare(len(list[i-1].Label), len(p.Label)) > 0 {
				t.Fatalf("seed %d: %+v", seed, p)
			}
			for _, m := range p.Maybe {
				if m.Distance > Maybe || m.Label == p.Label {
					t.Fatalf("seed %d: %+v", seed, p)
				}
			}
			var n int
			fmt.Sscanf(p.Label, "p%d", &n)
			most = max(most, n)
		}
		if faces != len(now) {
			t.Fatalf("seed %d: %d faces are listed, %d are there", seed, faces, len(now))
		}
	}
	if most < 5 || len(gone) < 3 {
		t.Errorf("seed %d: %d persons, %d forgotten: the test does not see much", seed, most, len(gone))
	}
}

// In whatever order frames come: people who are far apart are never one, and who
// looks the same is.
func TestPersonsAreFound(t *testing.T) {
	seed := rand.Uint64()
	r := rand.New(rand.NewPCG(seed, 1))
	s := newState()
	guests := make([]Template, 12)
	for i := range guests {
		guests[i] = somebody(r)
	}
	truth := map[string]int{}
	for frame := range 60 {
		f := Found{Frame: id(frame)}
		for i, g := range r.Perm(len(guests))[:1+r.IntN(5)] {
			f.Faces = append(f.Faces, Face{at(i), lookalike(r, guests[g], 0.1+0.25*r.Float64())})
			truth[fmt.Sprint(f.Frame, i)] = g
		}
		s.put([]Found{f})
	}
	of := map[uint32]int{}
	for id, faces := range s.frames {
		for i, f := range faces {
			g := truth[fmt.Sprint(id, i)]
			if was, ok := of[f.person]; ok && was != g {
				t.Fatalf("seed %d: person %d is guest %d and guest %d", seed, f.person, was, g)
			}
			of[f.person] = g
		}
	}
	if len(of) != len(guests) {
		t.Errorf("seed %d: %d guests are %d persons", seed, len(guests), len(of))
	}
}

// A frame that is known by another id takes its faces along, and what was forgotten.
func TestAliases(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	s, _ := testStore(t)
	now := map[cull.ID]cull.ID{}
	s.aliases = func() (map[cull.ID]cull.ID, error) { return now, nil }
	anna, ben := somebody(r), somebody(r)
	put(t, s, 1, anna, ben)
	put(t, s, 2, anna)
	if _, err := s.Forget("p2"); err != nil {
		t.Fatal(err)
	}
	now[id(1)] = id(9)
	if has, err := s.Has(id(9)); err != nil || !has {
		t.Fatal(has, err)
	}
	put(t, s, 9, anna, ben)
	list, err := s.Persons()
	if err != nil || len(list) != 1 || list[0].Faces != 2 {
		t.Errorf("%+v, %v", list, err)
	}
	now[id(2)] = id(9) // both are known: the present one's faces stand
	if list, err = s.Persons(); err != nil || len(list) != 1 || list[0].Faces != 1 {
		t.Errorf("%+v, %v", list, err)
	}
}

func TestNames(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	s, _ := testStore(t)
	put(t, s, 1, somebody(r), somebody(r))
	for _, bad := range []string{"p7", "P1", "all", "ALL", "a\nb", "a\u202eb", "\xff", string(make([]byte, 200))} {
		if _, err := s.Rename("p1", bad); err == nil {
			t.Errorf("%q is a name", bad)
		}
	}
	if _, err := s.Rename("p3", "Eva"); !errors.Is(err, ErrNoPerson) {
		t.Errorf("%v", err)
	}
	for who, name := range map[string]string{"p1": " Zoë ", "p2": "zoë"} {
		if _, err := s.Rename(who, name); err != nil {
			t.Fatal(err)
		}
	}
	if list, err := s.Persons(); err != nil || list[0].Name != "Zoë" || list[1].Name != "zoë" || list[0].Label != "p1" {
		t.Errorf("%+v, %v", list, err)
	}
	if same, err := s.Rename("ZOË", "Eva"); err != nil || same != 2 {
		t.Errorf("%d, %v", same, err)
	}
	if _, err := s.Rename("p1", ""); err != nil {
		t.Fatal(err)
	}
	if gone, err := s.Forget("eva"); err != nil || gone.Faces != 1 {
		t.Errorf("%+v, %v", gone, err)
	}
}

// What makes no sense is refused as a whole.
func TestPutRefuses(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	s, _ := testStore(t)
	good := Face{at(0), somebody(r)}
	nan, far, empty, flat, away := good, good, good, good, good
	nan.Template[5] = float32(math.NaN())
	far.Template[5] = 1e30
	empty.Template = Template{}
	flat.W = 0
	away.X = math.Inf(1)
	for name, f := range map[string]Found{
		"no frame": {"", []Face{good}}, "a long id": {cull.ID(make([]byte, 65)), nil}, "too many": {id(1), make([]Face, maxFaces+1)},
		"not a number": {id(1), []Face{nan}}, "out of range": {id(1), []Face{far}}, "no template": {id(1), []Face{empty}},
		"no width": {id(1), []Face{flat}}, "outside": {id(1), []Face{away}},
	} {
		if err := s.Put(Found{id(2), []Face{good}}, f); err == nil {
			t.Errorf("%s: taken", name)
		}
	}
	if s.Exists() {
		t.Error("something was kept")
	}
}

// A batch of 50 frames for a job of 3,000 frames with four faces each of 100 people:
// what it costs beside what the disk takes.
func BenchmarkPutBatch(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 1))
	guests := make([]Template, 100)
	for i := range guests {
		guests[i] = somebody(r)
	}
	frames := func(from, n int) (batch []Found) {
		for k := range n {
			f := Found{Frame: id(from + k)}
			for i, g := range r.Perm(len(guests))[:4] {
				f.Faces = append(f.Faces, Face{at(i), lookalike(r, guests[g], 0.3)})
			}
			batch = append(batch, f)
		}
		return batch
	}
	s := newState()
	s.put(frames(0, 3000))
	file, batch := s.encode(), frames(5000, 50)
	b.SetBytes(int64(len(file)))
	for b.Loop() {
		again, err := decode(file)
		if err != nil {
			b.Fatal(err)
		}
		again.put(batch)
		again.encode()
	}
}

// Nobody is in a frame twice: two who are beside each other somewhere are two, however
// alike, as siblings are.
func TestNobodyBesideOneIsMaybeTheSame(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	s, _ := testStore(t)
	anna := somebody(r)
	put(t, s, 1, anna)
	put(t, s, 2, lookalike(r, anna, 0.57))
	maybe := func() (n int) {
		persons, err := s.Persons()
		if err != nil || len(persons) != 2 {
			t.Fatal(persons, err)
		}
		for _, p := range persons {
			n += len(p.Maybe)
		}
		return n
	}
	if n := maybe(); n != 2 {
		t.Errorf("%d of two who never met are maybe the other", n)
	}
	put(t, s, 3, anna, lookalike(r, anna, 0.1))
	put(t, s, 4, anna)
	persons, err := s.Persons()
	if err != nil || len(persons) != 3 {
		t.Fatal(persons, err)
	}
	for _, m := range persons[0].Maybe {
		if m.Label == "p3" {
			t.Errorf("p1 and p3 are in one frame and maybe the same: %+v", persons)
		}
	}
}
