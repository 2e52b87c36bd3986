package record

import (
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"garner/cull"
)

func wall(t *rapid.T, digits int) time.Time {
	ns := rapid.Int64Range(0, 4e18).Draw(t, "ns")
	unit := int64(time.Second)
	for range digits {
		unit /= 10
	}
	return time.Unix(0, ns/unit*unit).UTC()
}

func stamp(t *rapid.T) cull.Stamp {
	s := cull.Stamp{ZoneIs: cull.ZoneUnknown}
	if rapid.Bool().Draw(t, "timeless") {
		return s
	}
	s.Digits = rapid.IntRange(0, 9).Draw(t, "digits")
	s.Wall = wall(t, s.Digits)
	s.ZoneIs = rapid.SampledFrom([]cull.ZoneState{cull.ZoneUnknown, cull.ZoneKnown, cull.ZoneSet}).Draw(t, "zone is")
	if s.ZoneIs != cull.ZoneUnknown {
		s.Zone = rapid.IntRange(-12*60, 14*60).Draw(t, "zone")
	}
	return s
}

func jobName(t *rapid.T) string {
	return rapid.SampledFrom([]string{"A/IMG_0001", "C/Day one/\xff\xfe", "ümlaut", "a b/\"c\"\n", "A/…"}).Draw(t, "name")
}

func known(t *rapid.T) Known {
	when := time.UnixMilli(rapid.Int64Range(0, 4e12).Draw(t, "at")).UTC()
	bias := rapid.Float64Range(-5, 5).Draw(t, "bias")
	flash := rapid.Bool().Draw(t, "flash")
	k := Known{
		Frame: cull.Frame{
			ID: "0123456789abcdef", Aliases: []cull.ID{"0123456789abcde0"}, Name: jobName(t), Kind: "CR3", Body: "serial:X:1", Taken: stamp(t), Luma: 0.25,
			Fingerprint: rapid.Uint64().Draw(t, "hash"), HasFingerprint: true,
			Shot:     cull.Shot{Orientation: 6, Seconds: 0.004, FNumber: 2.8, ISO: 400, Bias: &bias, Flash: &flash, Lens: "x", Width: 6000, Counter: 7, Protected: flash, ColorSpace: "sRGB"},
			Files:    []cull.File{{Path: jobName(t), Role: cull.RoleMain, Kind: "CR3", Size: rapid.Int64Range(0, 1e12).Draw(t, "size"), Head: "ab"}},
			Problems: []cull.Problem{{Code: "a", Text: "b"}},
		},
		Place:   cull.Place{Frame: "0123456789abcdef", Moment: 3, Kind: cull.Series, Series: cull.Panorama, Alike: 2, Scene: 1, Corrected: stamp(t)},
		Order:   rapid.IntRange(0, 9999).Draw(t, "order"),
		Answers: map[string]cull.Decision{"keep": {Answer: cull.Part, Who: "anna", At: when, Shown: flash, Explicit: true}},
		Look:    cull.Look{Method: 1, Parts: [cull.LookParts]uint64{rapid.Uint64().Draw(t, "part")}, Grey: flash},
	}
	k.Measures.Light = cull.Light{Method: 1, Highlights: 0.125, AnyHigh: 0.25, Shadows: 0.5}
	k.Measures.Focus = cull.Focus{Method: 1, Width: 10, Height: 20, Spots: []cull.Spot{{By: cull.BySubject, Sharpness: cull.Sharpness{Energy: 1.5, Edge: 2, Pixels: 160}}}}
	k.Measures.Faces = cull.Faces{Method: 1, List: []cull.Face{{Eyes: cull.EyesClosed, Opening: 0.125, Score: 0.5}}}
	return k
}

// What a job knows of a frame is the same after it was a line of a record, previews and
// the times of files aside.
func TestFramesComeBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := known(t)
		line, err := json.Marshal(FrameOf(want))
		if err != nil {
			t.Fatal(err)
		}
		var o Frame
		if err := json.Unmarshal(line, &o); err != nil {
			t.Fatal(err)
		}
		got, err := o.Known()
		if err != nil || !reflect.DeepEqual(got, want) {
			t.Fatalf("%v\n%+v, want\n%+v\nof %s", err, got, want, line)
		}
	})
}

func TestBodiesComeBack(t *testing.T) {
	zone := -90
	want := cull.Body{Key: "serial:X:1", Letter: "B", Make: "m", Model: "n", Serial: "1", Photographer: "p", Offsets: []cull.Offset{
		{Add: -440 * time.Second}, {From: time.Date(2026, 6, 13, 14, 0, 0, 5e8, time.UTC), Add: 1500 * time.Millisecond, Zone: &zone}}}
	if got, err := BodyOf(want).Body(); err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("%v, %+v", err, got)
	}
}

func TestClocksThatCannotBe(t *testing.T) {
	for _, seconds := range []float64{1e300, -1e10} {
		if b, err := (Body{Offsets: []Offset{{Seconds: seconds}}}).Body(); err == nil {
			t.Errorf("%g seconds: %v", seconds, b.Offsets)
		}
	}
}

func write(t *testing.T, bag string, run int, c Content) {
	t.Helper()
	dir := filepath.Join(bag, filepath.FromSlash(RunFolder(run)))
	if err := os.MkdirAll(dir, 0o777); err != nil {
		t.Fatal(err)
	}
	c.Job.Run = run
	files, err := c.Encode()
	if err != nil {
		t.Fatal(err)
	}
	for name, b := range files {
		if err := os.WriteFile(filepath.Join(dir, name), b, 0o666); err != nil {
			t.Fatal(err)
		}
	}
}

func TestTheLastWholeRecordCounts(t *testing.T) {
	bag := t.TempDir()
	if _, err := Open(bag); err != ErrNone {
		t.Errorf("an empty folder: %v", err)
	}
	write(t, bag, 1, Content{Job: Job{Name: "first"}})
	write(t, bag, 2, Content{Job: Job{Name: "second"}, Frames: []Frame{{ID: "a"}, {ID: "b"}}, Journal: []byte("j"), Thumbs: []byte("0123")})
	write(t, bag, 3, Content{})
	if err := os.Remove(filepath.Join(bag, filepath.FromSlash(RunFolder(3)), JobName)); err != nil {
		t.Fatal(err)
	}
	r, err := Open(bag)
	if err != nil || r.Job.Name != "second" || r.Job.Frames != 2 {
		t.Fatalf("%+v, %v", r, err)
	}
	var ids []cull.ID
	for f, err := range r.Frames() {
		if err != nil {
			t.Fatal(err)
		}
		ids = append(ids, f.ID)
	}
	if j, err := r.Journal(); string(j) != "j" || err != nil || len(ids) != 2 {
		t.Errorf("%q %v %v", j, err, ids)
	}
	if b, err := r.Thumb(Span{1, 2}); string(b) != "12" || err != nil {
		t.Errorf("%q %v", b, err)
	}
	for _, s := range []Span{{3, 2}, {-1, 2}, {0, 1 << 40}, {0, 0}} {
		if b, err := r.Thumb(s); err == nil {
			t.Errorf("%v gives %q", s, b)
		}
	}
}

// A bag may come from anywhere: nothing in it leads out of the job.
func TestPathsThatLeaveTheJobAreRefused(t *testing.T) {
	for _, p := range []string{"", ".", "..", "../a", "a/../../b", "a//b", "/etc/passwd", "~/a", `a\b`, "C:a", "a/\x00", "a/."} {
		if _, err := (File{Path: p}).JobPath(); err == nil {
			t.Errorf("%q is taken", p)
		}
		if _, err := (Frame{Name: p}).Known(); err == nil {
			t.Errorf("%q is taken for a name", p)
		}
	}
	if p, err := (File{Path: "?", Raw: "Lg=="}).JobPath(); err == nil {
		t.Errorf("%q is taken", p)
	}
}

func TestBrokenLinesAreSaid(t *testing.T) {
	bag := t.TempDir()
	write(t, bag, 1, Content{Frames: []Frame{{ID: "a"}}})
	name := filepath.Join(bag, filepath.FromSlash(RunFolder(1)), FramesName)
	for text, want := range map[string]string{"{\"id\":\"a\"}\n{": "line 2", "{\"id\":\"" + strings.Repeat("x", maxLine) + "\"}": "too long"} {
		if err := os.WriteFile(name, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
		r, err := Open(bag)
		if err != nil {
			t.Fatal(err)
		}
		var last error
		for _, err := range r.Frames() {
			last = err
		}
		if last == nil || !strings.Contains(last.Error(), want) {
			t.Errorf("%.20q: %v, want %q", text, last, want)
		}
	}
}

// A few bytes each, and a hundred times as many when they are read: no job has so many
// bodies, and no frame so many files.
func TestTooMuchIsRefused(t *testing.T) {
	bag := t.TempDir()
	write(t, bag, 1, Content{Job: Job{Scenes: make([]Scene, 10_000)}})
	dir := filepath.Join(bag, filepath.FromSlash(RunFolder(1)))
	r, err := Open(bag)
	if err != nil || len(r.Job.Scenes) != 10_000 {
		t.Fatalf("10,000 scenes: %v", err)
	}
	many := strings.TrimSuffix(strings.Repeat("{},", 1_000_000), ",")
	for name, text := range map[string]string{
		JobName:     `{"v":1,"run":1,"bodies":[` + many + `]}`,
		FramesName:  `{"v":1,"files":[` + many + `]}` + "\n",
		JournalName: strings.Repeat("x", 1000),
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := Open(bag); !errors.Is(err, ErrLarge) {
		t.Errorf("bodies: %v", err)
	}
	if _, err := r.JournalWithin(999); !errors.Is(err, ErrLarge) {
		t.Errorf("journal: %v", err)
	}
	if j, err := r.JournalWithin(1000); len(j) != 1000 || err != nil {
		t.Errorf("journal: %d bytes, %v", len(j), err)
	}
	n := 0
	for f, err := range r.Frames() {
		if n++; err == nil {
			t.Errorf("%d files of a frame", len(f.Files))
		}
	}
	if n != 1 {
		t.Errorf("%d frames", n)
	}
	// Of a file without an end only as much is looked at as one may have.
	if err := os.Truncate(filepath.Join(dir, JournalName), 1<<40); err != nil {
		t.Skip(err)
	}
	if _, err := r.Journal(); !errors.Is(err, ErrLarge) {
		t.Errorf("journal without an end: %v", err)
	}
}

// What a frame of no job says is refused before anybody relies on it.
func TestFramesOfNoJob(t *testing.T) {
	const honest = `{"id":"0123456789abcdef","frame":"A/1","answers":{}}`
	for old, now := range map[string]string{
		`{}`:                 `{"keep":null}`,
		`"0123456789abcdef"`: `""`,
		`"0123456789abcde`:   `"0123456789ABCDE`,
		`f",`:                `f","aliases":["../x"],`,
		`"A/1"`:              `"` + strings.Repeat("x", 5000) + `"`,
		`"answers"`:          `"files":[{"path":"` + strings.Repeat("x", 5000) + `"}],"answers"`,
	} {
		var o Frame
		if err := json.Unmarshal([]byte(honest), &o); err != nil {
			t.Fatal(err)
		}
		if _, err := o.Known(); err != nil {
			t.Fatal(err)
		}
		o = Frame{}
		if err := json.Unmarshal([]byte(strings.Replace(honest, old, now, 1)), &o); err != nil {
			t.Fatal(err)
		}
		if _, err := o.Known(); err == nil || len(err.Error()) > 300 {
			t.Errorf("%.80s: %.80v", now, err)
		}
	}
}

func FuzzFrame(f *testing.F) {
	f.Add([]byte(`{"v":1,"id":"0123456789abcdef","frame":"A/1","time":{"local":"2026-06-13T14:02:11.130","zone":"+02:00","zone_is":"known"},"files":[{"path":"A/1.CR3"}],"answers":{"keep":{"answer":"no","at":"2026-06-13T14:02:11Z"}}}`))
	f.Add([]byte(`{"id":"0123456789abcdef","frame":"A/1","answers":{"keep":null},"measured":{"focus":null}}`))
	f.Fuzz(func(t *testing.T, line []byte) {
		var o Frame
		if json.Unmarshal(line, &o) != nil {
			return
		}
		k, err := o.Known()
		if err != nil {
			return
		}
		if again, err := FrameOf(k).Known(); err != nil || again.Frame.Name != k.Frame.Name {
			t.Fatalf("%+v, %v", again, err)
		}
	})
}
