package recall

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"garner/cull"
	"garner/store/copy"
)

// took copies everything that a query finds and gives the outcomes as "STATE NAME".
func took(t *testing.T, l *Library, q Query, dir string) []string {
	t.Helper()
	f, err := l.Find(t.Context(), q)
	must(t, err)
	var out []string
	must(t, Take(t.Context(), dir, f.Hits, func(k Taken) {
		state := k.State.String()
		if k.Err != nil {
			state = k.Err.Error()
		}
		name := ""
		if k.Path != "" {
			name = filepath.Base(k.Path)
		}
		out = append(out, state+" "+name)
	}))
	return out
}

func TestTake(t *testing.T) {
	base := t.TempDir()
	bag, again := filepath.Join(base, "0613"), filepath.Join(base, "other")
	wedding(t, bag, "Job: 06/13", 1).write()
	wedding(t, again, "Job: 06/13", 100).write() // of one name, and its files differ
	must(t, os.WriteFile(filepath.Join(again, "data", "job", "A", "IMG_0001.CR3"), []byte("not what was archived"), 0o666))
	must(t, os.Remove(filepath.Join(again, "data", "small", "A", "none.CR3.jpg")))
	l := open(t, Options{}, bag, again)
	dir := filepath.Join(base, "taken")

	if got := took(t, l, Query{Name: "412"}, dir); !slices.Equal(got, []string{"copied Job_ 06_13-A-IMG_0412.CR3", "present Job_ 06_13-A-IMG_0412.CR3"}) {
		t.Errorf("of one content: %q", got)
	}
	must(t, os.WriteFile(filepath.Join(again, "data", "job", "finished", "Braut.tif"), []byte("x"), 0o666))
	got := took(t, l, Query{Name: "braut"}, dir)
	if len(got) != 2 || got[0] != "copied Job_ 06_13-B-IMG_0001.tif" || !strings.Contains(got[1], "Braut.tif") {
		t.Errorf("one is not what its record says: %q", got)
	}
	if got = took(t, l, Query{Name: "0001", Body: "A"}, dir); got[0] != "copied Job_ 06_13-A-IMG_0001.CR3" || strings.HasPrefix(got[1], "copied") {
		t.Errorf("one is not what its record says: %q", got)
	}
	if got = took(t, l, Query{Name: "none"}, dir); !slices.Equal(got, []string{"copied Job_ 06_13-A-none.jpg", ErrNoFile.Error() + " "}) {
		t.Errorf("one has no file: %q", got)
	}
	if got = took(t, l, Query{Name: "B/\uFFFD"}, dir); len(got) != 2 || got[0] != "copied Job_ 06_13-B-_.CR3" {
		t.Errorf("a name that is no text: %q", got)
	}
	if got = took(t, l, Query{Job: "nobody"}, dir); got != nil {
		t.Errorf("%q", got)
	}

	// What is there is never replaced; a second run finds what the first has made.
	other := filepath.Join(base, "busy")
	must(t, os.MkdirAll(other, 0o777))
	must(t, os.WriteFile(filepath.Join(other, "Job_ 06_13-A-IMG_0412.CR3"), []byte("mine"), 0o666))
	for _, want := range []string{"copied", "present"} {
		if got := took(t, l, Query{Name: "412"}, other); got[0] != want+" Job_ 06_13-A-IMG_0412-2.CR3" {
			t.Errorf("%q", got)
		}
	}
	if text, err := os.ReadFile(filepath.Join(other, "Job_ 06_13-A-IMG_0412.CR3")); err != nil || string(text) != "mine" {
		t.Errorf("%q, %v", text, err)
	}
	text, err := os.ReadFile(filepath.Join(dir, "Job_ 06_13-A-IMG_0412.CR3"))
	if err != nil || string(text) != "Job: 06/13: A/IMG_0412.CR3" {
		t.Errorf("%q, %v", text, err)
	}
}

func TestTakenName(t *testing.T) {
	for want, h := range map[string]Hit{
		"0613-A-IMG_0001.CR3": {Job: "0613", Name: "A/IMG_0001", Best: File{Path: "/x/IMG_0001.CR3"}},
		"0613-A-IMG_0001.jpg": {Job: "0613", Name: "A/IMG_0001.JPG", Best: File{Path: "/x/IMG_0001.JPG.jpg"}},
		"CON_-..-_-A":         {Job: "CON?", Name: "../\x1b/A", Best: File{Path: "/x/A"}},
		".-_.CR3":             {Job: ".", Name: "\x00", Best: File{Path: "/x/A.CR3"}},
	} {
		stem, ext := takenName(h)
		if name := stem + ext; name != want || !filepath.IsLocal(name) || strings.ContainsAny(name, "/\\:\x00\x1b") {
			t.Errorf("%q, want %q", name, want)
		}
	}
	stem, _ := takenName(Hit{Job: strings.Repeat("ä", 100), Name: strings.Repeat("b", 200)})
	if len(stem) > longestStem || cull.PortableName(stem) != stem {
		t.Errorf("%q", stem)
	}
}

func TestTakeToWhereNothingCanBeWritten(t *testing.T) {
	bag := filepath.Join(t.TempDir(), "0613")
	wedding(t, bag, "Job", 1).write()
	l := open(t, Options{}, bag)
	f, err := l.Find(t.Context(), Query{Name: "412"})
	must(t, err)
	n := 0
	must(t, Take(t.Context(), filepath.Join(bag, "bagit.txt"), f.Hits, func(k Taken) {
		if n++; k.Err == nil || k.State != copy.Failed || errors.Is(k.Err, ErrNoFile) {
			t.Errorf("%+v", k)
		}
	}))
	if n != 1 {
		t.Errorf("told of %d", n)
	}
}
