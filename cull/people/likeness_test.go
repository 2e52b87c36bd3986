package people

import (
	"image"
	"math/rand/v2"
	"testing"

	networks "garner/preview/face"
	"garner/preview/jpeg"
	"garner/preview/pix"
	"garner/testdata/testneed"
)

// The sheet of portraits that comes with dlib (boost software licence) shows four
// people six times each: its example links faces below 0.6 and "will correctly
// indicate that there are 4 people in the image" (dnn_face_recognition_ex.cpp). Here
// each portrait is a frame of its own, in many orders.
func TestFourPeopleInAnyOrder(t *testing.T) {
	m, err := jpeg.Decode(testneed.Photo(t, "dlib/bald_guys.jpg", "e0c40697dbd9a07684274f71760bc5161468e926ba75ff90d48b168019402e8b"), jpeg.Options{})
	if err != nil {
		t.Fatal(err)
	}
	r := networks.New()
	small := pix.Fit(m, 1024)
	found, err := r.Find(t.Context(), small)
	if err != nil {
		t.Fatal(err)
	}
	var all []Template
	for _, f := range found {
		f = f.In(float64(m.Width)/float64(small.Width), image.Point{})
		e, err := r.Eyes(t.Context(), m, f)
		if err != nil {
			t.Fatal(err)
		}
		tpl, err := r.Template(t.Context(), m, e)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, Template(tpl))
	}
	if len(all) != 24 {
		t.Fatalf("%d faces", len(all))
	}
	who := make([]int, len(all)) // the first that it is linked with below 0.6
	for i := range all {
		who[i] = i
		for k := range i {
			if Distance(&all[i], &all[k]) < 0.6 {
				for n, from, to := 0, max(who[i], who[k]), min(who[i], who[k]); n <= i; n++ {
					if who[n] == from {
						who[n] = to
					}
				}
			}
		}
	}
	people := map[int]int{}
	for _, p := range who {
		people[p]++
	}
	if len(people) != 4 {
		t.Fatalf("linked: %v", who)
	}
	seed := rand.Uint64()
	rng := rand.New(rand.NewPCG(seed, 1))
	const rounds = 200
	groups, joined := map[int]int{}, map[int]int{} // how many persons → in how many orders; joined: with those that are maybe the same
	for range rounds {
		s := newState()
		for _, i := range rng.Perm(len(all)) {
			s.put([]Found{{Frame: id(i), Faces: []Face{{at(0), all[i]}}}})
		}
		of := map[string]int{}
		for i := range all {
			p := label(s.frames[id(i)][0].person)
			if was, ok := of[p]; ok && was != who[i] {
				t.Fatalf("seed %d: %s is two people", seed, p)
			}
			of[p] = who[i]
		}
		groups[len(of)]++
		list := s.list()
		set := map[string]int{}
		for i, p := range list {
			set[p.Label] = i
		}
		for _, p := range list {
			for _, m := range p.Maybe {
				if of[p.Label] != of[m.Label] {
					t.Errorf("seed %d: %s is maybe %s, which are two people", seed, p.Label, m.Label)
				}
				for l, from := range set {
					if from == max(set[p.Label], set[m.Label]) {
						set[l] = min(set[p.Label], set[m.Label])
					}
				}
			}
		}
		sets := map[int]bool{}
		for _, n := range set {
			sets[n] = true
		}
		joined[len(sets)]++
	}
	t.Logf("%d orders of 24 portraits of four: so many have so many persons %v; with those that are maybe the same %v", rounds, groups, joined)
	if groups[4]+groups[5]+groups[6] < rounds*9/10 || joined[4] < rounds*95/100 {
		t.Errorf("seed %d: %v, %v", seed, groups, joined)
	}
}
