package output

import (
	"bytes"
	"errors"
	"fmt"
	"html"
	"image"
	"image/jpeg"
	"maps"
	"net/url"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"garner/cull/job"
	"garner/preview/finished"
	"garner/store/vfs"
	"garner/testdata/testneed"
)

// places are ties by path in finished/: name and place of the scene.
type places map[string]Tie

func (p places) Of(path string, _ *finished.Picture) Tie { return p[path] }

// proofsOnly are the options for proofs and nothing else.
func (b *bench) proofsOnly() Options {
	sets, unknown := Choose(Sets(b.settings), []string{"proofs"})
	if unknown != "" || len(sets) != 1 {
		b.t.Fatal(sets, unknown)
	}
	return Options{Sets: sets}
}

func (b *bench) page() string {
	b.t.Helper()
	page, err := os.ReadFile(filepath.Join(b.dir, "sets/proofs/index.html"))
	if err != nil {
		b.t.Fatal(err)
	}
	return string(page)
}

var (
	links   = regexp.MustCompile(`(?:src|href)="\./([^"]+)"`)
	heading = regexp.MustCompile(`<h[12][^>]*><bdi>([^<]*)</bdi></h[12]>`)
	shown   = regexp.MustCompile(`<img src="\./small/([^"]+)" width="(\d+)" height="(\d+)" alt="([^"]*)"`)
)

func firsts(re *regexp.Regexp, text string) []string {
	var all []string
	for _, m := range re.FindAllStringSubmatch(text, -1) {
		all = append(all, html.UnescapeString(m[1]))
	}
	return all
}

// leads checks that every file the page names is there, and is what the page says it is;
// it returns how many there are.
func (b *bench) leads() int {
	b.t.Helper()
	page, seen := b.page(), map[string]bool{}
	for _, link := range firsts(links, page) {
		name, err := url.PathUnescape(link)
		if err != nil {
			b.t.Error(err)
		}
		seen[name] = true
		data, err := os.ReadFile(filepath.Join(b.dir, "sets/proofs", filepath.FromSlash(name)))
		switch {
		case err != nil:
			b.t.Errorf("the page leads to %s: %v", name, err)
		case path.Ext(name) == ".pdf" && !bytes.HasPrefix(data, []byte("%PDF-")):
			b.t.Errorf("%s is no PDF", name)
		case path.Ext(name) == ".jpg":
			c, err := jpeg.DecodeConfig(bytes.NewReader(data))
			if err != nil || !strings.Contains(page, fmt.Sprintf(`src="./%s" width="%d" height="%d"`, link, c.Width, c.Height)) {
				b.t.Errorf("%s has %d by %d pixels, and the page says otherwise (%v)", name, c.Width, c.Height, err)
			}
		}
	}
	return len(seen)
}

// Proofs come with the other sets from one decode, by scene and time, with the numbers
// that stay; a second run has nothing to do; a page is written anew without cutting
// anything.
func TestProofs(t *testing.T) {
	b := newBench(t)
	b.settings.Sets = maps.Clone(b.settings.Sets)
	b.settings.Sets["proofs"] = job.SetSettings{Skip: to(false), LongEdge: to(100), Title: text(`Anna & "Jørgen"`), Paper: []string{"A4", "letter"}}
	for i, name := range []string{"c.jpg", "b.jpg", "a.jpg", "lone.jpg"} {
		b.put(name, finishedPicture(t, i, day(10+i), "1001"))
	}
	ties := places{"c.jpg": {Scene: "Rings & <i>vows</i>", SceneAt: 2}, "a.jpg": {Scene: "Rings & <i>vows</i>", SceneAt: 2}, "b.jpg": {Scene: "01", SceneAt: 1}}
	sum := b.must(Options{Ties: ties})
	if sum.Decodes != 4 || sum.Files[Written] != 4*5+3 {
		t.Errorf("%+v", sum)
	}
	if n := b.leads(); n != 8+2 {
		t.Errorf("the page leads to %d files", n)
	}
	page := b.page()
	if got := firsts(heading, page); !slices.Equal(got, []string{`Anna & "Jørgen"`, "Scene 01", "Rings & <i>vows</i>", "Other pictures"}) {
		t.Errorf("%q", got)
	}
	if got := firsts(shown, page); !slices.Equal(got, []string{"0002.jpg", "0001.jpg", "0003.jpg", "0004.jpg"}) {
		t.Errorf("%q", got)
	}
	if m := shown.FindStringSubmatch(page); m[2] != "100" || m[3] != "67" || m[4] != "Picture 0002: Scene 01" {
		t.Errorf("%q", m)
	}
	for _, name := range []string{"small/0001.jpg", "large/0001.jpg"} {
		if m := opened(t, filepath.Join(b.dir, "sets/proofs", name)).Meta; m.Serial != "" || m.GPS || m.Credit != "Berg & Söhne" {
			t.Errorf("%s: %+v", name, m)
		}
	}
	before := b.tree()
	if sum := b.must(Options{Ties: ties}); sum.Decodes != 0 || sum.Files[Written] != 0 || sum.Files[Unchanged] != 23 {
		t.Errorf("again: %+v", sum)
	}
	if sum := b.must(Options{Ties: ties, Force: true}); sum.Files[Written] != 20 || !maps.Equal(b.tree(), before) {
		t.Errorf("by force: %+v", sum)
	}
	// The page alone: another note, another name of a scene.
	set := b.settings.Sets["proofs"]
	set.Note, set.Paper = text("Thank you.\n</p><script>"), []string{"letter"}
	b.settings.Sets["proofs"] = set
	ties["b.jpg"] = Tie{Scene: "Getting ready", SceneAt: 1}
	if sum := b.must(Options{Ties: ties}); sum.Decodes != 0 || sum.Files[Written] != 2 || sum.Files[Left] != 1 {
		t.Errorf("another note: %+v", sum)
	}
	if page := b.page(); strings.Contains(page, "<script>") || !strings.Contains(page, "Getting ready") || strings.Contains(page, "contact-a4.pdf") || b.leads() != 9 {
		t.Error("the page is not what was set")
	}
	// A picture that is gone goes from the page; its number is nobody else's.
	if err := os.Remove(filepath.Join(b.dir, "finished/b.jpg")); err != nil {
		t.Fatal(err)
	}
	b.put("new.jpg", finishedPicture(t, 9, day(9), "1001"))
	b.must(Options{Ties: ties})
	if got := firsts(shown, b.page()); !slices.Equal(got, []string{"0001.jpg", "0003.jpg", "0005.jpg", "0004.jpg"}) {
		t.Errorf("%q", got)
	}
	if b.leads() != 9 {
		t.Error("the page leads elsewhere")
	}
}

// Nobody gets proofs who does not ask for them; without any settings they bear the
// name of the job, and pictures of which no scene is known are pictures.
func TestProofsAreAskedFor(t *testing.T) {
	b := newBench(t)
	b.put("a.jpg", finishedPicture(t, 1, day(10), "1001"))
	b.must(Options{})
	if _, err := os.Stat(filepath.Join(b.dir, "sets/proofs")); err == nil {
		t.Error("sets/proofs was made")
	}
	o := b.proofsOnly()
	o.DryRun = true
	if sum := b.must(o); sum.Files[Wanted] != 4 {
		t.Errorf("%+v", sum)
	}
	if _, err := os.Stat(filepath.Join(b.dir, "sets/proofs")); err == nil {
		t.Error("sets/proofs was made by a rehearsal")
	}
	b.must(b.proofsOnly())
	if got := firsts(heading, b.page()); !slices.Equal(got, []string{filepath.Base(b.dir), "Pictures"}) {
		t.Errorf("%q", got)
	}
	if sum := b.must(o); sum.Files[Unchanged] != 4 {
		t.Errorf("%+v", sum)
	}
	j, err := job.Open(b.dir, job.Options{Who: "test", Settings: b.settings})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	if st, err := Stands(t.Context(), j); err != nil || st.Sets["proofs"] != 1 || st.Waiting != 0 || len(st.Sets) != 4 {
		t.Errorf("%+v, %v", st, err)
	}
}

// A caption is what those hear who do not see the picture; else a title; else the scene.
func TestProofsSayWhatIsSeen(t *testing.T) {
	b := newBench(t)
	said := func(i int, args ...string) []byte {
		file := filepath.Join(t.TempDir(), "x.jpg")
		put(t, file, finishedPicture(t, i, day(10+i), "1001"))
		if out, err := exec.Command(testneed.Tool(t, "exiftool"), append(args, "-q", "-overwrite_original", file)...).CombinedOutput(); err != nil {
			t.Fatalf("%v: %s", err, out)
		}
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	b.put("a.jpg", said(1, "-XMP-dc:Title=Rings", `-XMP-dc:Description=He says "yes" & <she> does`))
	b.put("b.jpg", said(2, "-XMP-dc:Title=Rings"))
	b.put("c.jpg", said(3))
	o := b.proofsOnly()
	o.Ties = places{"a.jpg": {SceneAt: 3, Scene: "03"}, "b.jpg": {SceneAt: 3, Scene: "03"}, "c.jpg": {SceneAt: 3, Scene: "03"}}
	b.must(o)
	var got []string
	for _, m := range shown.FindAllStringSubmatch(b.page(), -1) {
		got = append(got, html.UnescapeString(m[4]))
	}
	// What most have says nothing of one.
	for i, name := range []string{"d.jpg", "e.jpg", "f.jpg", "g.jpg"} {
		b.put(name, said(4+i, "-EXIF:ImageDescription=LUMORA DIGITAL CAMERA"))
	}
	b.must(o)
	if page := b.page(); strings.Contains(page, "LUMORA DIGITAL") || !strings.Contains(page, `alt="Picture 0001: He says`) || !strings.Contains(page, `alt="Picture 0004"`) {
		t.Errorf("%q", shown.FindAllStringSubmatch(page, -1))
	}
	if want := []string{`Picture 0001: He says "yes" & <she> does`, "Picture 0002: Rings", "Picture 0003: Scene 03"}; !slices.Equal(got, want) {
		t.Errorf("%q", got)
	}
}

// Numbers are read back from the pictures themselves where all notes are lost.
func TestProofsKeepTheirNumbers(t *testing.T) {
	b := newBench(t)
	for i, name := range []string{"a.jpg", "b.jpg", "c.jpg"} {
		b.put(name, finishedPicture(t, i, day(10+i), "1001"))
	}
	b.must(b.proofsOnly())
	if err := os.Remove(filepath.Join(b.dir, "finished/a.jpg")); err != nil {
		t.Fatal(err)
	}
	for _, lost := range []string{"sets/names.jsonl", ".garner"} {
		if err := os.RemoveAll(filepath.Join(b.dir, lost)); err != nil {
			t.Fatal(err)
		}
	}
	sum := b.must(b.proofsOnly())
	if got := firsts(shown, b.page()); !sum.ReadBack || !slices.Equal(got, []string{"0002.jpg", "0003.jpg"}) {
		t.Errorf("%+v, %q", sum, got)
	}
}

// A picture that cannot be cut is said and not on the page, also where its files of
// yesterday are still there.
func TestProofsOfBadPictures(t *testing.T) {
	b := newBench(t)
	good := finishedPicture(t, 1, day(10), "1001")
	b.put("good.jpg", good)
	b.put("bad.jpg", finishedPicture(t, 2, day(11), "1001"))
	b.must(b.proofsOnly())
	b.put("bad.jpg", good[:len(good)*3/4])
	sum, err := b.run(b.proofsOnly())
	if err != nil || sum.Failures() != 1 || b.leads() != 3 {
		t.Errorf("%+v, %v", sum, err)
	}
	if got := firsts(shown, b.page()); len(got) != 1 {
		t.Errorf("%q", got)
	}
	// Nothing is left to be shown: the page of yesterday stays.
	before := b.page()
	b.put("good.jpg", good[:len(good)/2])
	if sum, err := b.run(b.proofsOnly()); err != nil || sum.Failures() != 4 || b.page() != before {
		t.Errorf("%+v, %v", sum, err)
	}
}

// A picture that somebody worked on in its place is kept, and shown as it is.
func TestProofsThatWereRetouched(t *testing.T) {
	b := newBench(t)
	b.put("a.jpg", finishedPicture(t, 1, day(10), "1001"))
	b.must(b.proofsOnly())
	for _, name := range []string{"small", "large"} {
		put(t, filepath.Join(b.dir, "sets/proofs", name, "0001.jpg"), []byte(cropped(t)))
	}
	if sum := b.must(b.proofsOnly()); sum.Files[Kept] != 2 || sum.Kept[0] != "proofs/small/0001.jpg" || b.leads() != 3 {
		t.Errorf("%+v", sum)
	}
	if m := shown.FindStringSubmatch(b.page()); m[2] != "50" || m[3] != "70" {
		t.Errorf("%q", m)
	}
}

func cropped(t *testing.T) string {
	var data bytes.Buffer
	if err := jpeg.Encode(&data, image.NewRGBA(image.Rect(0, 0, 50, 70)), nil); err != nil {
		t.Fatal(err)
	}
	return data.String()
}

// A stamp that cannot be made keeps the page from being written, and other sets not.
func TestProofsWithoutTheirStamp(t *testing.T) {
	b := newBench(t)
	b.put("a.jpg", finishedPicture(t, 1, day(10), "1001"))
	b.must(b.proofsOnly())
	before := b.page()
	gone := filepath.Join(b.dir, "gone.png")
	b.settings.Stamp = job.StampSettings{Picture: &gone}
	o := b.proofsOnly()
	lab, _ := Choose(Sets(b.settings), []string{"lab"})
	o.Sets = append(o.Sets, lab...)
	sum, err := b.run(o)
	if err != nil || sum.Files[Written] != 1 || sum.Files[Failed] != 4 || b.page() != before {
		t.Errorf("%+v, %v", sum, err)
	}
	var fault *StampError
	for _, l := range b.lines {
		if l.Action == Failed && (!errors.As(l.Cause, &fault) || l.Set != "proofs") {
			t.Errorf("%+v", l)
		}
	}
}

// What lies in the folder and is not ours is not replaced: pictures get other names, the
// page and the sheets are said to fail.
func TestProofsInAForeignFolder(t *testing.T) {
	b := newBench(t)
	b.put("a.jpg", finishedPicture(t, 1, day(10), "1001"))
	foreign := map[string]string{"proofs/index.html": "<h1>My own page</h1>", "proofs/contact-a4.pdf": "%PDF-1.4", "proofs/small/0001.jpg": "small", "proofs/large/0001.JPG": "large"}
	for name, data := range foreign {
		put(t, filepath.Join(b.dir, SetsFolder, filepath.FromSlash(name)), []byte(data))
	}
	sum, err := b.run(b.proofsOnly())
	if err != nil || sum.Failures() != 2 || sum.Files[Written] != 2 || sum.Files[Left] != 2 {
		t.Errorf("%+v, %v", sum, err)
	}
	for _, l := range b.lines {
		if l.Action == Failed && !strings.Contains(l.Reason, "garner did not make") {
			t.Errorf("%+v", l)
		}
	}
	tree := b.tree()
	for name, data := range foreign {
		if tree[name] != data {
			t.Errorf("%s was replaced", name)
		}
	}
	if err := os.Remove(filepath.Join(b.dir, "sets/proofs/index.html")); err != nil {
		t.Fatal(err)
	}
	if sum, err := b.run(b.proofsOnly()); err != nil || sum.Failures() != 1 || b.leads() != 2 {
		t.Errorf("%+v, %v", sum, err) // and no link to sheets that are not ours
	}
	// Somebody writes on our page, and deletes it after all.
	file := filepath.Join(b.dir, "sets/proofs/index.html")
	edited := strings.Replace(b.page(), "1 picture.", "1 picture, the best.", 1)
	put(t, file, []byte(edited))
	if sum, err := b.run(b.proofsOnly()); err != nil || sum.Failures() != 2 || b.page() != edited {
		t.Errorf("%+v, %v", sum, err)
	}
}

// A file in the place of the folder is said, and no more.
func TestProofsWithoutAFolder(t *testing.T) {
	b := newBench(t)
	b.put("a.jpg", finishedPicture(t, 1, day(10), "1001"))
	put(t, filepath.Join(b.dir, SetsFolder, "proofs"), []byte("x"))
	if sum, err := b.run(b.proofsOnly()); err != nil || sum.Failures() != 4 {
		t.Errorf("%+v, %v, %+v", sum, err, b.lines)
	}
}

// When the disk is full there is no page that leads to what is not there.
func TestProofsOnAFullDisk(t *testing.T) {
	b := newBench(t)
	for i := range 6 {
		b.put(fmt.Sprintf("%d.jpg", i), finishedPicture(t, i, day(10+i), "1001"))
	}
	b.must(b.proofsOnly())
	want := b.tree()
	for _, room := range []int64{20_000, int64(len(want["proofs/index.html"]))} {
		if err := os.RemoveAll(filepath.Join(b.dir, SetsFolder)); err != nil {
			t.Fatal(err)
		}
		for name, data := range want {
			if room >= 20_000 || path.Dir(name) == "proofs" {
				continue
			}
			put(t, filepath.Join(b.dir, SetsFolder, filepath.FromSlash(name)), []byte(data)) // all pictures are there already
		}
		disk := &fullDisk{FS: vfs.OS{}}
		disk.room.Store(room)
		sum, err := b.runOn(b.proofsOnly(), disk)
		if err != nil || sum.Failures() == 0 {
			t.Errorf("%d bytes: %+v, %v", room, sum, err)
		}
		for _, l := range b.lines {
			if l.Action == Failed && !errors.Is(l.Cause, ErrFull) {
				t.Errorf("%d bytes: %+v", room, l)
			}
		}
		for name := range b.tree() {
			if name == "proofs/index.html" || strings.Contains(name, "partial") {
				t.Errorf("%d bytes: there is %s", room, name)
			}
		}
		if b.must(b.proofsOnly()); !maps.Equal(b.tree(), want) {
			t.Errorf("%d bytes: not what an undisturbed run makes", room)
		}
	}
}

// Killed at any step, what is there is whole, no page leads to what is not there, and the
// next run ends in what an undisturbed one makes.
func TestProofsKilled(t *testing.T) {
	whole, b := newBench(t), newBench(t)
	for i := range 3 {
		name, data := fmt.Sprintf("%d/same.jpg", i), finishedPicture(t, i, day(18-i), "1001")
		whole.put(name, data)
		b.put(name, data)
	}
	before := filepath.Base(b.dir)
	whole.settings.Sets = maps.Clone(whole.settings.Sets)
	whole.settings.Sets["proofs"] = job.SetSettings{Title: &before} // as b has it by its folder
	whole.must(whole.proofsOnly())
	want := whole.tree()
	kills := 0
	for step := 1; step < 400; step += 3 {
		if err := os.RemoveAll(filepath.Join(b.dir, SetsFolder)); err != nil {
			t.Fatal(err)
		}
		c := child(t, b.dir, step)
		c.Env = append(c.Env, "GARNER_TEST_SETS=proofs")
		if !killed(t, c, 0) {
			break // it came to its end before
		}
		kills++
		tree := b.tree()
		for name, data := range tree {
			if name != LedgerName && !strings.HasSuffix(name, ".garner-partial") && data != want[name] {
				t.Fatalf("step %d: %s is not whole", step, name)
			}
		}
		if _, ok := tree["proofs/index.html"]; ok {
			b.leads()
		}
		b.must(b.proofsOnly())
		if got := b.tree(); !maps.Equal(got, want) {
			t.Fatalf("step %d: %v, wanted %v", step, slices.Sorted(maps.Keys(got)), slices.Sorted(maps.Keys(want)))
		}
	}
	t.Logf("%d kills", kills)
	if kills < 15 {
		t.Errorf("only %d kills", kills)
	}
}

// The sheets hold the small pictures and their numbers, scene by scene, as another
// program reads them (poppler).
func TestProofsOnPaper(t *testing.T) {
	b := newBench(t)
	ties := places{}
	for i := range 5 {
		name := fmt.Sprintf("%d.jpg", i)
		b.put(name, finishedPicture(t, i, day(10+i), "1001"))
		ties[name] = Tie{SceneAt: 1 + i/3, Scene: []string{"Rings", "Dance"}[i/3]}
	}
	o := b.proofsOnly()
	o.Ties = ties
	b.must(o)
	file := filepath.Join(b.dir, "sets/proofs/contact-a4.pdf")
	out, err := exec.Command(testneed.Tool(t, "pdftotext"), "-raw", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	words := strings.Fields(string(out))
	words = slices.DeleteFunc(words, func(w string) bool { return !strings.HasPrefix(w, "000") && w != "Rings" && w != "Dance" })
	slices.Sort(words)
	if got := strings.Join(words, " "); got != "0001 0002 0003 0004 0005 Dance Rings" {
		t.Errorf("%q", got)
	}
	dir := t.TempDir()
	if out, err := exec.Command(testneed.Tool(t, "pdfimages"), "-all", file, filepath.Join(dir, "x")).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	for i := range 5 {
		got, err := os.ReadFile(filepath.Join(dir, fmt.Sprintf("x-%03d.jpg", i)))
		if want := b.tree()[fmt.Sprintf("proofs/small/%04d.jpg", i+1)]; err != nil || string(got) != want {
			t.Errorf("picture %d is not the small one (%v)", i+1, err)
		}
	}
}
