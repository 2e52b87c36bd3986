package output

import (
	"bytes"
	"maps"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/text/unicode/norm"

	"garner/cull/job"
)

// forge writes a ledger of lines with sums that are right.
func (b *bench) forge(records ...record) {
	b.t.Helper()
	var text []byte
	for _, r := range records {
		text = append(text, r.line()...)
	}
	put(b.t, filepath.Join(b.dir, SetsFolder, LedgerName), text)
}

// A ledger that came with somebody else's folder of sets cannot lead files out of it: an
// original is never written over. It cannot take numbers away either.
func TestForgedLedger(t *testing.T) {
	b := newBench(t)
	b.put("a.jpg", finishedPicture(t, 1, day(10), "1001"))
	original := filepath.Join(b.dir, "A", "IMG_0001.jpg")
	put(t, original, []byte("an original"))
	for _, file := range []string{"../../A/IMG_0001.jpg", `..\..\A\IMG_0001.jpg`, "..", ".", original, "C:IMG_0001.jpg", ""} {
		b.forge(record{Picture: "gone.jpg", Number: 1<<63 - 1}, record{Picture: "less.jpg", Number: -5},
			record{Picture: "a.jpg", Set: "online", File: file, Pattern: "{name}"})
		b.must(Options{})
		if data, err := os.ReadFile(original); err != nil || string(data) != "an original" {
			t.Fatalf("%q: the original is %d bytes, %v", file, len(data), err)
		}
		if got := b.names("online")["a.jpg"]; got != "a.jpg" {
			t.Errorf("%q: the file is %q", file, got)
		}
		if got := b.names("lab")["a.jpg"]; got != "0001-a.jpg" {
			t.Errorf("%q: with forged numbers the file is %q", file, got)
		}
		if err := os.RemoveAll(filepath.Join(b.dir, SetsFolder)); err != nil {
			t.Fatal(err)
		}
	}
}

// Two ledgers that were put together give one name to two pictures; each gets a file of
// its own.
func TestLedgerGivesANameTwice(t *testing.T) {
	b := newBench(t)
	b.put("a.jpg", finishedPicture(t, 1, day(10), "1001"))
	b.put("b.jpg", finishedPicture(t, 2, day(11), "1001"))
	b.forge(record{Picture: "a.jpg", Set: "online", File: "x.jpg", Pattern: "{name}"}, record{Picture: "b.jpg", Set: "online", File: "X.jpg", Pattern: "{name}"})
	b.must(Options{})
	if got := b.names("online"); !maps.Equal(got, map[string]string{"a.jpg": "x.jpg", "b.jpg": "b.jpg"}) {
		t.Errorf("%v", got)
	}
}

// What lies in a set's folder and is not ours stays, be it a folder or a link.
func TestOthersInTheSet(t *testing.T) {
	b := newBench(t)
	b.put("a.jpg", finishedPicture(t, 1, day(10), "1001"))
	b.put("b.jpg", finishedPicture(t, 2, day(11), "1001"))
	elsewhere := filepath.Join(b.dir, "A", "IMG_0001.jpg")
	put(t, elsewhere, []byte("an original"))
	online := filepath.Join(b.dir, SetsFolder, "online")
	if err := os.MkdirAll(filepath.Join(online, "A.JPG"), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(elsewhere, filepath.Join(online, "b.jpg")); err != nil {
		t.Skip(err)
	}
	b.must(Options{})
	if got := b.names("online"); !maps.Equal(got, map[string]string{"a.jpg": "a-2.jpg", "b.jpg": "b-2.jpg"}) {
		t.Errorf("%v", got)
	}
	if to, err := os.Readlink(filepath.Join(online, "b.jpg")); err != nil || to != elsewhere {
		t.Errorf("the link goes to %q, %v", to, err)
	}
}

// Some file systems give names back in the decomposed form (Unicode Standard Annex 15);
// they are the same files all the same, and two pictures whose names differ in that
// alone get two files.
func TestNamesInAnotherNormalForm(t *testing.T) {
	b := newBench(t)
	one, two := "Größe.jpg", norm.NFD.String("Größe.jpg")
	b.put("one/"+one, finishedPicture(t, 1, day(10), "1001"))
	b.must(Options{})
	online := filepath.Join(b.dir, SetsFolder, "online")
	if err := os.Rename(filepath.Join(online, one), filepath.Join(online, two)); err != nil {
		t.Fatal(err)
	}
	if sum := b.must(Options{}); sum.Files[Left] != 0 || sum.Files[Written] != 0 {
		t.Errorf("%+v", sum)
	}
	b.put("two/"+two, finishedPicture(t, 2, day(11), "1001"))
	b.must(Options{})
	if got := norm.NFC.String(b.names("online")["two/"+two]); got != "Größe-2.jpg" {
		t.Errorf("%q", got)
	}
}

// A picture keeps its number where the ledger has lost the picture's own line and not
// those of its files.
func TestNumberOfALostLine(t *testing.T) {
	b := newBench(t)
	for i, path := range []string{"a.jpg", "b.jpg", "c.jpg"} {
		b.put(path, finishedPicture(t, i, day(10+i), "1001"))
	}
	b.must(Options{})
	path := ledgerPath(b.dir)
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, lost := range []string{"b.jpg", "c.jpg"} {
		text = bytes.Replace(text, []byte(`{"picture":"`+lost+`","sha256"`), []byte(`{"picture":"`+lost+`","sha257"`), 1)
	}
	put(t, path, text)
	b.put("d.jpg", finishedPicture(t, 3, day(9), "1001"))
	b.must(Options{})
	for _, l := range b.lines {
		if want := int(l.Picture[0]-'a') + 1; l.Number != want {
			t.Errorf("%s of %s has number %d, want %d", l.File, l.Picture, l.Number, want)
		}
	}
}

// Thousands of pictures of one name, such as that of a day, get their numbers without
// every one trying those of all others.
func TestManyOfOneName(t *testing.T) {
	names := taken{}
	names.take("2026-06-13-3.jpg")
	n := testing.AllocsPerRun(1, func() { // runs it twice
		for range 10_000 {
			names.free("2026-06-13")
		}
	})
	if n > 100_000 {
		t.Errorf("%.0f allocations for 10,000 names", n)
	}
	if got := names.free("2026-06-13"); got != "2026-06-13-20002.jpg" {
		t.Errorf("the last is %s", got)
	}
	few := taken{}
	few.take("a-2.jpg")
	for _, want := range []string{"a.jpg", "a-3.jpg", "a-4.jpg"} {
		if got := few.free("a"); got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
}

// A list of names that is no file is said to be none; a pipe is not waited for.
func TestLedgerIsNoFile(t *testing.T) {
	b := newBench(t)
	b.put("a.jpg", finishedPicture(t, 1, day(10), "1001"))
	if err := os.MkdirAll(ledgerPath(b.dir), 0o777); err != nil {
		t.Fatal(err)
	}
	if _, err := b.run(Options{}); err == nil || !strings.Contains(err.Error(), "is no file") {
		t.Errorf("%v", err)
	}
}

// A set whose name is written in other letters later keeps the names of its files where
// the file system takes both for one folder; a link stands for such a file system.
func TestSetInOtherLetters(t *testing.T) {
	b := newBench(t)
	b.put("a.jpg", finishedPicture(t, 1, day(10), "1001"))
	b.settings.Sets = map[string]job.SetSettings{"Album": {LongEdge: to(50)}}
	b.must(Options{})
	if err := os.Symlink("Album", filepath.Join(b.dir, SetsFolder, "album")); err != nil {
		t.Skip(err)
	}
	b.settings.Sets = map[string]job.SetSettings{"album": {LongEdge: to(50)}}
	for range 2 {
		sum := b.must(Options{})
		if got := b.names("album"); !maps.Equal(got, map[string]string{"a.jpg": "a.jpg"}) || sum.Files[Left] != 0 {
			t.Errorf("%v, %+v", got, sum)
		}
	}
	if sum := b.must(Options{}); sum.Decodes != 0 {
		t.Errorf("again: %+v", sum)
	}
}

// Two pictures of one size and time swap their names: their files show what they show
// now, and keep their names and numbers.
func TestSwappedNames(t *testing.T) {
	b := newBench(t)
	one, two := finishedPicture(t, 1, day(10), "1001"), finishedPicture(t, 2, day(11), "1001")
	n := max(len(one), len(two)) // what stands behind a JPEG is passed over
	one, two = append(one, make([]byte, n-len(one))...), append(two, make([]byte, n-len(two))...)
	b.put("a.jpg", one)
	b.put("b.jpg", two)
	b.must(Options{})
	before, lab := b.tree(), b.names("lab")
	b.put("a.jpg", two)
	b.put("b.jpg", one)
	b.must(Options{})
	if now := b.names("lab"); !maps.Equal(now, lab) {
		t.Errorf("%v, were %v", now, lab)
	}
	for a, bb := range map[string]string{"online/a.jpg": "online/b.jpg", "screen/b.jpg": "screen/a.jpg"} {
		if b.tree()[a] != before[bb] {
			t.Errorf("%s does not show what %s did", a, bb)
		}
	}
}

// Two pictures of the same bytes that are moved together keep their names and numbers.
func TestTwoAlikeAreMoved(t *testing.T) {
	b := newBench(t)
	one := finishedPicture(t, 1, day(10), "1001")
	b.put("a/x.jpg", one)
	b.put("b/x.jpg", one)
	b.put("c.jpg", finishedPicture(t, 2, day(11), "1001"))
	b.must(Options{})
	lab := b.names("lab")
	finished := filepath.Join(b.dir, FinishedFolder)
	for _, dir := range []string{"a", "b"} {
		if err := os.Rename(filepath.Join(finished, dir), filepath.Join(finished, "to-"+dir)); err != nil {
			t.Fatal(err)
		}
	}
	sum := b.must(Options{})
	want := map[string]string{"to-a/x.jpg": lab["a/x.jpg"], "to-b/x.jpg": lab["b/x.jpg"], "c.jpg": lab["c.jpg"]}
	if got := b.names("lab"); !maps.Equal(got, want) || sum.Decodes != 0 || sum.Files[Left] != 0 {
		t.Errorf("%v, want %v, %+v", got, want, sum)
	}
}
