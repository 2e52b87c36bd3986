package job_test

import (
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"unicode"

	"garner/cull/job"
)

func TestSceneNamesAreRemembered(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "not there yet")
	if got := job.UsedSceneNames(dir); got != nil {
		t.Errorf("%q out of nowhere", got)
	}
	for _, name := range []string{"Church", " First  dance ", "church", "", "03", "Cake \x1b[2J\u202e", "a\nb"} {
		must(t, job.RememberSceneName(dir, name))
	}
	want := []string{`a\x0ab`, `Cake \x1b[2J\u202e`, "church", "First dance"}
	if got := job.UsedSceneNames(dir); !reflect.DeepEqual(got, want) {
		t.Errorf("%q", got)
	}
	for i := range 600 {
		must(t, job.RememberSceneName(dir, fmt.Sprintf("Scene %d", i)))
	}
	got := job.UsedSceneNames(dir)
	if len(got) != 500 || got[0] != "Scene 599" || got[499] != "Scene 100" {
		t.Errorf("%d names, %s to %s", len(got), got[0], got[len(got)-1])
	}
}

// What stands in the file may come from anybody and anywhere.
func TestSceneNamesOfAnyFile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "garner", "scenes.txt")
	must(t, os.MkdirAll(path, 0o777)) // a folder
	if got := job.UsedSceneNames(dir); got != nil {
		t.Errorf("%q", got)
	}
	if err := job.RememberSceneName(dir, "Church"); err == nil || !strings.Contains(err.Error(), "not remembered") {
		t.Errorf("into a folder: %v", err)
	}
	must(t, os.Remove(path))
	must(t, os.WriteFile(path, []byte("\x00\x1b]0;x\x07\n\xff\xfe\n\n\r\nChurch\r\nchurch\n"+strings.Repeat("x", 1<<20)), 0o666))
	names := job.UsedSceneNames(dir)
	if len(names) == 0 || len(names) > 500 {
		t.Errorf("%d names", len(names))
	}
	for _, n := range names {
		if len(n) > 200 || strings.ContainsFunc(n, unicode.IsControl) {
			t.Errorf("%q", n)
		}
	}
}

func TestHas(t *testing.T) {
	j := sample(t, 8)
	for _, e := range []struct {
		name   string
		frames []int
	}{{"Rings", []int{1, 2}}, {"Cake", []int{3}}, {"rings", []int{4}}, {"Cake", nil}} {
		entry := job.Has(e.name)
		for _, i := range e.frames {
			entry.Args = append(entry.Args, job.Has("", frameID(i)).Args[2])
		}
		_, err := j.Append(entry)
		must(t, err)
	}
	has, err := j.Has()
	must(t, err)
	if len(has) != 1 || len(has["rings"]) != 1 || has["rings"][0] != frameID(4) {
		t.Errorf("%v", has)
	}
}
