package closing

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"

	"github.com/google/go-cmp/cmp"

	"garner/cull"
	"garner/cull/closing/record"
	"garner/cull/job"
	"garner/cull/prepare"
	"garner/preview/small"
	"garner/store"
	"garner/store/archive"
	"garner/store/vfs"
	"garner/store/volume"
	"garner/testdata/testjob"
	"garner/testdata/testneed"
)

func TestMain(m *testing.M) { os.Exit(testjob.Run(m)) }

// bench is a job of some frames of the invented wedding, and a folder for its bags.
type bench struct {
	t     *testing.T
	dir   string
	shelf string
	j     *job.Job
	names []string // of the frames, sorted
	ids   map[string]cull.ID
}

const demoFrames = 12

func newBench(t *testing.T) *bench {
	t.Helper()
	b := &bench{t: t, dir: testjob.Demo(t, demoFrames, true), shelf: filepath.Join(t.TempDir(), "shelf")}
	b.open()
	return b
}

func (b *bench) open() {
	b.t.Helper()
	j, err := job.Open(b.dir, job.Options{Who: "test"})
	if err != nil {
		b.t.Fatal(err)
	}
	b.t.Cleanup(func() { j.Close() })
	b.j = j
	if _, err := prepare.Run(context.Background(), j, prepare.Options{}); err != nil { // the copy has times of its own
		b.t.Fatal(err)
	}
	frames, err := j.Frames()
	if err != nil {
		b.t.Fatal(err)
	}
	b.ids, b.names = map[string]cull.ID{}, nil
	for id, f := range frames {
		b.ids[f.Name] = id
		b.names = append(b.names, f.Name)
	}
	slices.Sort(b.names)
}

// decide answers for frames, by their place among the names.
func (b *bench) decide(a cull.Answer, frames ...int) {
	b.t.Helper()
	e := cull.Entry{Verb: cull.VerbAnswer, Pass: cull.KeepPass}
	for _, n := range frames {
		id := b.ids[b.names[n]]
		now, err := b.j.Decisions(cull.KeepPass)
		if err != nil {
			b.t.Fatal(err)
		}
		e.Changes = append(e.Changes, cull.Change{Frame: id, Before: now[id].Answer, After: a, Shown: true, Explicit: true})
	}
	if _, err := b.j.Append(e); err != nil {
		b.t.Fatal(err)
	}
}

// main is the path of a frame's main file.
func (b *bench) main(n int) string {
	b.t.Helper()
	frames, err := b.j.Frames()
	if err != nil {
		b.t.Fatal(err)
	}
	return frames[b.ids[b.names[n]]].Files[0].Path
}

func (b *bench) run(o Options) Summary {
	b.t.Helper()
	if o.Dirs == nil {
		o.Dirs = []string{b.shelf}
	}
	sum, err := Run(context.Background(), b.j, o)
	if err != nil {
		b.t.Fatal(err)
	}
	for _, p := range sum.Places {
		if p.Err == nil && !o.DryRun {
			b.valid(p.Dir)
		}
	}
	return sum
}

// valid holds a bag to what BagIt asks for, by package archive and by sha256sum.
func (b *bench) valid(dir string) {
	b.t.Helper()
	report, err := archive.Check(context.Background(), vfs.OS{}, dir, nil)
	if err != nil || len(report.Findings) > 0 {
		b.t.Fatalf("%s: %v %v", dir, err, report.Findings)
	}
}

func (b *bench) bag() string { return filepath.Join(b.shelf, filepath.Base(b.dir)) }

func (b *bench) write(path, text string) {
	b.t.Helper()
	path = filepath.Join(b.dir, filepath.FromSlash(path))
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		b.t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
		b.t.Fatal(err)
	}
}

// tree is every file below a folder with the sum of its bytes.
func tree(t *testing.T, dir string) map[string]string {
	t.Helper()
	all := map[string]string{}
	err := filepath.WalkDir(dir, func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := os.ReadFile(p)
		s := sha256.Sum256(text)
		rel, _ := filepath.Rel(dir, p)
		all[filepath.ToSlash(rel)] = hex.EncodeToString(s[:])
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

func payload(all map[string]string) []string {
	var paths []string
	for p := range all {
		if strings.HasPrefix(p, "data/") && !strings.HasPrefix(p, record.Folder) {
			paths = append(paths, p)
		}
	}
	slices.Sort(paths)
	return paths
}

// Everything is in the bag but the originals of dropped frames, of which there are small
// pictures; the record says where, and of what.
func TestArchive(t *testing.T) {
	b := newBench(t)
	b.decide(cull.Yes, 0, 1, 2)
	b.decide(cull.No, 3, 4)
	b.write("finished/one.txt", "not a picture")
	b.write("garner.toml", "goal = 3\n")
	sum := b.run(Options{})
	var want []string
	for p := range tree(t, b.dir) {
		switch {
		case strings.HasPrefix(p, ".garner/"):
		case p == b.main(3), p == b.main(4):
			want = append(want, "data/small/"+p+".jpg")
		default:
			want = append(want, "data/job/"+p)
		}
	}
	slices.Sort(want)
	have := tree(t, b.bag())
	if d := cmp.Diff(want, payload(have)); d != "" {
		t.Fatal(d)
	}
	r, err := record.Open(b.bag())
	if err != nil || r.Job.Run != 1 || sum.Run != 1 || !sum.New || r.Job.Frames != len(b.names) || r.Job.Name != filepath.Base(b.dir) {
		t.Fatalf("%+v, %v", r, err)
	}
	b.recordHolds(r, have)
	if sum.Files[Smaller] != 2 || sum.Files[Failed] != 0 || sum.Safe || len(sum.Why) == 0 {
		t.Errorf("%+v", sum)
	}
}

// recordHolds compares a record with the job and the bag.
func (b *bench) recordHolds(r *record.Record, have map[string]string) {
	t := b.t
	t.Helper()
	mine := tree(t, b.dir)
	for f, err := range r.Files() {
		if err != nil {
			t.Fatal(err)
		}
		if f.SHA256 != mine[f.Path] || f.Bag == "" && f.Small == "" || f.Bag != "" && have[f.Bag] != f.SHA256 || f.Small != "" && have[f.Small] == "" {
			t.Errorf("%+v", f)
		}
		delete(mine, f.Path)
	}
	for p := range mine {
		if !strings.HasPrefix(p, ".garner/") {
			t.Errorf("%s is in no line", p)
		}
	}
	w, err := b.j.Whole()
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for f, err := range r.Frames() {
		if err != nil {
			t.Fatal(err)
		}
		k, err := f.Known()
		if err != nil {
			t.Fatal(err)
		}
		was := w.Frames[f.ID]
		if k.Frame.Name != was.Name || f.Order != n || k.Look != w.Looks[f.ID] || f.Thumb == nil {
			t.Errorf("%+v", f)
		}
		if thumb, err := r.Thumb(*f.Thumb); err != nil || len(thumb) < 100 || thumb[0] != 0xFF || thumb[1] != 0xD8 {
			t.Errorf("%s: %v", f.Name, err)
		}
		dropped := w.Answers[cull.KeepPass][f.ID].Answer == cull.No
		if dropped != (f.Small != nil) {
			t.Errorf("%s: %+v", f.Name, f.Small)
		}
		if f.Small != nil {
			b.smallHolds(r.Bag, f)
		}
		n++
	}
	if n != len(w.Frames) {
		t.Errorf("%d lines of %d frames", n, len(w.Frames))
	}
	if j, err := r.Journal(); err != nil || string(j) != string(w.Journal) {
		t.Errorf("journal: %v", err)
	}
}

// smallHolds opens the small picture of a frame.
func (b *bench) smallHolds(bag string, f record.Frame) {
	t := b.t
	t.Helper()
	data, err := os.ReadFile(filepath.Join(bag, filepath.FromSlash(f.Small.Path)))
	if err != nil {
		t.Fatal(err)
	}
	o, err := small.Check(data)
	if err != nil || o.Frame != string(f.ID) || hex.EncodeToString(o.Sum[:]) != f.Small.SHA256 || o.Path != f.Small.Of || f.Small.Width == 0 {
		t.Errorf("%s: %v, %+v", f.Name, err, o)
	}
}

// The checksums are those of sha256sum and sha512sum (GNU coreutils), for every name that
// a job may have.
func TestOthersCheckTheBag(t *testing.T) {
	b := newBench(t)
	b.decide(cull.No, 0, 1)
	for _, name := range hostileNames {
		b.write(name, "in "+name)
	}
	b.run(Options{})
	for _, tool := range []string{"sha256", "sha512"} {
		path := testneed.Tool(t, tool+"sum")
		for _, list := range []string{"manifest-", "tagmanifest-"} {
			c := exec.Command(path, "-c", "--strict", "--quiet", list+tool+".txt")
			c.Dir = b.bag()
			if out, err := c.CombinedOutput(); err != nil {
				t.Errorf("%s: %v\n%s", list+tool, err, out)
			}
		}
	}
	r, err := record.Open(b.bag())
	if err != nil {
		t.Fatal(err)
	}
	have, found := tree(t, b.bag()), 0
	for f, err := range r.Files() {
		if err != nil {
			t.Fatal(err)
		}
		p, err := f.JobPath()
		if err != nil {
			t.Logf("%q: %v", f.Path, err)
		}
		if slices.Contains(hostileNames, p) {
			s := sha256.Sum256([]byte("in " + p))
			if have[f.Bag] != hex.EncodeToString(s[:]) {
				t.Errorf("%q lies in %q", p, f.Bag)
			}
			found++
		}
	}
	if found != len(hostileNames) {
		t.Errorf("%d of %d", found, len(hostileNames))
	}
}

var hostileNames = []string{
	"x/100%.txt", "x/100_.txt", "x/a\nb.txt", "x/a\rb.txt", "x/CON", "x/con.txt", "x/Aux.jpg", "x/ends.", "x/ends", "x/caf\u00e9.txt", "x/cafe\u0301.txt",
	"x/Name.txt", "x/name.txt", "X/other.txt", "x/\xff\xfe.txt", "x/*?<>|\".txt", " x/ y ", "x/\u202etxt.exe", "x/" + strings.Repeat("n", 250) + ".txt", "data/job/y", "x/-rf", "x/~",
}

// A run in which nothing has changed writes nothing and reads everything back.
func TestAgain(t *testing.T) {
	b := newBench(t)
	b.decide(cull.Yes, 0, 1)
	b.decide(cull.No, 2, 3)
	first := b.run(Options{})
	before := stamps(t, b.bag())
	again := b.run(Options{})
	if d := cmp.Diff(before, stamps(t, b.bag())); d != "" {
		t.Error(d)
	}
	if again.New || again.Run != first.Run || again.Places[0].Added != 0 || !again.Places[0].Proven || again.Files[Added] != 0 || again.Files[Present]+again.Files[Smaller] != first.Files[Added]+first.Files[Smaller] {
		t.Errorf("%+v, first %+v", again, first)
	}
}

// stamps are the files below a folder with time and inode.
func stamps(t *testing.T, dir string) map[string]string {
	t.Helper()
	all := tree(t, dir)
	for p := range all {
		info, err := os.Lstat(filepath.Join(dir, filepath.FromSlash(p)))
		if err != nil {
			t.Fatal(err)
		}
		all[p] += " " + info.ModTime().String()
	}
	return all
}

// The bag grows with the decisions: a frame that is kept after all comes into it, one that
// is dropped later gets a small picture and stays.
func TestGrows(t *testing.T) {
	b := newBench(t)
	b.decide(cull.Yes, 0, 1)
	b.decide(cull.No, 2, 3)
	b.write("A/notes.txt", "first")
	b.run(Options{})
	one := tree(t, b.bag())
	b.decide(cull.Yes, 2)
	b.decide(cull.No, 0)
	b.write("A/notes.txt", "second, longer")
	sum := b.run(Options{})
	two := tree(t, b.bag())
	for p, s := range one {
		if strings.HasPrefix(p, "data/") && two[p] != s {
			t.Errorf("%s is not what it was", p)
		}
	}
	var fresh []string
	for _, p := range payload(two) {
		if one[p] == "" {
			fresh = append(fresh, p)
		}
	}
	want := []string{"data/job/" + b.main(2), "data/later/0002/A/notes.txt", "data/small/" + b.main(0) + ".jpg"}
	if d := cmp.Diff(want, fresh); d != "" {
		t.Error(d)
	}
	r, err := record.Open(b.bag())
	if err != nil || r.Job.Run != 2 || sum.Run != 2 {
		t.Fatalf("%+v, %v", r, err)
	}
	b.recordHolds(r, two)
	// As it was first: it lies where it lay.
	b.write("A/notes.txt", "first")
	b.run(Options{})
	three := tree(t, b.bag())
	if slices.Compare(payload(three), payload(two)) != 0 {
		t.Errorf("%v", slices.DeleteFunc(payload(three), func(p string) bool { return two[p] != "" }))
	}
}

// Small pictures are brought down to a size where room is dear.
func TestSmall(t *testing.T) {
	b := newBench(t)
	b.decide(cull.No, 0)
	b.run(Options{Small: 320})
	r, err := record.Open(b.bag())
	if err != nil || r.Job.Small != 320 {
		t.Fatalf("%+v, %v", r, err)
	}
	for f := range r.Frames() {
		if f.Small != nil {
			if b.smallHolds(b.bag(), f); max(f.Small.Width, f.Small.Height) != 320 {
				t.Errorf("%+v", f.Small)
			}
		}
	}
}

// An original without a whole JPEG stays whole, and is listed.
func TestNoPicture(t *testing.T) {
	b := newBench(t)
	raw := b.main(0)
	path := filepath.Join(b.dir, filepath.FromSlash(raw))
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	// The scan of the largest JPEG is wiped out; its beginning stays.
	frames, _ := b.j.Frames()
	p := frames[b.ids[b.names[0]]].Previews[0]
	clear(text[p.Offset+p.Length/2 : p.Offset+p.Length])
	if err := os.WriteFile(path, text, 0o666); err != nil {
		t.Fatal(err)
	}
	if err := os.Chtimes(path, info.ModTime(), info.ModTime()); err != nil {
		t.Fatal(err)
	}
	b.decide(cull.No, 0, 1)
	sum := b.run(Options{})
	if len(sum.Whole) != 1 || sum.Whole[0].Path != raw || tree(t, b.bag())["data/job/"+raw] == "" {
		t.Errorf("%+v", sum)
	}
	r, err := record.Open(b.bag())
	if err != nil {
		t.Fatal(err)
	}
	for f := range r.Frames() {
		if f.ID == b.ids[b.names[0]] && (f.Small != nil || f.Why == "") {
			t.Errorf("%+v", f)
		}
	}
}

// Two jobs of one name, and a folder of somebody else's, never share a bag.
func TestNamesOfBags(t *testing.T) {
	b := newBench(t)
	b.run(Options{})
	other := newBench(t)
	other.shelf = b.shelf
	if filepath.Base(other.dir) != filepath.Base(b.dir) {
		t.Fatal("the jobs have different names")
	}
	sum := other.run(Options{})
	if want := b.bag() + "-2"; sum.Places[0].Dir != want || len(sum.Remarks) == 0 {
		t.Errorf("%+v", sum)
	}
	before := tree(t, b.shelf)
	other.run(Options{})
	b.run(Options{})
	if d := cmp.Diff(before, tree(t, b.shelf)); d != "" {
		t.Error(d)
	}
	third := newBench(t)
	third.shelf = filepath.Join(t.TempDir(), "shelf")
	if err := os.MkdirAll(filepath.Join(third.bag(), "holiday"), 0o777); err != nil {
		t.Fatal(err)
	}
	if sum := third.run(Options{}); sum.Places[0].Dir != third.bag()+"-2" {
		t.Errorf("%+v", sum)
	}
}

func TestRefused(t *testing.T) {
	b := newBench(t)
	link := filepath.Join(t.TempDir(), "link")
	if err := os.Symlink(b.dir, link); err != nil {
		t.Skip(err)
	}
	for _, c := range []struct {
		dirs []string
		want error
	}{
		{nil, ErrNoPlace}, {[]string{b.dir}, ErrInside}, {[]string{filepath.Join(b.dir, "new", "er")}, ErrInside}, {[]string{filepath.Join(link, "x")}, ErrInside},
		{[]string{filepath.Dir(b.dir)}, ErrHolds}, {[]string{b.shelf, b.shelf + "/."}, ErrSamePlace},
	} {
		_, err := Run(context.Background(), b.j, Options{Dirs: c.dirs})
		if !errors.Is(err, c.want) {
			t.Errorf("%v: %v, want %v", c.dirs, err, c.want)
		}
	}
	if entries, err := os.ReadDir(b.shelf); err == nil {
		t.Errorf("%v", entries)
	}
	// A place that cannot be is noted nowhere, and does not keep the other from its bag.
	b.write("../a file", "x")
	sum, err := Run(context.Background(), b.j, Options{Dirs: []string{b.shelf, filepath.Join(filepath.Dir(b.dir), "a file")}})
	if err != nil || sum.Places[0].Err != nil || sum.Places[1].Reason() != errFile.Error() {
		t.Errorf("%v, %+v", err, sum.Places)
	}
	if noted, err := b.j.Bags(); err != nil || !slices.Equal(noted, []string{b.bag()}) {
		t.Errorf("%v %v", noted, err)
	}
}

// A dry run says the same and writes nothing.
func TestDryRun(t *testing.T) {
	b := newBench(t)
	b.decide(cull.No, 0, 1, 2)
	before := tree(t, filepath.Dir(b.dir))
	plan := map[string]Action{}
	b.run(Options{DryRun: true, File: func(f File) { plan[f.Path] = f.Action }})
	if d := cmp.Diff(before, tree(t, filepath.Dir(b.dir))); d != "" {
		t.Error(d)
	}
	if _, err := os.Lstat(b.shelf); err == nil {
		t.Error("the shelf was made")
	}
	done := map[string]Action{}
	b.run(Options{File: func(f File) { done[f.Path] = f.Action }})
	if d := cmp.Diff(plan, done); d != "" {
		t.Error(d)
	}
}

// disks stands in for volumes: each folder below top is on a disk of its own.
func disks(top string) func(string) (volume.Volume, error) {
	return func(p string) (volume.Volume, error) {
		rel, err := filepath.Rel(top, p)
		if err != nil || strings.HasPrefix(rel, "..") {
			rel = "job"
		}
		name, _, _ := strings.Cut(filepath.ToSlash(rel), "/")
		v := volume.Volume{Disk: name, Free: 1 << 40}
		v.Root = "/" + name
		return v, nil
	}
}

// The folder may be deleted when all of it lies in bags on two disks.
func TestSafe(t *testing.T) {
	b := newBench(t)
	b.decide(cull.No, 0, 1)
	o := Options{Dirs: []string{filepath.Join(b.shelf, "one")}, VolumeOf: disks(b.shelf)}
	if sum := b.run(o); sum.Safe || !strings.Contains(fmt.Sprint(sum.Why), "only one copy") {
		t.Errorf("%v", sum.Why)
	}
	o.Dirs = append(o.Dirs, filepath.Join(b.shelf, "two"))
	if sum := b.run(o); !sum.Safe {
		t.Errorf("%v", sum.Why)
	}
	one, two := tree(t, filepath.Join(b.shelf, "one")), tree(t, filepath.Join(b.shelf, "two"))
	for p := range one {
		if strings.Contains(p, "/data/") && !strings.Contains(p, "record/0001/") && one[p] != two[p] {
			t.Errorf("%s is not in both bags", p)
		}
	}
	same := func(string) (volume.Volume, error) { return volume.Volume{Disk: "sda", Free: 1 << 40}, nil }
	o.VolumeOf = same
	if sum := b.run(o); sum.Safe || !strings.Contains(fmt.Sprint(sum.Why), "same disk as the job") {
		t.Errorf("%v", sum.Why)
	}
	o.VolumeOf = disks(b.shelf)
	if err := os.Symlink("/etc/hostname", filepath.Join(b.dir, "link")); err == nil {
		sum := b.run(o)
		if sum.Safe || !strings.Contains(fmt.Sprint(sum.Why), "symbolic link") || sum.Files[Passed] != 1 {
			t.Errorf("%v", sum.Why)
		}
		os.Remove(filepath.Join(b.dir, "link"))
	}
	if err := os.WriteFile(filepath.Join(b.shelf, "two", filepath.Base(b.dir), "data/job", filepath.FromSlash(b.main(5))), []byte("x"), 0o666); err != nil {
		t.Fatal(err)
	}
	sum, err := Run(context.Background(), b.j, o)
	if err != nil || sum.Safe || sum.Places[1].Err == nil || sum.Places[0].Err != nil || sum.Failures() != 1 {
		t.Errorf("%v, %+v", err, sum)
	}
}

// A disk that is full fails by itself; the next run brings it what it lacks.
func TestFullDisk(t *testing.T) {
	b := newBench(t)
	b.decide(cull.No, 0)
	o := Options{Dirs: []string{filepath.Join(b.shelf, "one"), filepath.Join(b.shelf, "two")}}
	o.VolumeOf = func(p string) (volume.Volume, error) {
		v, err := disks(b.shelf)(p)
		if v.Disk == "two" {
			v.Free = 1000
		}
		return v, err
	}
	sum, err := Run(context.Background(), b.j, o)
	if err != nil || sum.Places[0].Err != nil || !errors.As(sum.Places[1].Err, new(*RoomError)) || sum.Safe {
		t.Fatalf("%v, %+v", err, sum)
	}
	b.valid(sum.Places[0].Dir)
	o.VolumeOf = disks(b.shelf)
	if sum := b.run(o); !sum.Safe || sum.New {
		t.Errorf("%+v", sum)
	}
	if d := cmp.Diff(tree(t, sum.Places[0].Dir), tree(t, sum.Places[1].Dir)); d != "" {
		t.Error(d)
	}
}

// A file whose bytes are not those of the manifest is kept as it is, and that is said.
func TestAltered(t *testing.T) {
	b := newBench(t)
	p := b.main(6)
	if err := b.j.RecordManifest(map[string]job.Sum{p: {1, 2, 3}}); err != nil {
		t.Fatal(err)
	}
	why := map[string]string{}
	sum := b.run(Options{File: func(f File) {
		if f.Action == Failed {
			why[f.Path] = f.Why
		}
	}})
	if len(why) != 1 || !strings.Contains(why[p], "not those") || sum.Failures() != 1 || sum.Safe {
		t.Errorf("%v %+v", why, sum)
	}
	if have := tree(t, b.bag()); have["data/job/"+p] != tree(t, b.dir)[p] {
		t.Error("it is not in the bag")
	}
}

// Interrupted anywhere and run again, the bag gets the bytes that it would have got.
func TestInterrupted(t *testing.T) {
	b := newBench(t)
	b.decide(cull.Yes, 0, 1, 2)
	b.decide(cull.No, 3, 4, 5)
	if err := b.j.NoteBags(b.bag()); err != nil {
		t.Fatal(err)
	}
	b.run(Options{})
	want := tree(t, b.bag())
	for after := 1; after < 60; after += 7 {
		if err := os.RemoveAll(b.bag()); err != nil {
			t.Fatal(err)
		}
		ctx, cancel := context.WithCancel(context.Background())
		n := 0
		_, err := Run(ctx, b.j, Options{Dirs: []string{b.shelf}, Progress: func(p Progress) {
			if p.Stage != Preparing {
				if n++; n == after {
					cancel()
				}
			}
		}})
		cancel()
		if err == nil && n >= after {
			t.Logf("%d was too late", after)
		}
		b.run(Options{})
		if d := cmp.Diff(want, tree(t, b.bag())); d != "" {
			t.Fatalf("after %d: %s", after, d)
		}
		if left, err := os.ReadDir(b.shelf); err != nil || len(left) != 1 {
			t.Fatalf("%v %v", left, err)
		}
	}
}

func TestChanges(t *testing.T) {
	if got := changes([]file{{path: "a", size: 1}, {path: "b", size: 1}, {path: "c"}}, []file{{path: "a", size: 1}, {path: "b", size: 2}, {path: "d"}}); !slices.Equal(got, []string{"b", "c", "d"}) {
		t.Error(got)
	}
}

// What is wrong with a place is said in words, with the file in the bag that it is about.
func TestReasons(t *testing.T) {
	dir := filepath.Join(string(filepath.Separator), "shelf", "job")
	in := filepath.Join(dir, "data", "job", "A", "1.CR3")
	for want, err := range map[string]error{
		"":                                    nil,
		"the disk is full (data/job/A/1.CR3)": store.Wrap("write", in, syscall.ENOSPC),
		"it cannot be written: the disk is read-only, or somebody else's": store.Wrap("make folder", dir, syscall.EROFS),
		"is not a bag (data/job/A/1.CR3)":                                 store.Wrap("read", in, errors.New("is not a bag")),
		"there is not room enough: 3 MB are needed, 1 MB are free":        &RoomError{2_000_001, 1_000_000},
	} {
		p := Place{Dir: dir, Err: err}
		if got := p.Reason(); !strings.HasSuffix(got, want) || (err == nil) != (got == "") {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// When the originals were let go, the next run knows their small pictures for those that the
// bag has, and a bag elsewhere gets them from the job.
func TestFreed(t *testing.T) {
	b := newBench(t)
	b.decide(cull.Yes, 0)
	b.decide(cull.No, 1, 2)
	b.run(Options{})
	before := tree(t, b.bag())
	for _, n := range []int{1, 2} {
		raw := b.main(n)
		text, err := os.ReadFile(filepath.Join(b.bag(), "data", "small", filepath.FromSlash(raw+".jpg")))
		if err != nil {
			t.Fatal(err)
		}
		b.write(cull.SmallPath(raw), string(text))
		if err := os.Remove(filepath.Join(b.dir, filepath.FromSlash(raw))); err != nil {
			t.Fatal(err)
		}
	}
	other := filepath.Join(b.shelf, "other")
	sum := b.run(Options{Dirs: []string{b.shelf, other}})
	after := tree(t, b.bag())
	if d := cmp.Diff(payload(before), payload(after)); d != "" || sum.Files[Failed] > 0 {
		t.Errorf("%+v: %s", sum, d)
	}
	holds := func(dir string) {
		t.Helper()
		r, err := record.Open(dir)
		if err != nil {
			t.Fatal(err)
		}
		b.recordHolds(r, tree(t, dir))
	}
	holds(b.bag())
	holds(filepath.Join(other, filepath.Base(b.dir)))
	alone := filepath.Join(b.shelf, "alone") // no record to look back to
	b.run(Options{Dirs: []string{alone}})
	holds(filepath.Join(alone, filepath.Base(b.dir)))
}

// A station may go on deciding while the job is archived.
func TestBesideAStation(t *testing.T) {
	b := newBench(t)
	b.decide(cull.No, 0)
	claim, err := b.j.Claim()
	if err != nil {
		t.Fatal(err)
	}
	defer claim.Release()
	decided := false
	b.run(Options{Progress: func(p Progress) {
		if p.Stage == Copying && !decided {
			decided = true
			b.decide(cull.No, 1)
		}
	}})
	r, err := record.Open(b.bag())
	if err != nil || !decided {
		t.Fatal(decided, err)
	}
	for f := range r.Frames() {
		if small := f.Small != nil; small != (f.ID == b.ids[b.names[0]]) || (f.Answers[cull.KeepPass] != nil) != small {
			t.Errorf("%s: %+v", f.Name, f.Answers)
		}
	}
}
