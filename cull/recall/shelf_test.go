package recall

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"garner/cull/closing/record"
)

// shelfOf makes a shelf of three bags, one of them a level deeper, and a folder of
// another kind.
func shelfOf(t testing.TB) string {
	t.Helper()
	dir, err := filepath.EvalSymlinks(t.TempDir())
	must(t, err)
	for i, rel := range []string{"0613", "2025/0714", "2025/0815"} {
		wedding(t, filepath.Join(dir, filepath.FromSlash(rel)), "Job "+filepath.Base(rel), 1+100*i).write()
	}
	must(t, os.MkdirAll(filepath.Join(dir, "letters", "2024"), 0o777))
	must(t, os.WriteFile(filepath.Join(dir, "notes.txt"), nil, 0o666))
	return dir
}

// index lists the files of an index with their contents.
func index(t testing.TB, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	entries, err := os.ReadDir(dir)
	must(t, err)
	for _, e := range entries {
		text, err := os.ReadFile(filepath.Join(dir, e.Name()))
		must(t, err)
		out[e.Name()] = string(text)
	}
	return out
}

// opened opens a shelf and counts the records that had to be read.
func opened(t testing.TB, dir, cache string) (l *Library, read int) {
	t.Helper()
	return open(t, Options{Cache: cache, Progress: func(done, total int) { read = total }}, dir), read
}

func TestShelf(t *testing.T) {
	dir := shelfOf(t)
	l, read := opened(t, dir, "")
	places, frames := l.Places()
	if places != 3 || frames != 24 || read != 3 {
		t.Fatalf("%d bags with %d frames, %d read", places, frames, read)
	}
	want := []string{"Job 0613 A/IMG_0412 original", "Job 0714 A/IMG_0412 original", "Job 0815 A/IMG_0412 original"}
	if got := found(t, l, Query{Name: "412"}); !slices.Equal(got, want) {
		t.Errorf("%q", got)
	}
	before := index(t, filepath.Join(dir, IndexFolder))
	if len(before) != 3 {
		t.Errorf("the index has %d files", len(before))
	}
	if l, read = opened(t, dir, ""); read != 0 {
		t.Errorf("nothing changed, and %d are read", read)
	}
	if got := found(t, l, Query{Name: "412"}); !slices.Equal(got, want) {
		t.Errorf("from the index: %q", got)
	}

	// A bag that has grown is read anew, the others are not.
	b := wedding(t, filepath.Join(dir, "0613"), "Job 0613", 1)
	b.content.Job.Run = 2
	b.content.Frames[2].Name = "A/IMG_0413"
	b.write()
	if l, read = opened(t, dir, ""); read != 1 || !slices.Equal(found(t, l, Query{Name: "413"}), []string{"Job 0613 A/IMG_0413 original"}) {
		t.Errorf("after a further run %d are read", read)
	}

	// A bag that has left the shelf leaves the index.
	must(t, os.RemoveAll(filepath.Join(dir, "2025", "0714")))
	if l, read = opened(t, dir, ""); read != 0 || len(found(t, l, Query{Job: "0714"})) > 0 || len(index(t, filepath.Join(dir, IndexFolder))) != 2 {
		t.Errorf("of a bag that is gone something stays")
	}

	// An index is equal whoever makes it.
	after := index(t, filepath.Join(dir, IndexFolder))
	must(t, os.RemoveAll(filepath.Join(dir, IndexFolder)))
	opened(t, dir, "")
	for name, text := range index(t, filepath.Join(dir, IndexFolder)) {
		if after[name] != text {
			t.Errorf("%s is another one when it is made anew", name)
		}
	}
}

// Wherever a bit of an index is wrong, what is found is right, and so is the index
// afterwards.
func TestDamagedIndex(t *testing.T) {
	dir := shelfOf(t)
	l, _ := opened(t, dir, "")
	want := found(t, l, Query{})
	folder := filepath.Join(dir, IndexFolder)
	whole := index(t, folder)
	name := partName("0613")
	for at := 0; at < len(whole[name]); at += 29 {
		bad := []byte(whole[name])
		bad[at] ^= 0x41
		must(t, os.WriteFile(filepath.Join(folder, name), bad, 0o666))
		l, _ := opened(t, dir, "")
		if got := found(t, l, Query{}); !slices.Equal(got, want) {
			t.Fatalf("byte %d: %q", at, got)
		}
		// Asked for by name, too: names are read only then.
		if got := found(t, l, Query{Name: "4123", Job: "0613"}); !slices.Equal(got, []string{"Job 0613 B/IMG_4123 original"}) {
			t.Fatalf("byte %d: %q", at, got)
		}
	}
	for _, text := range []string{"", "garnpart", whole[name][:len(whole[name])-1], whole[name] + "x", whole[partName("2025/0714")]} {
		must(t, os.WriteFile(filepath.Join(folder, name), []byte(text), 0o666))
		l, read := opened(t, dir, "")
		if got := found(t, l, Query{}); !slices.Equal(got, want) || read != 1 {
			t.Errorf("an index of %d bytes: %q", len(text), got)
		}
	}
	if after := index(t, folder); after[name] != whole[name] {
		t.Error("the index was not mended")
	}
}

// One broken bag is listed with the reason, and the others are searched.
func TestBrokenBags(t *testing.T) {
	dir := shelfOf(t)
	bag := filepath.Join(dir, "0613")
	run := filepath.Join(bag, filepath.FromSlash(record.RunFolder(1)))
	for what, c := range map[string]struct {
		breaks func()
		says   string
	}{
		"job.json":         {func() { must(t, os.WriteFile(filepath.Join(run, record.JobName), []byte("{"), 0o666)) }, "is not what was written"},
		"a line of frames": {func() { must(t, os.WriteFile(filepath.Join(run, record.FramesName), []byte("{\n"), 0o666)) }, "frames.jsonl, line 1"},
		"half the frames": {func() {
			text, err := os.ReadFile(filepath.Join(run, record.FramesName))
			must(t, err)
			must(t, os.WriteFile(filepath.Join(run, record.FramesName), text[:bytes.IndexByte(text, '\n')+1], 0o666))
		}, "has 1 frames, where job.json says 8"},
		"an id": {func() {
			must(t, os.WriteFile(filepath.Join(run, record.FramesName), []byte(`{"v":1,"id":"../x","frame":"A/1","time":{},"corrected":{},"shot":{}}`+"\n"), 0o666))
		}, "is no frame"},
		"a path": {func() {
			must(t, os.WriteFile(filepath.Join(run, record.FilesName), []byte(`{"v":1,"path":"../../x","bag":"data/job/x"}`+"\n"), 0o666))
		}, "is no path in a job"},
		"no frames":  {func() { must(t, os.Remove(filepath.Join(run, record.FramesName))) }, "its record has no frames.jsonl"},
		"no record":  {func() { must(t, os.RemoveAll(filepath.Join(bag, "data", "record"))) }, "is no archived job"},
		"only a tag": {func() { must(t, os.RemoveAll(filepath.Join(bag, "data"))) }, "is no archived job"},
	} {
		must(t, os.RemoveAll(bag))
		wedding(t, bag, "Job 0613", 1).write()
		c.breaks()
		l, err := Open(t.Context(), []string{dir}, Options{})
		must(t, err)
		if broken := l.Broken(); len(broken) != 1 || broken[0].Dir != bag || !strings.Contains(broken[0].Err.Error(), c.says) {
			t.Errorf("%s: %v", what, broken)
		}
		if got := found(t, l, Query{Name: "412"}); len(got) != 2 {
			t.Errorf("%s: %q", what, got)
		}
		l, err = Open(t.Context(), []string{bag}, Options{})
		if err != nil || len(l.Broken()) != 1 {
			t.Errorf("%s, by itself: %v, %v", what, err, l.Broken())
		}
	}
	empty := t.TempDir()
	l, err := Open(t.Context(), []string{empty, filepath.Join(empty, "none"), filepath.Join(dir, "notes.txt"), dir}, Options{})
	must(t, err)
	if len(l.Broken()) != 4 || !errors.Is(l.Broken()[0].Err, ErrNoPlace) || !errors.Is(l.Broken()[1].Err, os.ErrNotExist) || len(found(t, l, Query{Name: "412"})) != 2 {
		t.Errorf("%v", l.Broken())
	}
}

// Where a shelf cannot be written its index is in the user's cache, and without one in
// memory.
func TestShelfThatIsReadOnly(t *testing.T) {
	dir := shelfOf(t)
	// A file under the folder's name keeps everybody from writing into it, root too.
	must(t, os.WriteFile(filepath.Join(dir, IndexFolder), []byte("x"), 0o666))
	cache := filepath.Join(t.TempDir(), "cache")
	if _, read := opened(t, dir, cache); read != 3 {
		t.Errorf("%d are read", read)
	}
	l, read := opened(t, dir, cache)
	if got := found(t, l, Query{Name: "412"}); read != 0 || len(got) != 3 || len(l.Remarks()) > 0 {
		t.Errorf("%d are read again, %q, %q", read, got, l.Remarks())
	}
	must(t, os.RemoveAll(filepath.Join(dir, "0613")))
	l, _ = opened(t, dir, cache)
	if got := found(t, l, Query{Name: "412"}); len(got) != 2 {
		t.Errorf("%q", got)
	}
	for range 2 {
		l, read = opened(t, dir, "")
		if got := found(t, l, Query{Name: "412"}); read != 2 || len(got) != 2 || len(l.Remarks()) != 1 {
			t.Errorf("in memory %d are read, %q, %q", read, got, l.Remarks())
		}
	}
	if text, err := os.ReadFile(filepath.Join(dir, IndexFolder)); err != nil || string(text) != "x" {
		t.Errorf("%q, %v", text, err)
	}
}

// A shelf may come from anybody: no link in it makes an index write elsewhere.
func TestLinksInAShelf(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("links need rights there")
	}
	outside := t.TempDir()
	victim := filepath.Join(outside, "victim")
	must(t, os.WriteFile(victim, []byte("precious"), 0o666))

	dir := shelfOf(t)
	must(t, os.Mkdir(filepath.Join(dir, IndexFolder), 0o777))
	must(t, os.Symlink(victim, filepath.Join(dir, IndexFolder, partName("0613"))))
	l, _ := opened(t, dir, "")
	if got := found(t, l, Query{Name: "412"}); len(got) != 3 {
		t.Errorf("%q", got)
	}

	dir = shelfOf(t)
	must(t, os.Symlink(outside, filepath.Join(dir, IndexFolder)))
	l, _ = opened(t, dir, "")
	if got := found(t, l, Query{Name: "412"}); len(got) != 3 {
		t.Errorf("%q", got)
	}
	if files := index(t, outside); len(files) != 1 || files["victim"] != "precious" {
		t.Errorf("what is outside has become %q", files)
	}
}

// Several may open one shelf at once while bags come and go, and all find what is there.
func TestShelfOpenedBySeveral(t *testing.T) {
	dir := shelfOf(t)
	want := []string{"Job 0613 A/IMG_0412 original", "Job 0714 A/IMG_0412 original"}
	var wait sync.WaitGroup
	for range 4 {
		wait.Go(func() {
			for range 25 {
				l, err := Open(t.Context(), []string{dir}, Options{})
				if err != nil {
					t.Error(err)
					return
				}
				f, err := l.Find(t.Context(), Query{Name: "412"})
				names := []string{}
				for _, h := range f.Hits {
					names = append(names, fmt.Sprintf("%s %s %s", h.Job, h.Name, h.Best.Kind))
				}
				if err != nil || len(names) < 2 || !slices.Equal(names[:2], want) {
					t.Errorf("%q, %v, %v", names, err, l.Broken())
				}
			}
		})
	}
	wait.Go(func() {
		for i := range 40 {
			if i%2 == 0 {
				os.RemoveAll(filepath.Join(dir, IndexFolder))
				continue
			}
			name := filepath.Join(dir, filepath.FromSlash("2025/0815/"+record.RunFolder(1)), record.JobName)
			os.Chtimes(name, time.Time{}, weddingDay.Add(time.Duration(i)*time.Second))
		}
	})
	wait.Wait()
	opened(t, dir, "")
	if files := index(t, filepath.Join(dir, IndexFolder)); len(files) != 3 {
		t.Errorf("the index has %d files", len(files))
	}
}
