package scan

import (
	"bytes"
	"context"
	"encoding/binary"
	"image"
	"image/color"
	"image/jpeg"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"garner/cull"
	"garner/preview/build"
)

// card is a folder being filled with invented camera files.
type card struct {
	t   *testing.T
	dir string
}

func newCard(t *testing.T) card { return card{t, t.TempDir()} }

func (c card) put(path string, data []byte) {
	c.t.Helper()
	p := filepath.Join(c.dir, filepath.FromSlash(path))
	if err := os.MkdirAll(filepath.Dir(p), 0o755); err != nil {
		c.t.Fatal(err)
	}
	if err := os.WriteFile(p, data, 0o644); err != nil {
		c.t.Fatal(err)
	}
}

func (c card) scan(known []cull.Frame) Result {
	c.t.Helper()
	m := map[cull.ID]cull.Frame{}
	for _, f := range known {
		m[f.ID] = f
	}
	res, err := Scan(context.Background(), c.dir, Options{Known: m})
	if err != nil {
		c.t.Fatal(err)
	}
	return res
}

func picture(t *testing.T, w, h int, shade uint8) []byte {
	t.Helper()
	m := image.NewGray(image.Rect(0, 0, w, h))
	for i := range m.Pix {
		m.Pix[i] = shade + uint8(i%7)
	}
	m.SetGray(1, 1, color.Gray{shade ^ 0xff})
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// shot is what body serial took at second and hundredths; the model is invented.
func shot(serial string, second, hundredths int) build.Shot {
	return build.Shot{
		Make: "Lumora", Model: "Lumora Five", Serial: serial, Software: "Lumora Five 1.2",
		Taken:   build.Clock{Wall: time.Date(2026, 6, 13, 14, 2, second, hundredths*1e7, time.UTC), Digits: 2},
		Seconds: build.Rational{Num: 1, Den: 250}, FNumber: build.Rational{Num: 28, Den: 10}, ISO: 800,
		Width: 640, Height: 480,
	}
}

func rawFile(t *testing.T, s build.Shot, shade uint8) []byte {
	t.Helper()
	b, err := build.DNG(s, build.Pictures{Full: picture(t, 640, 480, shade), Thumb: picture(t, 32, 24, shade)}, binary.LittleEndian)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func jpegFile(t *testing.T, s build.Shot, shade uint8) []byte {
	t.Helper()
	b, err := build.JPEG(s, build.Pictures{Full: picture(t, 640, 480, shade)}, false)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func names(fs []cull.Frame) []string {
	var out []string
	for _, f := range fs {
		out = append(out, f.Name)
	}
	return out
}

func roles(f cull.Frame) string {
	var out []string
	for _, f := range f.Files {
		out = append(out, f.Path+"="+string(f.Role))
	}
	return strings.Join(out, " ")
}

func TestEqualNamesOfTwoBodiesStayTwoFrames(t *testing.T) {
	c := newCard(t)
	c.put("A/LMR_0001.DNG", rawFile(t, shot("1001", 5, 10), 10))
	c.put("B/LMR_0001.DNG", rawFile(t, shot("2002", 5, 10), 20))
	res := c.scan(nil)
	if got := names(res.Frames); !slices.Equal(got, []string{"A/LMR_0001", "B/LMR_0001"}) {
		t.Fatalf("frames %v", got)
	}
	if len(res.Bodies) != 2 || res.Bodies[0].Serial != "1001" || res.Bodies[1].Serial != "2002" {
		t.Errorf("bodies %+v", res.Bodies)
	}
	f := res.Frames[0]
	if f.Kind != "DNG" || f.Shot.ISO != 800 || f.Taken.Digits != 2 || len(f.Previews) == 0 || f.Previews[0].Width != 640 {
		t.Errorf("frame %+v", f)
	}
}

func TestOneExposureIsOneFrameWhereverItsFilesLie(t *testing.T) {
	c := newCard(t)
	s := shot("1001", 5, 10)
	c.put("day/RAW/LMR_0001.DNG", rawFile(t, s, 10))
	c.put("day/JPG/LMR_0001.JPG", jpegFile(t, s, 10))
	c.put("day/VOICE/LMR_0001.WAV", []byte("RIFF\x04\x00\x00\x00WAVE"))
	c.put("day/RAW/LMR_0001.xmp", []byte("<x/>"))
	c.put("day/RAW/LMR_0002.DNG", rawFile(t, shot("1001", 5, 60), 30))
	res := c.scan(nil)
	if len(res.Frames) != 2 {
		t.Fatalf("frames %v, others %v", names(res.Frames), res.Others)
	}
	want := "day/RAW/LMR_0001.DNG=main day/JPG/LMR_0001.JPG=jpeg day/RAW/LMR_0001.xmp=sidecar day/VOICE/LMR_0001.WAV=voice"
	if got := roles(res.Frames[0]); got != want {
		t.Errorf("files\n got %s\nwant %s", got, want)
	}
}

func TestLaterFileJoinsItsFrameAndTheIDStays(t *testing.T) {
	c := newCard(t)
	s := shot("1001", 5, 10)
	c.put("JPG/LMR_0001.JPG", jpegFile(t, s, 10))
	first := c.scan(nil)
	c.put("RAW/LMR_0001.DNG", rawFile(t, s, 10))
	second := c.scan(first.Frames)
	if len(second.Frames) != 1 || second.Frames[0].ID != first.Frames[0].ID {
		t.Fatalf("first %+v\nsecond %+v", first.Frames, second.Frames)
	}
	f := second.Frames[0]
	if f.Name != "RAW/LMR_0001" || f.Files[0].Role != cull.RoleMain || f.Kind != "DNG" {
		t.Errorf("the raw does not lead: %s", roles(f))
	}
	// A lost catalogue: the raw alone would give another id, but the old one is
	// among the aliases, so that its decisions are found again.
	again := c.scan(nil)
	if id := first.Frames[0].ID; again.Frames[0].ID != id && !slices.Contains(again.Frames[0].Aliases, id) {
		t.Errorf("id %s is lost: now %s %v", id, again.Frames[0].ID, again.Frames[0].Aliases)
	}
}

func TestMovedAndRenamedFileKeepsItsID(t *testing.T) {
	c := newCard(t)
	c.put("A/LMR_0001.DNG", rawFile(t, shot("1001", 5, 10), 10))
	c.put("A/nothing known.jpg", picture(t, 64, 64, 3))
	first := c.scan(nil)
	if err := os.Mkdir(filepath.Join(c.dir, "moved"), 0o755); err != nil {
		t.Fatal(err)
	}
	for from, to := range map[string]string{"A/LMR_0001.DNG": "moved/bride.DNG", "A/nothing known.jpg": "moved/x.jpg"} {
		if err := os.Rename(filepath.Join(c.dir, from), filepath.Join(c.dir, to)); err != nil {
			t.Fatal(err)
		}
	}
	second := c.scan(first.Frames)
	if got := names(second.Frames); !slices.Equal(got, []string{"moved/bride", "moved/x"}) {
		t.Fatalf("frames %v", got)
	}
	for i := range second.Frames {
		if second.Frames[i].ID != first.Frames[i].ID {
			t.Errorf("%s: id %s became %s", second.Frames[i].Name, first.Frames[i].ID, second.Frames[i].ID)
		}
	}
	if len(second.Gone) != 0 {
		t.Errorf("gone %v", second.Gone)
	}
}

func TestBurstWithinOneSecondStaysApart(t *testing.T) {
	c := newCard(t)
	for i := range 8 {
		s := shot("1001", 5, i*10)
		c.put("A/LMR_000"+string(rune('1'+i))+".DNG", rawFile(t, s, uint8(10+i)))
		c.put("A/LMR_000"+string(rune('1'+i))+".JPG", jpegFile(t, s, uint8(10+i)))
	}
	res := c.scan(nil)
	if len(res.Frames) != 8 {
		t.Fatalf("%d frames: %v", len(res.Frames), names(res.Frames))
	}
	for _, f := range res.Frames {
		if len(f.Files) != 2 || stemOf(f.Files[0].Path) != stemOf(f.Files[1].Path) {
			t.Errorf("%s", roles(f))
		}
	}
}

func TestNoSubSecondNoCounterFallsBackToContent(t *testing.T) {
	c := newCard(t)
	for i := range 3 {
		s := shot("", 5, 0)
		s.Taken.Digits = 0
		c.put("A/LMR_000"+string(rune('1'+i))+".DNG", rawFile(t, s, uint8(10+20*i)))
	}
	if res := c.scan(nil); len(res.Frames) != 3 {
		t.Fatalf("frames %v", names(res.Frames))
	}
}

// Frames that a body could not tell apart must not answer to one another's
// names: a job gives a frame the decisions of every name it answers to.
func TestFramesThatSayTheSameKeepTheirNamesApart(t *testing.T) {
	c := newCard(t)
	for i := range 4 {
		c.put("A/LMR_000"+string(rune('1'+i))+".DNG", rawFile(t, shot("1001", 5, 0), uint8(10+20*i)))
	}
	first := c.scan(nil)
	if len(first.Frames) != 4 {
		t.Fatalf("frames %v", names(first.Frames))
	}
	owner := map[cull.ID]string{}
	for _, f := range first.Frames {
		for _, id := range append(slices.Clone(f.Aliases), f.ID) {
			if other, ok := owner[id]; ok {
				t.Errorf("%s and %s both answer to %s", f.Name, other, id)
			}
			owner[id] = f.Name
		}
	}
	if again := c.scan(first.Frames); len(again.Changed) != 0 {
		t.Errorf("changed %v", again.Changed)
	}
}

func TestTwinsOfTwoSlots(t *testing.T) {
	c := newCard(t)
	s := shot("1001", 5, 10)
	whole := rawFile(t, s, 10)
	c.put("slot1/LMR_0001.DNG", whole)
	c.put("slot2/LMR_0001.DNG", whole)
	damaged := bytes.Clone(rawFile(t, shot("1001", 6, 10), 11))
	c.put("slot2/LMR_0002.DNG", damaged)
	other := bytes.Clone(damaged)
	other[len(other)-4000] ^= 0xff
	c.put("slot1/LMR_0002.DNG", other)
	res := c.scan(nil)
	if len(res.Frames) != 2 {
		t.Fatalf("frames %v", names(res.Frames))
	}
	if got := roles(res.Frames[0]); got != "slot1/LMR_0001.DNG=main slot2/LMR_0001.DNG=twin" {
		t.Error(got)
	}
	has := func(f cull.Frame, code string) bool {
		return slices.ContainsFunc(f.Problems, func(p cull.Problem) bool { return p.Code == code })
	}
	if has(res.Frames[0], "twin-differs") || !has(res.Frames[1], "twin-differs") {
		t.Errorf("problems %v / %v", res.Frames[0].Problems, res.Frames[1].Problems)
	}
}

// A file known to be damaged leads no frame that has a whole one of its class,
// also where the frame was known before; its id stays, and the next scan reads
// nothing again.
func TestTheWholeTwinLeads(t *testing.T) {
	c := newCard(t)
	whole := rawFile(t, shot("1001", 5, 10), 40)
	damaged := bytes.Clone(whole)
	damaged[len(damaged)-4000] ^= 0xff
	c.put("A/DSC_0001.DNG", damaged)
	c.put("aside/A/DSC_0001.DNG", whole)
	before := c.scan(nil)
	if len(before.Frames) != 1 || before.Frames[0].Files[0].Path != "A/DSC_0001.DNG" {
		t.Fatalf("%+v", before.Frames)
	}
	scan := func(known map[cull.ID]cull.Frame, paths ...string) Result {
		t.Helper()
		o := Options{Known: known, Damaged: map[string]bool{}}
		for _, p := range paths {
			o.Damaged[p] = true
		}
		res, err := Scan(context.Background(), c.dir, o)
		if err != nil || len(res.Frames) != 1 {
			t.Fatalf("%+v, %v", res.Frames, err)
		}
		return res
	}
	known := map[cull.ID]cull.Frame{before.Frames[0].ID: before.Frames[0]}
	for _, first := range []map[cull.ID]cull.Frame{nil, known} {
		res := scan(first, "A/DSC_0001.DNG")
		f := res.Frames[0]
		if f.ID != before.Frames[0].ID || f.Files[0].Path != "aside/A/DSC_0001.DNG" || f.Files[1].Role != cull.RoleTwin || len(res.Changed) != 1 {
			t.Errorf("%+v", f)
		}
		if f.Previews[0].File != f.Files[0].Path {
			t.Errorf("the picture is that of %s", f.Previews[0].File)
		}
		again := scan(map[cull.ID]cull.Frame{f.ID: f}, "A/DSC_0001.DNG")
		if again.Read != 0 || len(again.Changed) != 0 {
			t.Errorf("again: %d read, changed %v", again.Read, again.Changed)
		}
	}
	both := scan(known, "A/DSC_0001.DNG", "aside/A/DSC_0001.DNG")
	if both.Frames[0].Files[0].Path != "A/DSC_0001.DNG" || both.Read != 0 {
		t.Errorf("both damaged: %+v", both.Frames[0])
	}
	c.put("A/DSC_0001.JPG", jpegFile(t, shot("1001", 5, 10), 40))
	if f := scan(nil, "A/DSC_0001.DNG", "aside/A/DSC_0001.DNG").Frames[0]; f.Kind != "DNG" {
		t.Errorf("led by a %s", f.Kind)
	}
}

func TestSecondScanReadsNothing(t *testing.T) {
	c := newCard(t)
	c.put("A/LMR_0001.DNG", rawFile(t, shot("1001", 5, 10), 10))
	c.put("A/LMR_0002.DNG", rawFile(t, shot("1001", 6, 10), 10))
	first := c.scan(nil)
	second := c.scan(first.Frames)
	if second.Read != 0 || second.Reused != 2 || len(second.Changed) != 0 || len(second.Frames) != 2 {
		t.Errorf("read %d, reused %d, changed %v", second.Read, second.Reused, second.Changed)
	}
	if err := os.Remove(filepath.Join(c.dir, "A/LMR_0001.DNG")); err != nil {
		t.Fatal(err)
	}
	if third := c.scan(first.Frames); len(third.Gone) != 1 || third.Gone[0] != first.Frames[0].ID {
		t.Errorf("gone %v", third.Gone)
	}
}

func TestWhatIsNoPictureIsListedAndWhatIsBrokenStillAppears(t *testing.T) {
	c := newCard(t)
	c.put("A/LMR_0001.DNG", nil)
	c.put("A/LMR_0002.DNG", nil)
	c.put("A/LMR_0003.JPG", []byte("not a picture"))
	c.put("A/notes.txt", []byte("bring the rings"))
	c.put("keeps.txt", []byte("A/LMR_0001.DNG\n"))
	c.put("garner.toml", nil)
	c.put("A/LMR_0009.WAV", []byte("RIFF"))
	c.put("finished/LMR_0001.jpg", picture(t, 64, 64, 1))
	c.put("sets/web/LMR_0001.jpg", picture(t, 64, 64, 1))
	c.put(".garner/cache/x.jpg", picture(t, 64, 64, 1))
	if runtime.GOOS != "windows" {
		if err := os.Symlink(c.dir, filepath.Join(c.dir, "A", "loop")); err != nil {
			t.Fatal(err)
		}
		c.put("A/IMG\x1b[2J\n\u202e\xff.jpg", jpegFile(t, shot("1", 1, 1), 3))
	}
	res := c.scan(nil)
	want := []string{"A/LMR_0001", "A/LMR_0002", "A/LMR_0003"}
	if runtime.GOOS != "windows" {
		want = append([]string{"A/IMG\x1b[2J\n\u202e\xff"}, want...)
	}
	if got := names(res.Frames); !slices.Equal(got, want) {
		t.Errorf("frames %q", got)
	}
	for _, f := range res.Frames[len(res.Frames)-3:] {
		if len(f.Problems) == 0 {
			t.Errorf("%s has no problem", f.Name)
		}
	}
	var others []string
	for _, o := range res.Others {
		others = append(others, o.Path)
	}
	wantOthers := []string{"A/LMR_0009.WAV", "A/loop", "A/notes.txt"}
	if runtime.GOOS == "windows" {
		wantOthers = []string{"A/LMR_0009.WAV", "A/notes.txt"}
	}
	if !slices.Equal(others, wantOthers) {
		t.Errorf("others %q", res.Others)
	}
}

func TestUnreadableFolderAndFile(t *testing.T) {
	if os.Geteuid() == 0 || runtime.GOOS == "windows" {
		t.Skip("needs a user whom permissions bind")
	}
	c := newCard(t)
	c.put("A/LMR_0001.DNG", rawFile(t, shot("1001", 5, 10), 10))
	c.put("B/LMR_0001.DNG", rawFile(t, shot("1001", 6, 10), 10))
	if err := os.Chmod(filepath.Join(c.dir, "A/LMR_0001.DNG"), 0); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(filepath.Join(c.dir, "B"), 0); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.Chmod(filepath.Join(c.dir, "B"), 0o755) })
	res := c.scan(nil)
	if len(res.Frames) != 1 || res.Frames[0].Problems[0].Code != "unreadable" || len(res.Others) != 1 || res.Others[0].Path != "B" {
		t.Errorf("frames %+v others %v", res.Frames, res.Others)
	}
}

func TestInterruptedScanGivesNothing(t *testing.T) {
	c := newCard(t)
	c.put("A/LMR_0001.DNG", rawFile(t, shot("1001", 5, 10), 10))
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Scan(ctx, c.dir, Options{}); err == nil {
		t.Error("no error")
	}
}

func TestAJobReachedByALink(t *testing.T) {
	c := newCard(t)
	c.put("A/LMR_0001.DNG", rawFile(t, shot("1001", 5, 11), 20))
	link := filepath.Join(t.TempDir(), "job")
	if err := os.Symlink(c.dir, link); err != nil {
		t.Skip("no symbolic links here: " + err.Error())
	}
	res, err := Scan(context.Background(), link, Options{})
	if err != nil || len(res.Frames) != 1 || res.Frames[0].Name != "A/LMR_0001" {
		t.Errorf("frames %v, %v", names(res.Frames), err)
	}
}

// A body that writes 00 into every file's sub-second: the pairs of a burst lie in
// RAW/ and JPG/, and the first JPEG is missing. None may slip to the next raw.
func TestABurstWithoutRealSubSecondsDoesNotSlip(t *testing.T) {
	c := newCard(t)
	for i, n := range []string{"LMR_0001", "LMR_0002", "LMR_0003"} {
		c.put("RAW/"+n+".DNG", rawFile(t, shot("1001", 5, 0), uint8(20+i*30)))
		if i > 0 {
			c.put("JPG/"+n+".JPG", jpegFile(t, shot("1001", 5, 0), uint8(20+i*30)))
		}
	}
	c.put("JPG/LMR_0007.JPG", jpegFile(t, shot("1001", 5, 0), 200)) // its raw is gone
	res := c.scan(nil)
	want := []string{
		"JPG/LMR_0007.JPG=main", "RAW/LMR_0001.DNG=main",
		"RAW/LMR_0002.DNG=main JPG/LMR_0002.JPG=jpeg", "RAW/LMR_0003.DNG=main JPG/LMR_0003.JPG=jpeg",
	}
	var got []string
	for _, f := range res.Frames {
		got = append(got, roles(f))
	}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

// A renamed JPEG whose time fits two raws of a burst stays by itself.
func TestInDoubtAFileStaysByItself(t *testing.T) {
	c := newCard(t)
	c.put("A/LMR_0001.DNG", rawFile(t, shot("1001", 5, 25), 20))
	c.put("A/LMR_0002.DNG", rawFile(t, shot("1001", 5, 25), 60))
	c.put("A/bride.JPG", jpegFile(t, shot("1001", 5, 25), 60))
	if res := c.scan(nil); len(res.Frames) != 3 {
		t.Errorf("frames %v", names(res.Frames))
	}
}

// A failing card fills many files with the same bytes. Each is a frame of its
// own, keeps its id, and one that is renamed is not taken for another.
func TestEqualFillerIsNotOneExposure(t *testing.T) {
	c := newCard(t)
	for _, n := range []string{"A/LMR_0001.NEF", "A/LMR_0002.NEF", "A/LMR_0003.NEF"} {
		c.put(n, make([]byte, 100_000))
	}
	first := c.scan(nil)
	if len(first.Frames) != 3 {
		t.Fatalf("frames %v", names(first.Frames))
	}
	if err := os.Rename(filepath.Join(c.dir, "A/LMR_0002.NEF"), filepath.Join(c.dir, "A/LMR_0009.NEF")); err != nil {
		t.Fatal(err)
	}
	again := c.scan(first.Frames)
	if len(again.Frames) != 3 || again.Frames[0].ID != first.Frames[0].ID || again.Frames[1].ID != first.Frames[2].ID || again.Frames[2].ID != first.Frames[1].ID {
		t.Errorf("was %v, is %v: %v", first.Frames, names(again.Frames), again.Frames)
	}
}

func TestTwoEmptyFilesAreTwoFrames(t *testing.T) {
	c := newCard(t)
	for _, n := range []string{"A/LMR_0001.NEF", "B/LMR_0001.NEF", "A/LMR_0002.NEF"} {
		c.put(n, nil)
	}
	res := c.scan(nil)
	if len(res.Frames) != 3 || res.Frames[0].ID == res.Frames[1].ID || res.Frames[1].ID == res.Frames[2].ID {
		t.Errorf("frames %v", res.Frames)
	}
	if again := c.scan(res.Frames); len(again.Changed) != 0 || again.Read != 0 {
		t.Errorf("changed %v, read %d", again.Changed, again.Read)
	}
}

// A copy of a raw is its twin under any name, though its JPEG alone would not
// tell that it belongs to that name.
func TestARenamedCopyIsATwin(t *testing.T) {
	c := newCard(t)
	s := shot("1001", 5, 0)
	c.put("A/LMR_0001.DNG", rawFile(t, s, 20))
	c.put("A/LMR_0001.JPG", jpegFile(t, s, 20))
	c.put("backup/bride.DNG", rawFile(t, s, 20))
	res := c.scan(nil)
	if len(res.Frames) != 1 || roles(res.Frames[0]) != "A/LMR_0001.DNG=main A/LMR_0001.JPG=jpeg backup/bride.DNG=twin" {
		t.Errorf("frames %v", res.Frames)
	}
}

// What a deleted frame of one body leaves behind is not given to the other
// body's frame of that name; a folder of voice notes alone is nobody's.
func TestLeftoversAreNotAnotherBodys(t *testing.T) {
	c := newCard(t)
	c.put("A/LMR_0002.DNG", rawFile(t, shot("1001", 9, 11), 20))
	c.put("A/LMR_0001.xmp", []byte("<x/>"))
	c.put("A/LMR_0001.WAV", []byte("RIFF"))
	c.put("B/LMR_0001.DNG", rawFile(t, shot("2002", 5, 11), 60))
	c.put("notes/LMR_0002.WAV", []byte("RIFF"))
	res := c.scan(nil)
	var got []string
	for _, f := range res.Frames {
		got = append(got, roles(f))
	}
	if want := []string{"A/LMR_0002.DNG=main notes/LMR_0002.WAV=voice", "B/LMR_0001.DNG=main"}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
	if len(res.Others) != 2 || !strings.Contains(res.Others[0].Why, "another body") {
		t.Errorf("others %v", res.Others)
	}
}
