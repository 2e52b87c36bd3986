package output

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"runtime"
	"slices"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/job"
	"garner/preview/finished"
	"garner/store/vfs"
)

type counter struct{ atomic.Int64 }

func (c *counter) next() int64 { return c.Add(1) }

func day(hour int) string { return fmt.Sprintf("2026-06-13T%02d:00:00", hour) }

func opened(t *testing.T, path string) *finished.Picture {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	p, err := finished.Open(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// Three sets come from one decode of each picture; a second run has nothing to do; a
// picture that was changed is cut again, and no other.
func TestRunAndAgain(t *testing.T) {
	b := newBench(t)
	for i, path := range []string{"a/IMG_0001.jpg", "a/IMG_0002.jpg", "b/deep/x.jpg"} {
		b.put(path, finishedPicture(t, i, day(10+i), "1001"))
	}
	b.put(".hidden/y.jpg", []byte("no picture"))
	b.put("a/.IMG_0003.jpg", []byte("no picture"))
	b.put("a/IMG_0004.jpg.part", []byte("half"))
	b.put("a/IMG_0001.xmp", []byte("<x/>"))
	b.put("notes.txt", []byte("x"))
	sum := b.must(Options{})
	if sum.Pictures != 3 || sum.Decodes != 3 || sum.Files[Written] != 9 || !slices.Equal(sum.Others, []string{"notes.txt"}) {
		t.Errorf("%+v", sum)
	}
	want := map[string]string{"a/IMG_0001.jpg": "0001-IMG_0001.jpg", "a/IMG_0002.jpg": "0002-IMG_0002.jpg", "b/deep/x.jpg": "0003-x.jpg"}
	if got := b.names("lab"); !maps.Equal(got, want) {
		t.Errorf("%v", got)
	}
	p := opened(t, filepath.Join(b.dir, "sets/online/x.jpg"))
	if p.Width != 60 || p.Height != 40 || p.Meta.Serial != "" || p.Meta.Credit != "Berg & Söhne" || p.Meta.Taken.Wall.Hour() != 12 {
		t.Errorf("%d by %d, %+v", p.Width, p.Height, p.Meta)
	}
	if p := opened(t, filepath.Join(b.dir, "sets/lab/0003-x.jpg")); p.Meta.Serial != "1001" || p.Width != 120 {
		t.Errorf("%d, %+v", p.Width, p.Meta)
	}
	before := b.tree()
	if sum := b.must(Options{}); sum.Decodes != 0 || sum.Files[Unchanged] != 9 {
		t.Errorf("again: %+v", sum)
	}
	if sum := b.must(Options{Force: true}); sum.Decodes != 3 || sum.Files[Written] != 9 || !maps.Equal(b.tree(), before) {
		t.Errorf("by force: %+v", sum)
	}
	b.put("a/IMG_0002.jpg", finishedPicture(t, 40, day(11), "1001"))
	if sum := b.must(Options{}); sum.Decodes != 1 || sum.Files[Written] != 3 || sum.Files[Unchanged] != 6 {
		t.Errorf("one changed: %+v", sum)
	}
	// One set's settings, and one file that is not there any more.
	b.settings.Sets = maps.Clone(b.settings.Sets)
	b.settings.Sets["online"] = job.SetSettings{LongEdge: to(50)}
	if err := os.Remove(filepath.Join(b.dir, "sets/lab/0003-x.jpg")); err != nil {
		t.Fatal(err)
	}
	if sum := b.must(Options{}); sum.Decodes != 3 || sum.Files[Written] != 4 {
		t.Errorf("settings changed: %+v", sum)
	}
}

// Names and numbers stay when pictures come later, whatever their time; when they are
// renamed; and when all notes are lost.
func TestNamesStick(t *testing.T) {
	b := newBench(t)
	b.put("c.jpg", finishedPicture(t, 1, day(10), "1001"))
	b.put("d.jpg", finishedPicture(t, 2, day(12), "1001"))
	b.put("one/same.jpg", finishedPicture(t, 3, day(13), "1001"))
	b.put("two/SAME.jpg", finishedPicture(t, 4, day(14), "1001"))
	b.must(Options{})
	lab, online := b.names("lab"), b.names("online")
	if online["one/same.jpg"] != "same.jpg" || online["two/SAME.jpg"] != "SAME-2.jpg" {
		t.Errorf("two pictures of one name: %v", online)
	}
	b.put("a.jpg", finishedPicture(t, 5, day(8), "1001")) // earlier than all others, and before them by name
	b.put("aa/same.jpg", finishedPicture(t, 6, day(9), "1001"))
	b.must(Options{})
	sticks := func(what string) {
		t.Helper()
		for _, c := range []struct{ was, is map[string]string }{{lab, b.names("lab")}, {online, b.names("online")}} {
			for p, name := range c.was {
				if c.is[p] != name {
					t.Errorf("%s: %s was %s and is %s", what, p, name, c.is[p])
				}
			}
		}
	}
	sticks("later pictures")
	if n := b.names("lab"); n["a.jpg"] != "0005-a.jpg" || n["aa/same.jpg"] != "0006-same.jpg" || b.names("online")["aa/same.jpg"] != "same-3.jpg" {
		t.Errorf("%v", n)
	}
	lab, online = b.names("lab"), b.names("online")
	before := b.tree()
	if err := os.Remove(ledgerPath(b.dir)); err != nil {
		t.Fatal(err)
	}
	if err := os.RemoveAll(filepath.Join(b.dir, ".garner")); err != nil {
		t.Fatal(err)
	}
	if sum := b.must(Options{}); !sum.ReadBack || sum.Files[Left] != 0 {
		t.Errorf("%+v", sum)
	}
	sticks("everything lost")
	if after := b.tree(); !maps.Equal(after, before) {
		t.Errorf("other files than before: %v", slices.Sorted(maps.Keys(after)))
	}
	if err := os.Rename(filepath.Join(b.dir, "finished/d.jpg"), filepath.Join(b.dir, "finished/z.jpg")); err != nil {
		t.Fatal(err)
	}
	lab["z.jpg"], online["z.jpg"] = lab["d.jpg"], online["d.jpg"]
	delete(lab, "d.jpg")
	delete(online, "d.jpg")
	if sum := b.must(Options{}); sum.Decodes != 0 {
		t.Errorf("renamed: %+v", sum)
	}
	sticks("renamed")
	// Gone: its files stay, its number is nobody else's.
	if err := os.Remove(filepath.Join(b.dir, "finished/aa/same.jpg")); err != nil {
		t.Fatal(err)
	}
	b.put("new.jpg", finishedPicture(t, 9, day(9), "1001"))
	if sum := b.must(Options{}); sum.Files[Left] != 3 || b.names("lab")["new.jpg"] != "0007-new.jpg" {
		t.Errorf("%+v %v", sum, b.names("lab"))
	}
}

// A body's clock that was corrected counts for the time that files say, and for the
// order of numbers.
func TestCorrectedTime(t *testing.T) {
	b := newBench(t)
	b.put("late.jpg", finishedPicture(t, 1, "2026-06-13T14:07:20", "2002"))
	b.put("real.jpg", finishedPicture(t, 2, "2026-06-13T14:03:00", "1001"))
	j, err := job.Open(b.dir, job.Options{Who: "test"})
	if err != nil {
		t.Fatal(err)
	}
	key := "serial:Lumora Five:2002"
	if err := j.SaveBodies([]cull.Body{{Key: key, Make: "Lumora", Model: "Lumora Five", Serial: "2002", Photographer: "Anna Berg"}, {Key: "serial:Lumora Five:1001", Make: "Lumora", Model: "Lumora Five", Serial: "1001"}}); err != nil {
		t.Fatal(err)
	}
	if _, err := j.Append(job.SetOffset(key, cull.Offset{Add: -440e9})); err != nil {
		t.Fatal(err)
	}
	j.Close()
	b.settings.Bodies = map[string]job.BodySettings{"1001": {Photographer: "Per Dahl"}} // said since the frames were found
	b.must(Options{})
	if m := opened(t, filepath.Join(b.dir, "sets/online/real.jpg")).Meta; m.Creator != "Per Dahl" {
		t.Errorf("taken by %q", m.Creator)
	}
	if n := b.names("lab"); n["late.jpg"] != "0001-late.jpg" || n["real.jpg"] != "0002-real.jpg" {
		t.Errorf("%v", n)
	}
	m := opened(t, filepath.Join(b.dir, "sets/online/late.jpg")).Meta
	if got := m.Taken.Wall.Format("15:04:05"); got != "14:00:00" || m.Creator != "Anna Berg" {
		t.Errorf("%s, %q", got, m.Creator)
	}
}

// What cannot be cut is listed and keeps nothing else from being cut.
func TestBadPictures(t *testing.T) {
	b := newBench(t)
	good := finishedPicture(t, 1, day(10), "1001")
	b.put("good.jpg", good)
	b.put("cut.jpg", good[:len(good)*3/4])
	b.put("text.png", []byte("this is no picture"))
	b.put("empty.tif", nil)
	if err := os.MkdirAll(filepath.Join(b.dir, SetsFolder), 0o777); err != nil {
		t.Fatal(err)
	}
	put(t, filepath.Join(b.dir, SetsFolder, "screen"), []byte("a file in the place of the folder"))
	b.settings.Sets = map[string]job.SetSettings{"square": {Exact: &job.Dimensions{W: 10, H: 10}}}
	sum, err := b.run(Options{})
	if err != nil {
		t.Fatal(err)
	}
	if sum.Files[Written] != 2 || sum.Files[Failed] != 3 || sum.Cannot != 3 {
		t.Errorf("%+v", sum)
	}
	for _, l := range b.lines {
		if l.Action == Failed && (l.Reason == "" || strings.Contains(l.Reason, b.dir)) {
			t.Errorf("%+v", l)
		}
		t.Logf("%s %s %s: %s %s", l.Set, l.Picture, l.File, l.Action, l.Reason)
	}
	for path := range b.tree() {
		if strings.Contains(path, "partial") {
			t.Errorf("left behind: %s", path)
		}
	}
}

// A stamp whose file is not there, or is none, keeps the sets that are to be stamped from
// being cut, and no others; nothing of them is written without, and what they had stays.
func TestNoStamp(t *testing.T) {
	broken := filepath.Join(t.TempDir(), "broken.ttf")
	put(t, broken, []byte("\x00\x01\x00\x00 this is no font"))
	gone := filepath.Join(t.TempDir(), "gone.png")
	for _, c := range []struct {
		stamp job.StampSettings
		says  string
	}{
		{job.StampSettings{Picture: &gone}, "the stamp cannot be made: the picture " + gone + " is not there"},
		{job.StampSettings{Text: text("Berg"), Font: &broken}, "the stamp cannot be made: the font " + broken + " cannot be read: "},
		{job.StampSettings{Picture: &broken}, "the stamp cannot be made: the picture " + broken + " is not a PNG that can be read: "},
	} {
		b := newBench(t)
		b.put("a.jpg", finishedPicture(t, 1, day(10), "1001"))
		b.must(Options{})
		stamped := b.tree()["online/a.jpg"]
		b.put("b.jpg", finishedPicture(t, 2, day(11), "1001"))
		b.settings.Stamp = c.stamp
		sum, err := b.run(Options{})
		if err != nil || sum.Files[Written] != 2 || sum.Files[Unchanged] != 2 || sum.Files[Failed] != 2 {
			t.Fatalf("%v, %+v", err, sum)
		}
		for _, l := range b.lines {
			var fault *StampError
			if l.Set == "online" && (!errors.As(l.Cause, &fault) || !strings.HasPrefix(l.Reason, c.says)) {
				t.Errorf("%+v, wanted %s", l, c.says)
			}
		}
		if tree := b.tree(); tree["online/a.jpg"] != stamped || tree["online/b.jpg"] != "" {
			t.Error("the stamped set was written")
		}
		// That set alone: there is nothing to be done.
		online, _ := Choose(Sets(b.settings), []string{"ONLINE"})
		var fault *StampError
		if _, err := b.run(Options{Sets: online}); !errors.As(err, &fault) || !strings.HasPrefix(err.Error(), c.says) {
			t.Errorf("%v", err)
		}
		b.settings.Stamp = testSettings.Stamp
		if sum := b.must(Options{}); sum.Files[Written] != 1 || sum.Files[Unchanged] != 5 {
			t.Errorf("with the stamp again: %+v", sum)
		}
	}
	if _, unknown := Choose(Sets(testSettings), []string{"lap"}); unknown != "lap" {
		t.Errorf("%q", unknown)
	}
}

// What somebody has changed since it was cut is said and left, be it as long as before
// or not, and also when its picture has changed; what cannot be decoded is cut anew.
func TestChangedFiles(t *testing.T) {
	b := newBench(t)
	for i := range 3 {
		b.put(fmt.Sprintf("%d.jpg", i), finishedPicture(t, i, day(10+i), "1001"))
	}
	b.must(Options{})
	want := b.tree()
	path := func(file string) string { return filepath.Join(b.dir, SetsFolder, "online", file) }
	is := func(o Options, file string, action Action, remark string) {
		t.Helper()
		b.must(o)
		for _, l := range b.lines {
			if l.Set == "online" && l.File == file && (l.Action != action || strings.Join(l.Remarks, "; ") != remark) {
				t.Errorf("%+v, wanted %s, %q", l, action, remark)
			}
			if (l.Set != "online" || l.File != file) && l.Action != Unchanged && !o.Force {
				t.Errorf("another file: %+v", l)
			}
		}
	}
	const kept = "was changed since it was cut; --force cuts it anew"

	// Its last comment: as long as before, and a picture all the same.
	other := []byte(want["online/0.jpg"])
	at := bytes.Index(other, []byte("Berg & S"))
	other[bytes.Index(other, []byte("<dc:"))+4] = 'D'
	if at < 0 {
		t.Fatal("there is nothing to change")
	}
	if err := os.WriteFile(path("0.jpg"), other, 0o666); err != nil {
		t.Fatal(err)
	}
	is(Options{}, "0.jpg", Kept, kept)
	is(Options{}, "0.jpg", Kept, kept)
	longer := append(slices.Clone(other), "and more"...)
	if err := os.WriteFile(path("0.jpg"), longer, 0o666); err != nil {
		t.Fatal(err)
	}
	is(Options{}, "0.jpg", Kept, kept)
	if b.tree()["online/0.jpg"] != string(longer) {
		t.Error("what somebody has changed was replaced")
	}
	b.settings.Sets = maps.Clone(b.settings.Sets)
	online := b.settings.Sets["online"]
	b.settings.Sets["online"] = job.SetSettings{LongEdge: to(50)}
	if b.must(Options{}); b.tree()["online/0.jpg"] != string(longer) || b.tree()["online/1.jpg"] == want["online/1.jpg"] {
		t.Error("with other settings, what somebody has changed was replaced, or the others were not")
	}
	b.settings.Sets["online"] = online
	b.must(Options{})
	is(Options{Force: true}, "0.jpg", Written, "")
	if !maps.Equal(b.tree(), want) {
		t.Error("by force it is not what it was")
	}

	// Touched, and the same bytes.
	now := time.Now().Add(-time.Hour)
	if err := os.Chtimes(path("1.jpg"), now, now); err != nil {
		t.Fatal(err)
	}
	is(Options{}, "1.jpg", Unchanged, "")

	// Damaged: zeros of a disk, as long as before; cut off; empty.
	whole := []byte(want["online/2.jpg"])
	zeros := slices.Clone(whole)
	clear(zeros[len(zeros)/8:])
	for _, data := range [][]byte{zeros, whole[:len(whole)*2/3], {}} {
		if err := os.WriteFile(path("2.jpg"), data, 0o666); err != nil {
			t.Fatal(err)
		}
		is(Options{}, "2.jpg", Written, Damaged)
		if !maps.Equal(b.tree(), want) {
			t.Errorf("of %d bytes: it is not what it was", len(data))
		}
	}

	// What was seen is only there to read less.
	if err := os.WriteFile(filepath.Join(b.dir, ".garner", seenName), []byte("nonsense"), 0o666); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path("0.jpg"), other, 0o666); err != nil {
		t.Fatal(err)
	}
	is(Options{}, "0.jpg", Kept, kept)
}

// A link in the place of a file is not written through: it may lead to an original.
func TestLinkInThePlace(t *testing.T) {
	b := newBench(t)
	b.put("a.jpg", finishedPicture(t, 1, day(10), "1001"))
	b.must(Options{})
	original := filepath.Join(b.dir, "A", "IMG_0001.jpg")
	put(t, original, []byte("an original"))
	path := filepath.Join(b.dir, SetsFolder, "online", "a.jpg")
	if err := os.Remove(path); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(original, path); err != nil {
		t.Skip(err)
	}
	for _, o := range []Options{{}, {Force: true}} {
		if sum, err := b.run(o); err != nil || sum.Files[Failed] != 1 {
			t.Errorf("%v, %+v", err, sum)
		}
	}
	if data, err := os.ReadFile(original); err != nil || string(data) != "an original" {
		t.Errorf("%v, the original is %q", err, data)
	}
}

// A name that was given before a full disk, and taken by somebody else until there was
// room: theirs stays.
func TestNameTakenBetween(t *testing.T) {
	b := newBench(t)
	b.put("a.jpg", finishedPicture(t, 1, day(10), "1001"))
	disk := &fullDisk{FS: vfs.OS{}}
	disk.room.Store(2000) // for names alone
	if _, err := b.runOn(Options{}, disk); !errors.Is(err, ErrFull) {
		t.Fatal(err)
	}
	theirs := finishedPicture(t, 7, day(10), "1001")
	put(t, filepath.Join(b.dir, SetsFolder, "online", "a.jpg"), theirs)
	b.must(Options{})
	if tree := b.tree(); tree["online/a.jpg"] != string(theirs) || b.names("online")["a.jpg"] != "a-2.jpg" {
		t.Errorf("%v", b.names("online"))
	}
}

// A dry run writes nothing.
func TestDryRun(t *testing.T) {
	b := newBench(t)
	b.put("a.jpg", finishedPicture(t, 1, day(10), "1001"))
	sum := b.must(Options{DryRun: true})
	if sum.Files[Wanted] != 3 || sum.Decodes != 0 {
		t.Errorf("%+v", sum)
	}
	if _, err := os.Stat(filepath.Join(b.dir, SetsFolder)); err == nil {
		t.Error("sets/ was made")
	}
	b.must(Options{})
	if names := b.names("lab"); names["a.jpg"] != "0001-a.jpg" {
		t.Errorf("%v", names)
	}
}

// fullDisk has room for so many bytes.
type fullDisk struct {
	vfs.FS
	room atomic.Int64
}

func (d *fullDisk) OpenFile(name string, flag int, perm os.FileMode) (vfs.File, error) {
	f, err := d.FS.OpenFile(name, flag, perm)
	return &fullFile{f, d}, err
}

type fullFile struct {
	vfs.File
	d *fullDisk
}

func (f *fullFile) Write(p []byte) (int, error) {
	if f.d.room.Add(-int64(len(p))) < 0 {
		n, _ := f.File.Write(p[:len(p)/2])
		return n, syscall.ENOSPC
	}
	return f.File.Write(p)
}

// A disk that becomes full, wherever, ends the run with every file that could not be
// made; what is there is whole, and the next run goes on to the same end.
func TestFullDisk(t *testing.T) {
	whole := newBench(t)
	for i := range 6 {
		whole.put(fmt.Sprintf("%d.jpg", i), finishedPicture(t, i, day(10+i), "1001"))
	}
	whole.must(Options{})
	want := whole.tree()
	all := 0
	for _, data := range want {
		all += len(data)
	}
	some := 0
	for room := 0; room < all; room += all/12 + 1 {
		b := newBench(t)
		for i := range 6 {
			b.put(fmt.Sprintf("%d.jpg", i), finishedPicture(t, i, day(10+i), "1001"))
		}
		disk := &fullDisk{FS: vfs.OS{}}
		disk.room.Store(int64(room))
		sum, err := b.runOn(Options{}, disk)
		n := 0
		for path, data := range b.tree() {
			if path == LedgerName {
				continue
			}
			if n++; data != want[path] {
				t.Errorf("room for %d: %s is not whole", room, path)
			}
		}
		if n == 0 && !errors.Is(err, ErrFull) || n > 0 && err != nil {
			t.Errorf("room for %d: %d files, %v", room, n, err)
		}
		lines := map[string]bool{}
		for _, l := range b.lines {
			if lines[l.Set+"/"+l.File] {
				t.Errorf("room for %d: said twice: %+v", room, l)
			}
			lines[l.Set+"/"+l.File] = true
			if l.Action != Written && (l.Action != Failed || !errors.Is(l.Cause, ErrFull) || l.Reason == "") {
				t.Errorf("room for %d: %+v", room, l)
			}
		}
		if len(lines) != 18 || sum.Files[Written] != n || sum.Files[Failed] != 18-n {
			t.Errorf("room for %d: %d files, %d lines, %+v", room, n, len(lines), sum)
		}
		if n > 0 && n < 18 {
			some++
		}
		if sum := b.must(Options{}); sum.Files[Unchanged] > n || !maps.Equal(b.tree(), want) {
			t.Errorf("room for %d, and then: %+v", room, sum)
		}
	}
	if some < 5 {
		t.Errorf("only %d disks became full in the middle", some)
	}
}

// A set whose folder cannot be written is said, file for file; the others are cut.
func TestFolderNotWritable(t *testing.T) {
	b := newBench(t)
	for i := range 3 {
		b.put(fmt.Sprintf("%d.jpg", i), finishedPicture(t, i, day(10+i), "1001"))
	}
	stands := filepath.Join(b.dir, SetsFolder, "online")
	put(t, stands, []byte("a file in the place of the folder"))
	sum, err := b.run(Options{})
	if err != nil || sum.Files[Written] != 6 || sum.Files[Failed] != 3 {
		t.Fatalf("%v, %+v", err, sum)
	}
	for _, l := range b.lines {
		var fault *FolderError
		if l.Set == "online" && (!errors.As(l.Cause, &fault) || l.File == "" || !strings.HasPrefix(l.Reason, "its folder cannot be written: ")) {
			t.Errorf("%+v", l)
		}
	}
	if err := os.Remove(stands); err != nil {
		t.Fatal(err)
	}
	b.must(Options{})
	if os.Geteuid() == 0 || runtime.GOOS == "windows" {
		return // may write everywhere; or has other rights
	}
	if err := os.Chmod(stands, 0o555); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.Chmod(stands, 0o777) })
	b.must(Options{}) // there is nothing to be written
	if sum, err := b.run(Options{Force: true}); err != nil || sum.Files[Written] != 6 || sum.Files[Failed] != 3 {
		t.Errorf("%v, %+v", err, sum)
	}
}

// Two programs do not cut one job's sets.
func TestBusy(t *testing.T) {
	b := newBench(t)
	b.put("a.jpg", finishedPicture(t, 1, day(10), "1001"))
	b.must(Options{})
	unlock, err := lock(filepath.Join(b.dir, ".garner", "render.lock"))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := b.run(Options{}); !errors.Is(err, ErrBusy) {
		t.Errorf("%v", err)
	}
	unlock()
	b.must(Options{})
}

// A run that is called off keeps what it has, and says so.
func TestCalledOff(t *testing.T) {
	b := newBench(t)
	for i := range 5 {
		b.put(fmt.Sprintf("%d.jpg", i), finishedPicture(t, i, day(10+i), "1001"))
	}
	j, err := job.Open(b.dir, job.Options{Who: "test", Settings: b.settings})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	ctx, cancel := context.WithCancel(context.Background())
	sum, err := run(ctx, j, Options{Workers: 1, Line: func(Line) { cancel() }}, vfs.OS{})
	if !errors.Is(err, context.Canceled) || sum.Files[Written] == 0 || sum.Files[Written] == 15 {
		t.Errorf("%v, %+v", err, sum)
	}
	if sum := b.must(Options{}); sum.Files[Unchanged] == 0 {
		t.Errorf("%+v", sum)
	}
}

// Stands says what is to be done without opening a picture.
func TestStands(t *testing.T) {
	b := newBench(t)
	b.put("a.jpg", finishedPicture(t, 1, day(10), "1001"))
	b.must(Options{})
	b.put("b.jpg", []byte("anything"))
	j, err := job.Open(b.dir, job.Options{Who: "test", Settings: b.settings})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	got, err := Stands(context.Background(), j)
	if want := (Standing{2, 1, map[string]int{"lab": 1, "online": 1, "screen": 1}}); err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("%+v, %v", got, err)
	}
}

// The list of names survives lines that are damaged or torn.
func FuzzLedger(f *testing.F) {
	r := record{Picture: "a/\xff.jpg", SHA256: "00", Number: 3}
	f.Add(r.line())
	f.Add([]byte("00000000 {}\n"))
	f.Add(bytes.Repeat(r.line(), 3)[:len(r.line())*2+5])
	f.Fuzz(func(t *testing.T, text []byte) {
		l := &ledger{pictures: map[string]record{}, files: map[fileKey]record{}}
		l.read(text)
		n := l.damaged
		l.read(r.line())
		if l.damaged != n || l.pictures["a/\xff.jpg"] != r {
			t.Errorf("%+v", l.pictures)
		}
	})
}

func TestNatural(t *testing.T) {
	got := []string{"IMG_10.jpg", "img_9.jpg", "IMG_010.jpg", "b/1", "a2", "a10", "A1"}
	slices.SortFunc(got, natural)
	if want := []string{"A1", "a2", "a10", "b/1", "img_9.jpg", "IMG_010.jpg", "IMG_10.jpg"}; !slices.Equal(got, want) {
		t.Errorf("%v", got)
	}
}
