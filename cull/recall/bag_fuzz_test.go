package recall

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"garner/cull/closing/record"
)

// FuzzBag reads any record: what becomes of it is a part that can be read again, frame by
// frame, and names no file outside of the bag.
func FuzzBag(f *testing.F) {
	b := wedding(f, f.TempDir(), "Job", 1)
	b.write()
	dir := filepath.Join(b.dir, filepath.FromSlash(record.RunFolder(1)))
	var seed [4][]byte
	names := [...]string{record.JobName, record.FramesName, record.FilesName, record.PicturesName}
	for i, name := range names {
		text, err := os.ReadFile(filepath.Join(dir, name))
		must(f, err)
		seed[i] = text
	}
	f.Add(seed[0], seed[1], seed[2], seed[3])
	line := func(n int) []byte { return append(bytes.SplitAfter(seed[n], []byte("\n"))[0], '\n') }
	f.Add([]byte(`{"v":1,"run":1,"frames":1}`), line(1), line(2), line(3))
	f.Add([]byte(`{"v":1,"run":1,"frames":1}`), []byte(`{"id":"0123456789abcdef","frame":"A","answers":{"keep":null}}`), []byte(nil), []byte(`{"path":"a","frames":["x"]}`))
	f.Fuzz(func(t *testing.T, job, frames, files, pictures []byte) {
		bag := t.TempDir()
		dir := filepath.Join(bag, filepath.FromSlash(record.RunFolder(1)))
		must(t, os.MkdirAll(dir, 0o777))
		for i, text := range [...][]byte{job, frames, files, pictures} {
			must(t, os.WriteFile(filepath.Join(dir, names[i]), text, 0o666))
		}
		r, err := record.Open(bag)
		if err != nil {
			return
		}
		for _, b := range r.Job.Bodies {
			b.Body()
		}
		text, err := bagPart(t.Context(), r, [32]byte{})
		if err != nil {
			return
		}
		p, err := openPart(bytes.NewReader(text), int64(len(text)))
		must(t, err)
		a, err := p.about()
		must(t, err)
		c, err := p.columns()
		must(t, err)
		for row := range p.rows {
			d, err := p.detail(row)
			must(t, err)
			here := &place{dir: bag}
			here.hit(&a, &c, d, row)
			for _, file := range here.filesOf(d) {
				if rel, err := filepath.Rel(bag, file.Path); err != nil || !filepath.IsLocal(rel) {
					t.Fatalf("%q is not in the bag", file.Path)
				}
			}
		}
		for _, q := range []Query{{}, {Name: "0"}, {Name: "a", Scene: "k"}} {
			if filter, may := q.filterFor(&a, "job"); may {
				_, err := filter.rows(p, &c)
				must(t, err)
			}
		}
	})
}
