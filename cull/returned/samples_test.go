package returned

import (
	"context"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/prepare"
	"garner/testdata/testneed"
)

// Real files of many bodies, photographs, and frames of videos from a camera that
// stands still, as a job; edited, renamed and without metadata, nothing comes back as
// another frame. Likeness alone has to do: where several files show the same it stays
// open, and of these 18 five are one picture, three a group, and six of a video.
func TestSamples(t *testing.T) {
	dir := t.TempDir()
	samples := testneed.Samples(t)
	for _, from := range []string{"raw", "photos", "bursts"} {
		n := 0
		err := filepath.WalkDir(filepath.Join(samples, from), func(p string, d fs.DirEntry, err error) error {
			if err != nil || !d.Type().IsRegular() || from == "bursts" && n > 5 {
				return err
			}
			n++
			rel, _ := filepath.Rel(samples, p)
			to := filepath.Join(dir, rel)
			if err := os.MkdirAll(filepath.Dir(to), 0o777); err != nil {
				return err
			}
			b, err := os.ReadFile(p)
			if err != nil {
				return err
			}
			return os.WriteFile(to, b, 0o666)
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	j, err := job.Open(dir, job.Options{Who: "test"})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := prepare.Run(context.Background(), j, prepare.Options{}); err != nil {
		t.Fatal(err)
	}
	j.Close()
	e := newExporter(t, dir)
	truth := map[string][]cull.ID{}
	for i, id := range shown(e) {
		as := edits[i%len(edits)]
		p := fmt.Sprintf("finished/web-%03d.jpg", i)
		e.write(id, as, p)
		truth[p] = []cull.ID{id}
	}
	m := e.match(Options{})
	if len(m.Failed) > 0 || len(m.Pictures) < 15 {
		t.Fatalf("%d pictures, %v", len(m.Pictures), m.Failed)
	}
	name := func(id cull.ID) string { return e.frame[id].Name }
	var want [][]cull.ID
	for _, tie := range m.Ties {
		want = append(want, truth[tie.Path])
	}
	c := count(t, "samples, nothing but pixels", m.Ties, want, name)
	if c.wrong > 0 || c.right < 4 {
		t.Errorf("%+v", c)
	}
	named := slices.Clone(m.Pictures)
	for i := range named {
		stem := path.Base(name(want[i][0]))
		renamed(&named[i], strings.TrimSuffix(stem, path.Ext(stem))+"_bw.jpg")
	}
	k, err := framesOf(e.j)
	if err != nil {
		t.Fatal(err)
	}
	c = count(t, "samples, with their names", Find(named, k.frames).Ties, want, name)
	if c.wrong > 0 || c.right < 14 {
		t.Errorf("with names %+v", c)
	}
}
