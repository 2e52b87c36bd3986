package archive_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"garner/store"
	"garner/store/archive"
	"garner/store/vfs"
	"garner/store/vfs/vfstest"
	"garner/testdata/testneed"
)

var ctx = context.Background()

// frames puts files of a job into a file system, and returns them as payload.
func frames(put func(path string, b []byte), names ...string) (puts []archive.Put) {
	for i, name := range names {
		b := bytes.Repeat([]byte(name+"\n"), 300*(i+1))
		put("/job/"+name, b)
		sum := sha256.Sum256(b)
		puts = append(puts, archive.Put{Path: "data/job/" + name, Source: "/job/" + name, Sum: &sum})
	}
	return puts
}

func growth(puts []archive.Put, dirs ...string) archive.Growth {
	return archive.Growth{
		Dirs: dirs,
		Puts: append(slices.Clone(puts), archive.Put{Path: "data/record/0001/job.json", Content: []byte("{}\n"), Modified: time.Unix(1e9, 0)}),
		Tags: []archive.Tag{{Path: "README.txt", Content: []byte(fmt.Sprintf("A bag with %d files.\n", len(puts)+1))}},
		Info: []archive.Field{{Label: "Bagging-Date", Value: "2031-05-03"}, {Label: "External-Identifier", Value: "a job,\nof two lines"}},
	}
}

// tree is all that lies below a folder.
func tree(m *vfstest.Mem, dir string) map[string]string {
	all := map[string]string{}
	for _, name := range m.Names(dir) {
		path := dir + "/" + name
		if b, ok := m.Get(path); ok {
			all[path] = string(b)
			continue
		}
		for p, b := range tree(m, path) {
			all[p] = b
		}
	}
	return all
}

func TestGrow(t *testing.T) {
	m := vfstest.New(vfstest.Options{})
	puts := frames(m.Put, "A/IMG_0002.CR3", "A/IMG_0001.CR3", "B/Gärten 1.NEF")
	var last archive.Progress
	g := growth(puts[:2], "/one/bag", "/two/bag")
	g.Progress = func(p archive.Progress) { last = p }
	places, err := archive.Grow(ctx, m, g)
	must(t, err)
	for _, p := range places {
		if p.Added != 3 || p.Present != 0 || p.Bytes != 300*15+600*15+3 || !p.Bypassed || p.Err != nil {
			t.Errorf("%+v", p)
		}
	}
	if last.Files != 3 || last.OfFiles != 3 || last.Bytes != last.OfBytes || last.OfBytes != 300*15+600*15+3 {
		t.Errorf("progress ended at %+v", last)
	}
	if d := cmp.Diff(relative(tree(m, "/one/bag"), "/one"), relative(tree(m, "/two/bag"), "/two")); d != "" {
		t.Error(d)
	}
	b, err := archive.Open(m, "/one/bag")
	must(t, err)
	want := []archive.Field{{Label: "Bagging-Date", Value: "2031-05-03"}, {Label: "External-Identifier", Value: "a job, of two lines"}, {Label: "Bag-Size", Value: "13.5 kB"}, {Label: "Payload-Oxum", Value: "13503.3"}}
	if d := cmp.Diff(want, b.Info); d != "" || b.Version != "1.0" || b.Growing {
		t.Error(d, b.Version)
	}
	if sum, ok := b.Sum("data/job/A/IMG_0001.CR3"); !ok || sum != *puts[1].Sum {
		t.Errorf("Sum: %x, %v", sum, ok)
	}
	if info, err := m.Stat("/one/bag/data/record/0001/job.json"); err != nil || !info.ModTime().Equal(time.Unix(1e9, 0)) {
		t.Errorf("a content's time: %v", err)
	}

	// More in another order gives the bytes of all at once.
	slices.Reverse(puts)
	places, err = archive.Grow(ctx, m, growth(puts, "/one/bag"))
	must(t, err)
	if p := places[0]; p.Added != 1 || p.Present != 3 || p.Bytes != 900*15+900 {
		t.Errorf("%+v", p)
	}
	_, err = archive.Grow(ctx, m, growth(puts, "/three/bag"))
	must(t, err)
	if d := cmp.Diff(relative(tree(m, "/three/bag"), "/three"), relative(tree(m, "/one/bag"), "/one")); d != "" {
		t.Error(d)
	}
	r, err := archive.Check(ctx, m, "/one/bag", func(p archive.Progress) { last = p })
	if err != nil || len(r.Findings) > 0 || r.Files != 4 || r.Bytes != 300*15+600*15+3+900*16 || !r.Bypassed || !r.Complete() {
		t.Errorf("%v, %+v", err, r)
	}
	if last.Files != last.OfFiles || last.Bytes != last.OfBytes || last.Files != 4+5+2-2 {
		t.Errorf("progress of a check ended at %+v", last)
	}

	// Nothing more: nothing is written, and no source is read.
	before := len(m.Log())
	_, err = archive.Grow(ctx, m, growth(puts, "/one/bag"))
	must(t, err)
	for _, e := range m.Log()[before:] {
		if e.Op == vfstest.OpWrite || e.Op == vfstest.OpCreate || e.Op == vfstest.OpRename || e.Op == vfstest.OpRead && strings.HasPrefix(e.Path, "/job/") {
			t.Errorf("%+v", e)
		}
	}
}

// relative takes a folder off the paths.
func relative(all map[string]string, dir string) map[string]string {
	cut := map[string]string{}
	for path, b := range all {
		cut[strings.TrimPrefix(path, dir)] = b
	}
	return cut
}

// What GNU coreutils say of a bag on a disk: checksums, that every file is listed,
// and the two numbers of Payload-Oxum. No implementation of BagIt that judges bags
// was to be had from Debian, the Go proxy or npm.
func TestBagByCoreutils(t *testing.T) {
	for _, tool := range []string{"sha256sum", "sha512sum", "find", "sort", "cut", "diff"} {
		testneed.Tool(t, tool)
	}
	root := t.TempDir()
	write := func(path string, b []byte) {
		path = filepath.Join(root, filepath.FromSlash(path))
		must(t, os.MkdirAll(filepath.Dir(path), 0o777))
		must(t, os.WriteFile(path, b, 0o666))
	}
	puts := frames(write, "A/IMG_0001.CR3", "A/with  blanks .jpg", "B/Gärten & Törtchen.NEF", "日本/e\u0301.xmp", "-x", "#*")
	for i := range puts {
		puts[i].Source = filepath.Join(root, filepath.FromSlash(puts[i].Source))
	}
	bag := filepath.Join(root, "bags", "a bag")
	for _, n := range []int{2, len(puts)} { // made, and grown
		_, err := archive.Grow(ctx, vfs.OS{}, growth(puts[:n], bag))
		must(t, err)
		cmd := exec.Command("sh", "-ec", `
			for n in 256 512; do
				sha${n}sum --check --strict --quiet manifest-sha$n.txt
				sha${n}sum --check --strict --quiet tagmanifest-sha$n.txt
				find data -type f | LC_ALL=C sort >../there
				cut -d' ' -f3- manifest-sha$n.txt | diff ../there -
			done
			bytes=$(find data -type f -exec cat {} + | wc -c)
			files=$(wc -l <../there)
			grep -x "Payload-Oxum: $((bytes)).$((files))" bag-info.txt`)
		cmd.Dir = bag
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Errorf("%v\n%s", err, out)
		}
		r, err := archive.Check(ctx, vfs.OS{}, bag, nil)
		if err != nil || len(r.Findings) > 0 || r.Files != n+1 {
			t.Errorf("%v, %+v", err, r)
		}
	}
	must(t, os.WriteFile(filepath.Join(bag, "data", "job", "-x"), []byte("other"), 0o666))
	cmd := exec.Command("sha512sum", "--check", "--quiet", "manifest-sha512.txt")
	cmd.Dir = bag
	if out, err := cmd.CombinedOutput(); err == nil {
		t.Errorf("a changed file passes: %s", out)
	}
}

func TestGrowNeverReplaces(t *testing.T) {
	m := vfstest.New(vfstest.Options{})
	puts := frames(m.Put, "A/1.CR3", "A/2.CR3")
	_, err := archive.Grow(ctx, m, growth(puts, "/one/bag"))
	must(t, err)
	before := tree(m, "/one/bag")
	m.Put("/job/A/1.CR3", []byte("edited"))
	more := append(frames(m.Put, "B/3.CR3"), archive.Put{Path: puts[0].Path, Source: puts[0].Source})
	places, err := archive.Grow(ctx, m, growth(more, "/one/bag", "/two/bag"))
	if !errors.Is(err, store.ErrDiffers) || places[0].Err == nil || places[1].Err != nil {
		t.Errorf("%v, %+v", err, places)
	}
	now := tree(m, "/one/bag")
	for path, b := range before {
		if now[path] != b {
			t.Errorf("%s changed", path)
		}
	}
	if b, _ := m.Get("/two/bag/" + puts[0].Path); string(b) != "edited" {
		t.Errorf("%q", b)
	}
	// What was on its way is told, and swept by the next growing without it.
	if r, err := archive.Check(ctx, m, "/one/bag", nil); err != nil || len(r.Findings) != 1 || r.Findings[0].Kind != archive.Growing {
		t.Errorf("%v, %v", err, r.Findings)
	}
	puts[0].Source, puts[0].Content, puts[0].Sum = "", []byte(before["/one/bag/data/job/A/1.CR3"]), nil
	_, err = archive.Grow(ctx, m, growth(puts, "/one/bag"))
	must(t, err)
	if d := cmp.Diff(before, tree(m, "/one/bag")); d != "" {
		t.Error(d)
	}
}

// Places that must not be grown stay as they are, and the others are whole.
func TestGrowRefuses(t *testing.T) {
	bag := func(m *vfstest.Mem) {
		_, err := archive.Grow(ctx, m, growth(frames(m.Put, "A/1.CR3"), "/one/bag"))
		must(t, err)
	}
	for name, c := range map[string]struct {
		arrange func(m *vfstest.Mem)
		says    string
	}{
		"a folder with something else": {func(m *vfstest.Mem) { m.Put("/one/bag/letter.txt", []byte("x")) }, "something else in it"},
		"a file":                       {func(m *vfstest.Mem) { m.Put("/one/bag", []byte("x")) }, "not a directory"},
		"a manifest edited": {func(m *vfstest.Mem) {
			bag(m)
			m.Put("/one/bag/manifest-sha256.txt", []byte(strings.Repeat("0", 64)+"  data/job/A/1.CR3\n"))
		}, "is not in every manifest"},
		"a checksum edited": {func(m *vfstest.Mem) {
			bag(m)
			b, _ := m.Get("/one/bag/manifest-sha512.txt")
			b = bytes.Clone(b)
			b[0] ^= 1
			m.Put("/one/bag/manifest-sha512.txt", b)
		}, "manifest-sha512.txt was changed"},
		"a file gone": {func(m *vfstest.Mem) { bag(m); m.Remove("/one/bag/data/job/A/1.CR3") }, "data/job/A/1.CR3 is missing"},
		"a file of another size": {func(m *vfstest.Mem) {
			bag(m)
			m.Put("/one/bag/data/job/A/1.CR3", []byte("short"))
		}, "says another Payload-Oxum"},
		"a link": {func(m *vfstest.Mem) {
			bag(m)
			m.Put("/elsewhere/x", nil)
			must(t, m.Symlink("/elsewhere", "/one/bag/data/out"))
		}, "is not a regular file"},
		"data is a link": {func(m *vfstest.Mem) {
			m.Put("/elsewhere/x", nil)
			m.Put("/one/bag/growing.txt", []byte("Files are being added to this bag, or that was interrupted. Archiving the job again completes it.\nadding data/x\n"))
			must(t, m.Symlink("/elsewhere", "/one/bag/data"))
		}, "is not a regular file"},
		"growing.txt of somebody else": {func(m *vfstest.Mem) { bag(m); m.Put("/one/bag/growing.txt", []byte("adding ../../job/A/1.CR3\n")) }, "growing.txt is not as garner wrote it"},
		"a bag of an older version": {func(m *vfstest.Mem) {
			bag(m)
			m.Put("/one/bag/bagit.txt", []byte("BagIt-Version: 0.97\nTag-File-Character-Encoding: UTF-8\n"))
		}, "is no bag of garner"},
		"a tag file that is not ours": {func(m *vfstest.Mem) {
			g := growth(frames(m.Put, "A/1.CR3"), "/one/bag")
			g.Tags = nil
			_, err := archive.Grow(ctx, m, g)
			must(t, err)
			m.Put("/one/bag/README.txt", []byte("mine"))
		}, "exists and differs"},
	} {
		m := vfstest.New(vfstest.Options{})
		c.arrange(m)
		before := tree(m, "/one")
		puts := frames(m.Put, "A/1.CR3", "A/2.CR3")
		places, err := archive.Grow(ctx, m, growth(puts, "/one/bag", "/two/bag"))
		if err == nil || places[0].Err == nil || !strings.Contains(places[0].Err.Error(), c.says) {
			t.Errorf("%s: %v", name, err)
		}
		if d := cmp.Diff(before, tree(m, "/one")); d != "" {
			t.Errorf("%s: %s", name, d)
		}
		if r, err := archive.Check(ctx, m, "/two/bag", nil); places[1].Err != nil || err != nil || len(r.Findings) > 0 || r.Files != 3 {
			t.Errorf("%s: the other place: %+v, %v", name, places[1], err)
		}
	}
}

func TestGrowRefusesNames(t *testing.T) {
	m := vfstest.New(vfstest.Options{})
	x := func(path string) archive.Put { return archive.Put{Path: path, Content: []byte("x")} }
	for _, g := range []archive.Growth{
		{Dirs: nil},
		{Dirs: []string{"/a", "/a/"}},
		{Puts: []archive.Put{x("job/1")}},
		{Puts: []archive.Put{x("data/../1")}},
		{Puts: []archive.Put{x("data//1")}},
		{Puts: []archive.Put{x("data/")}},
		{Puts: []archive.Put{x("data/50%")}},
		{Puts: []archive.Put{x(`data/a\b`)}},
		{Puts: []archive.Put{x("data/a\nb")}},
		{Puts: []archive.Put{x("data/\xff")}},
		{Puts: []archive.Put{x("data/a"), x("data/A")}},
		{Puts: []archive.Put{x("data/\u00e9"), x("data/e\u0301")}},
		{Puts: []archive.Put{{Path: "data/a"}}},
		{Puts: []archive.Put{{Path: "data/a", Source: "/b", Content: []byte("x")}}},
		{Tags: []archive.Tag{{Path: "data/README.txt"}}},
		{Tags: []archive.Tag{{Path: "Manifest-sha256.txt"}}},
		{Tags: []archive.Tag{{Path: "growing.txt"}}},
		{Tags: []archive.Tag{{Path: "../README.txt"}}},
	} {
		if g.Dirs == nil && len(g.Puts)+len(g.Tags) > 0 {
			g.Dirs = []string{"/bag"}
		}
		if _, err := archive.Grow(ctx, m, g); err == nil {
			t.Errorf("%+v was archived", g)
		}
	}
	if names := m.Names("/"); len(names) > 0 {
		t.Errorf("something was written: %v", names)
	}
}

// A full disk fails alone, and goes on when there is room.
func TestFullDisk(t *testing.T) {
	for _, op := range []vfstest.Op{vfstest.OpPreallocate, vfstest.OpWrite} {
		m := vfstest.New(vfstest.Options{})
		puts := frames(m.Put, "A/1.CR3", "A/2.CR3", "A/3.CR3")
		_, err := archive.Grow(ctx, m, growth(puts[:1], "/one/bag", "/two/bag"))
		must(t, err)
		m.Inject(vfstest.Fault{Op: op, Path: "/one/bag/data/job", Err: syscall.ENOSPC, Stay: true})
		places, err := archive.Grow(ctx, m, growth(puts, "/one/bag", "/two/bag"))
		if store.Class(err) != store.NoSpace || store.Class(places[0].Err) != store.NoSpace || places[1].Err != nil {
			t.Fatalf("%s: %v, %+v", op, err, places)
		}
		if r, err := archive.Check(ctx, m, "/two/bag", nil); err != nil || len(r.Findings) > 0 || r.Files != 4 {
			t.Errorf("%s: %v, %+v", op, err, r)
		}
		told(t, m, "/one/bag", 2)
		m.Heal()
		_, err = archive.Grow(ctx, m, growth(puts, "/one/bag"))
		must(t, err)
		if d := cmp.Diff(relative(tree(m, "/two/bag"), "/two"), relative(tree(m, "/one/bag"), "/one")); d != "" {
			t.Error(op, d)
		}
	}
}

// told looks whether an interrupted growing is said in one sentence, and that what
// was listed is whole.
func told(t *testing.T, m vfs.FS, dir string, files int) {
	t.Helper()
	r, err := archive.Check(ctx, m, dir, nil)
	if err != nil || len(r.Findings) != 1 || r.Findings[0].String() != "the bag is being added to, or that was interrupted; archiving the job again completes it" || r.Files != files {
		t.Errorf("%s: %v, %d files, %v", dir, err, r.Files, r.Findings)
	}
}

func TestSourceFails(t *testing.T) {
	for name, arrange := range map[string]func(m *vfstest.Mem){
		"unreadable": func(m *vfstest.Mem) { m.Break("/job/A/2.CR3", 0) },
		"changed":    func(m *vfstest.Mem) { m.Put("/job/A/2.CR3", bytes.Repeat([]byte("?"), 4800)) },
		"gone":       func(m *vfstest.Mem) { m.Remove("/job/A/2.CR3") },
	} {
		m := vfstest.New(vfstest.Options{})
		puts := frames(m.Put, "A/1.CR3", "A/2.CR3")
		_, err := archive.Grow(ctx, m, growth(puts[:1], "/one/bag", "/two/bag"))
		must(t, err)
		good, _ := m.Get("/job/A/2.CR3")
		good = bytes.Clone(good)
		arrange(m)
		places, err := archive.Grow(ctx, m, growth(puts, "/one/bag", "/two/bag"))
		var e *store.Error
		if !errors.As(err, &e) || e.Path != "/job/A/2.CR3" || places[0].Err == nil || places[1].Err == nil || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %v", name, err)
		}
		told(t, m, "/one/bag", 2)
		m.Remove("/job/A/2.CR3")
		m.Put("/job/A/2.CR3", good)
		if _, err := archive.Grow(ctx, m, growth(puts, "/one/bag", "/two/bag")); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A source that fails ends what is under way beside it; it is the source that is told of.
func TestSourceFailsAmongMany(t *testing.T) {
	for round := range 40 {
		m := vfstest.New(vfstest.Options{})
		var names []string
		for n := range 12 {
			names = append(names, fmt.Sprintf("A/%02d.CR3", n))
		}
		puts := frames(m.Put, names...)
		wrong := fmt.Sprintf("/job/A/%02d.CR3", round%12)
		m.Put(wrong, []byte("other bytes"))
		places, _ := archive.Grow(ctx, m, growth(puts, "/one/bag", "/two/bag"))
		for _, p := range places {
			var e *store.Error
			if !errors.As(p.Err, &e) || e.Path != wrong {
				t.Fatalf("round %d: %v", round, p.Err)
			}
		}
	}
}

// A source that was edited after its checksum was taken is told of as such, and not
// as a damaged bag.
func TestEditedSource(t *testing.T) {
	m := vfstest.New(vfstest.Options{})
	puts := frames(m.Put, "A/1.CR3")
	_, err := archive.Grow(ctx, m, growth(puts, "/one/bag"))
	must(t, err)
	m.Put("/job/A/1.CR3", []byte("shorter"))
	_, err = archive.Grow(ctx, m, growth(puts, "/one/bag"))
	if store.Class(err) != store.Mismatch || !strings.Contains(err.Error(), "/job/A/1.CR3") {
		t.Errorf("%v", err)
	}
}

// What is made is made once for all places, when it is needed.
func TestMake(t *testing.T) {
	m := vfstest.New(vfstest.Options{})
	calls, fail := 0, error(nil)
	put := archive.Put{Path: "data/small/1.jpg", Modified: time.Unix(1e9, 0), Make: func(context.Context) ([]byte, error) {
		calls++
		return []byte("small"), fail
	}}
	var last archive.Progress
	g := archive.Growth{Dirs: []string{"/one/bag", "/two/bag"}, Puts: []archive.Put{put}, Progress: func(p archive.Progress) { last = p }}
	grow := func(want int) {
		t.Helper()
		calls = 0
		if _, err := archive.Grow(ctx, m, g); err != nil || calls != want {
			t.Errorf("%v, made %d times, want %d", err, calls, want)
		}
	}
	grow(1)
	if b, _ := m.Get("/two/bag/data/small/1.jpg"); string(b) != "small" || last.OfBytes != 5 || last.Bytes != 5 {
		t.Errorf("%q, %+v", b, last)
	}
	grow(1) // its sum is not known
	sum := sha256.Sum256([]byte("small"))
	g.Puts[0].Sum = &sum
	grow(0)
	sum[0]++
	if _, err := archive.Grow(ctx, m, g); !errors.Is(err, store.ErrDiffers) {
		t.Errorf("%v", err)
	}
	g.Dirs = []string{"/three/bag"}
	if _, err := archive.Grow(ctx, m, g); store.Class(err) != store.Mismatch {
		t.Errorf("%v", err)
	}
	g.Puts[0].Sum, fail = nil, errors.New("no preview")
	if _, err := archive.Grow(ctx, m, g); !errors.Is(err, fail) {
		t.Errorf("%v", err)
	}
}

func TestGrowIsCancelled(t *testing.T) {
	m := vfstest.New(vfstest.Options{})
	puts := frames(m.Put, "A/1.CR3", "A/2.CR3", "A/3.CR3", "A/4.CR3", "A/5.CR3")
	stop, cancel := context.WithCancel(ctx)
	g := growth(puts, "/one/bag")
	g.Progress = func(p archive.Progress) {
		if p.Files == 1 {
			cancel()
		}
	}
	if _, err := archive.Grow(stop, m, g); !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
	told(t, m, "/one/bag", 0)
	_, err := archive.Grow(ctx, m, growth(puts, "/one/bag"))
	must(t, err)
	stop, cancel = context.WithCancel(ctx)
	if _, err := archive.Check(stop, m, "/one/bag", func(archive.Progress) { cancel() }); !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
}
