package free

import (
	"bytes"
	"context"
	"crypto/sha256"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"sync"
	"testing"

	"garner/cull"
	"garner/cull/closing/record"
	"garner/cull/job"
	"garner/preview/small"
	"garner/store"
	"garner/store/archive"
	"garner/store/vfs"
	"garner/store/volume"
	"garner/testdata/testjob"
)

func TestMain(m *testing.M) { os.Exit(testjob.Run(m)) }

// wedding is a job of eight raw files with two bags, and what is known of it:
//
//	T0001 keep   T0002 drop   T0003 drop   T0004 drop, never shown
//	T0005 open   T0006 part   T0007 drop   T0008 keep
type wedding struct {
	t     testing.TB
	dir   string // of all
	root  string
	bags  []string
	ids   []cull.ID         // by number, from 0
	paths []string          // their raw files
	was   map[string][]byte // every file of the job but garner's own, before anything
	lie   map[string]string // by original, whose small picture the bags get in its place; "" = its own words before the picture of another
}

var answers = []cull.Answer{cull.Yes, cull.No, cull.No, cull.No, cull.Open, cull.Part, cull.No, cull.Yes}

var made struct {
	sync.Once
	dir string
}

// married gives a wedding of its own to a test.
func married(t testing.TB) *wedding {
	t.Helper()
	made.Do(func() { // in the folder that testjob removes at the end
		made.dir = filepath.Join(filepath.Dir(testjob.Template(t, 1, false)), "free")
		if err := os.CopyFS(made.dir, os.DirFS(testjob.Many(t, len(answers)))); err != nil {
			t.Fatal(err)
		}
	})
	w := &wedding{t: t, dir: memory(t)}
	w.root = filepath.Join(w.dir, "job")
	must(t, os.CopyFS(w.root, os.DirFS(made.dir)))
	must(t, os.WriteFile(filepath.Join(w.root, "A", "T0002.xmp"), []byte("<x/>"), 0o666))
	must(t, os.WriteFile(filepath.Join(w.root, "A", "T0002.JPG"), []byte("of the camera"), 0o666))
	w.open(func(j *job.Job) {
		frames, err := j.Frames()
		must(t, err)
		byPath := map[string]cull.ID{}
		for id, f := range frames {
			byPath[f.Files[0].Path] = id
		}
		sums := map[string]job.Sum{}
		for i, answer := range answers {
			p := fmt.Sprintf("A/T%04d.DNG", i+1)
			w.paths, w.ids = append(w.paths, p), append(w.ids, byPath[p])
			sums[p] = sha256.Sum256(w.read(p))
			if answer != cull.Open {
				w.answer(j, i, cull.Open, answer, i != 3)
			}
		}
		must(t, j.RecordManifest(sums))
	})
	w.was = w.tree(w.root)
	w.archive("one", "two")
	return w
}

// memory is a folder of the test's own, in memory where there is one: that these tests
// sync as often as the program does must not take them minutes.
func memory(t testing.TB) string {
	t.Helper()
	dir, err := os.MkdirTemp("/dev/shm", "garner-free")
	if err != nil {
		return t.TempDir()
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	return dir
}

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func (w *wedding) open(do func(*job.Job)) {
	w.t.Helper()
	j, err := job.Open(w.root, job.Options{Who: "test", Command: "test"})
	must(w.t, err)
	do(j)
	must(w.t, j.Close())
}

func (w *wedding) answer(j *job.Job, i int, before, after cull.Answer, shown bool) {
	w.t.Helper()
	_, err := j.Append(cull.Entry{Verb: cull.VerbAnswer, Pass: cull.KeepPass, Changes: []cull.Change{{Frame: w.ids[i], Before: before, After: after, Shown: shown, Explicit: true}}})
	must(w.t, err)
}

// rescue takes a dropped frame back in the pass that asks about those.
func (w *wedding) rescue(j *job.Job, i int) {
	w.t.Helper()
	_, err := j.Append(
		cull.Entry{Verb: cull.VerbPass, Args: []string{cull.RescuePass, "from", cull.KeepPass, "no", "Take it back?"}},
		cull.Entry{Verb: cull.VerbAnswer, Pass: cull.RescuePass, Changes: []cull.Change{{Frame: w.ids[i], After: cull.Yes, Shown: true, Explicit: true}}})
	must(w.t, err)
}

func (w *wedding) abs(p string) string { return filepath.Join(w.root, filepath.FromSlash(p)) }

func (w *wedding) read(p string) []byte {
	w.t.Helper()
	b, err := os.ReadFile(w.abs(p))
	must(w.t, err)
	return b
}

// tree reads every file below a folder but garner's own.
func (w *wedding) tree(root string) map[string][]byte {
	w.t.Helper()
	files := map[string][]byte{}
	must(w.t, filepath.WalkDir(root, func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() && d.Name() == ".garner" {
			if err == nil {
				err = fs.SkipDir
			}
			return err
		}
		if d.IsDir() {
			return nil
		}
		rel, err := filepath.Rel(root, p)
		must(w.t, err)
		b, err := os.ReadFile(p)
		files[filepath.ToSlash(rel)] = b
		return err
	}))
	return files
}

// archive makes bags, by hand: what is tested must not depend on who writes them.
func (w *wedding) archive(names ...string) {
	w.t.Helper()
	w.open(func(j *job.Job) {
		var dirs []string
		for _, name := range names {
			dirs = append(dirs, filepath.Join(w.dir, name, "job"))
		}
		w.bags = append(w.bags, dirs...)
		must(w.t, j.NoteBags(dirs...))
		puts, files := w.content(j)
		journal, err := j.JournalText()
		must(w.t, err)
		encoded, err := record.Content{Job: record.Job{Name: "job", Run: 1}, Files: files, Journal: journal}.Encode()
		must(w.t, err)
		for name, b := range encoded {
			if b == nil {
				b = []byte{}
			}
			puts = append(puts, archive.Put{Path: path.Join(record.RunFolder(1), name), Content: b})
		}
		places, err := archive.Grow(context.Background(), vfs.OS{}, archive.Growth{Dirs: dirs, Puts: puts})
		must(w.t, err)
		for _, p := range places {
			must(w.t, p.Err)
		}
	})
}

func (w *wedding) content(j *job.Job) (puts []archive.Put, files []record.File) {
	w.t.Helper()
	frames, err := j.Frames()
	must(w.t, err)
	no, err := j.Decisions(cull.KeepPass)
	must(w.t, err)
	for _, p := range slices.Sorted(mapKeys(w.was)) {
		data := w.was[p]
		at := path.Join(record.JobFolder, p)
		line := record.FileOf(p, at, "", store.Hex(sha256.Sum256(data)), int64(len(data)), mtime(w.t, w.abs(p)))
		if i := slices.Index(w.paths, p); i >= 0 && no[w.ids[i]].Answer == cull.No {
			f := frames[w.ids[i]]
			inside, o, err := small.Of(context.Background(), bytes.NewReader(data), int64(len(data)))
			must(w.t, err)
			o.Frame, o.Path, o.Role, o.Sum, o.Head = string(f.ID), p, "main", sha256.Sum256(data), f.Files[0].Head
			if of, lies := w.lie[p]; lies && of != "" {
				o.Path, o.Sum = of, sha256.Sum256(w.was[of])
			} else if lies {
				other := w.was["A/T0008.DNG"]
				inside, _, err = small.Of(context.Background(), bytes.NewReader(other), int64(len(other)))
				must(w.t, err)
			}
			made, err := small.Wrap(inside, o)
			must(w.t, err)
			line.Bag, line.Small = "", path.Join(record.SmallFolder, p+".jpg")
			puts = append(puts, archive.Put{Path: line.Small, Content: made})
		} else {
			puts = append(puts, archive.Put{Path: at, Source: w.abs(p)})
		}
		files = append(files, line)
	}
	return puts, files
}

// ordinary are options under which T0002, T0003 and T0007 go.
func ordinary() Options {
	return Options{Unfinished: true, VolumeOf: func(dir string) (volume.Volume, error) {
		v := volume.Volume{Disk: "disk of " + filepath.Base(filepath.Dir(dir))}
		v.Root = v.Disk
		return v, nil
	}}
}

// free looks and frees.
func (w *wedding) free(o Options) (sum Summary, plan Plan, err error) {
	w.t.Helper()
	w.open(func(j *job.Job) {
		var work *Work
		if work, err = Look(context.Background(), j, o); err == nil {
			plan = work.Plan
			sum, err = work.Free(context.Background())
		}
	})
	return sum, plan, err
}
