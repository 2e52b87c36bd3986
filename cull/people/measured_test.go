package people_test

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"garner/cull/job"
	"garner/cull/measure"
	"garner/cull/people"
	"garner/cull/prepare"
	"garner/testdata/testneed"
)

// Photographs of groups, from the job's folder through preparing and measuring with
// the real networks: templates are in people.db and in no other file, and after
// everybody was forgotten in none. What was measured of eyes and focus stays.
func TestForgettingWhatWasMeasured(t *testing.T) {
	dir := t.TempDir()
	photos, err := filepath.Glob(filepath.Join(testneed.Samples(t), "photos", "*.jpg"))
	if err != nil || len(photos) == 0 {
		t.Fatal(photos, err)
	}
	for _, p := range photos {
		b, err := os.ReadFile(p)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, filepath.Base(p)), b, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	j, err := job.Open(dir, job.Options{Who: "anna"})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	if err := errors.Join(j.SetFaces(true), j.SetPeople(true)); err != nil {
		t.Fatal(err)
	}
	if _, err := prepare.Run(t.Context(), j, prepare.Options{}); err != nil {
		t.Fatal(err)
	}
	sum, err := measure.Run(t.Context(), j, measure.Options{})
	if err != nil || sum.Templates < 3 {
		t.Fatalf("%+v, %v", sum, err)
	}
	file, err := os.ReadFile(j.PeopleFile().Path)
	if err != nil {
		t.Fatal(err)
	}
	templates, err := people.TemplatesIn(file)
	if err != nil || len(templates) != sum.Templates {
		t.Fatalf("%d templates of %d, %v", len(templates), sum.Templates, err)
	}
	traces := people.Traces(templates...)
	n, in := people.TracesIn(t, dir, traces)
	if n == 0 || len(in) != 1 || in[0] != j.PeopleFile().Path {
		t.Errorf("%d runs in %v", n, in)
	}
	persons, err := people.Open(j).Persons()
	if err != nil || len(persons) == 0 {
		t.Fatal(err)
	}
	if gone, err := people.Withdraw(j); err != nil || gone.Faces != sum.Templates {
		t.Errorf("%+v, %v", gone, err)
	}
	if n, in := people.TracesIn(t, dir, traces); n > 0 {
		t.Errorf("%d runs in %v", n, in)
	}
	if again, err := measure.Run(t.Context(), j, measure.Options{}); err != nil || again.Templates != 0 || again.Measured != 0 {
		t.Errorf("measured again: %+v, %v", again, err)
	}
	measures, err := j.Measures()
	if err != nil {
		t.Fatal(err)
	}
	faces := 0
	for _, m := range measures {
		faces += len(m.Faces.List)
	}
	if faces < sum.Templates {
		t.Errorf("%d faces are left of %d", faces, sum.Faces)
	}
	t.Logf("%d faces, %d templates of %d persons, %d runs of 16 bytes before", sum.Faces, sum.Templates, len(persons), n)
}
