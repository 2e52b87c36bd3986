package face

import (
	"slices"
	"testing"
)

// templates describes the counted faces of a photograph that are as large as is
// asked; nil for those that are not, are not found, or that the mesh does not see.
func templates(t *testing.T, r *Reader, c counted, least float64) []*Template {
	m := photo(t, c)
	j := judge(c, searched(t, r, m))
	out := make([]*Template, len(c.faces))
	for i, f := range c.faces {
		if j.of[i] < 0 || f.w < least {
			continue
		}
		e, err := r.Eyes(t.Context(), m, j.found[j.of[i]])
		if err != nil {
			t.Fatal(err)
		}
		if e.Presence < 0.5 {
			continue
		}
		tp, err := r.Template(t.Context(), m, e)
		if err != nil {
			t.Fatal(err)
		}
		out[i] = &tp
	}
	return out
}

// The sheet of portraits that comes with dlib shows four people, as the example says
// for which it is there (examples/dnn_face_recognition_ex.cpp: "This will correctly
// indicate that there are 4 people in the image", linked below 0.6). By eye it shows
// each of them six times.
func TestFourPeople(t *testing.T) {
	ts := templates(t, New(), sheetOfPortraits(t), 0)
	if len(ts) != 24 || slices.Contains(ts, nil) {
		t.Fatalf("templates: %v", ts)
	}
	for _, cut := range []float64{0.55, 0.60} {
		of := make([]int, len(ts)) // the first face that it is linked with
		for i := range ts {
			of[i] = i
			for k := range i {
				if ts[i].Distance(*ts[k]) < cut && of[i] != of[k] {
					from, to := max(of[i], of[k]), min(of[i], of[k])
					for n := range of {
						if of[n] == from {
							of[n] = to
						}
					}
				}
			}
		}
		people := map[int]int{}
		for _, first := range of {
			people[first]++
		}
		if len(people) != 4 {
			t.Errorf("linked below %v: %d people, want 4: %v", cut, len(people), of)
		}
		for first, n := range people {
			if n != 6 {
				t.Errorf("linked below %v: face %d is there %d times, want 6", cut, first, n)
			}
		}
		same, near, far, least := 0, 0, 0, 9.0
		for i := range ts {
			for k := range i {
				d := ts[i].Distance(*ts[k])
				switch {
				case of[i] == of[k]:
					if same++; d < cut {
						near++
					}
				default:
					if least = min(least, d); d < cut {
						far++
					}
				}
			}
		}
		t.Logf("below %v: %d of %d pairs of one person, %d of two; the nearest of two people are %.3f apart", cut, near, same, far, least)
		if same != 60 || near < 54 || far > 0 {
			t.Errorf("below %v: %d of %d pairs of one person, want 54 of 60, and %d of two", cut, near, same, far)
		}
	}
}

// Faces that stand in one photograph are of different people, whatever they look like.
// What is measured here is what a cut takes for one person all the same: more than in
// collections of portraits, since many of them are family or friends under one light.
func TestPeopleSideBySide(t *testing.T) {
	r := New()
	var apart []float64
	for _, c := range truth(t) {
		if c.name == "dlib/bald_guys.jpg" || c.w < 1000 && c.name != "dlib/2008_001322.jpg" && c.name != "dlib/2008_002506.jpg" && c.name != "dlib/2008_001009.jpg" {
			continue // the sheet, and photographs of faces that are small
		}
		ts := templates(t, r, c, 60)
		for i := range ts {
			for k := range i {
				if ts[i] == nil || ts[k] == nil {
					continue
				}
				d := ts[i].Distance(*ts[k])
				if apart = append(apart, d); d < 0.60 {
					t.Logf("%s: faces %d and %d are %.3f apart", c.name, k, i, d)
				}
			}
		}
	}
	slices.Sort(apart)
	below := func(cut float64) int { i, _ := slices.BinarySearch(apart, cut); return i }
	t.Logf("%d pairs of two people: %d below 0.50, %d below 0.55, %d below 0.60; half are beyond %.3f",
		len(apart), below(0.50), below(0.55), below(0.60), apart[len(apart)/2])
	if len(apart) < 30 || below(0.55) > 2 {
		t.Errorf("%d of %d pairs are below 0.55", below(0.55), len(apart))
	}
}
