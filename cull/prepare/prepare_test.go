package prepare

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/job"
	"garner/preview/build"
	"garner/preview/cache"
)

// shoot is a job folder being filled with invented camera files.
type shoot struct {
	t   *testing.T
	dir string
}

func newShoot(t *testing.T) shoot { return shoot{t, t.TempDir()} }

// picture draws waves that depend on look, so that two looks have different
// fingerprints, with the left upper corner white.
func picture(t testing.TB, w, h, look int) []byte {
	t.Helper()
	m := image.NewGray(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			u, v := float64(x)/float64(w), float64(y)/float64(h)
			m.Pix[y*m.Stride+x] = uint8(110 + 50*math.Sin(u*float64(3+look%5)*2+float64(look)) + 50*math.Cos(v*float64(2+look%7)*2))
			if u < 0.2 && v < 0.2 {
				m.Pix[y*m.Stride+x] = 255
			}
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// shot is what an invented body took so many seconds after the first.
func shot(serial string, second, orientation int) build.Shot {
	return build.Shot{
		Make: "Lumora", Model: "Lumora Five", Serial: serial, Orientation: orientation,
		Taken:   build.Clock{Wall: time.Date(2026, 6, 13, 14, 2, 0, 0, time.UTC).Add(time.Duration(second) * time.Second), Digits: 2},
		Counter: int64(10_000 + second), // with the serial and the time that is the frame's identity
		Seconds: build.Rational{Num: 1, Den: 250}, FNumber: build.Rational{Num: 28, Den: 10}, ISO: 800,
		Width: 1800, Height: 1200,
	}
}

func (s shoot) put(path string, data []byte) {
	s.t.Helper()
	p := filepath.Join(s.dir, filepath.FromSlash(path))
	if err := os.MkdirAll(filepath.Dir(p), 0o777); err != nil {
		s.t.Fatal(err)
	}
	if err := os.WriteFile(p, data, 0o666); err != nil {
		s.t.Fatal(err)
	}
}

// raw puts a raw with a full JPEG of w by h and a thumbnail.
func (s shoot) raw(path string, of build.Shot, w, h, look int) {
	s.t.Helper()
	b, err := build.DNG(of, build.Pictures{Full: picture(s.t, w, h, look), Thumb: picture(s.t, 160, 120, look)}, binary.LittleEndian)
	if err != nil {
		s.t.Fatal(err)
	}
	s.put(path, b)
}

func (s shoot) open() *job.Job {
	s.t.Helper()
	now := time.Date(2026, 6, 14, 9, 0, 0, 0, time.UTC)
	j, err := job.Open(s.dir, job.Options{Who: "test", Now: func() time.Time { return now }})
	if err != nil {
		s.t.Fatal(err)
	}
	s.t.Cleanup(func() { j.Close() })
	return j
}

func (s shoot) run(o Options) Summary {
	s.t.Helper()
	sum, err := Run(s.t.Context(), s.open(), o)
	if err != nil {
		s.t.Fatal(err)
	}
	return sum
}

// frames returns the frames of the job by name, as they are kept.
func (s shoot) frames() map[string]cull.Frame {
	s.t.Helper()
	all, err := s.open().Frames()
	if err != nil {
		s.t.Fatal(err)
	}
	out := map[string]cull.Frame{}
	for _, f := range all {
		out[f.Name] = f
	}
	return out
}

// thumb returns the thumbnail of a frame out of the cache.
func (s shoot) thumb(f cull.Frame) *image.Gray {
	s.t.Helper()
	key, ok := ThumbKey(f)
	if !ok {
		s.t.Fatalf("%s has no key", f.Name)
	}
	b, ok := cache.Open(s.open().CacheDir(), cache.Options{}).Thumb(key)
	if !ok {
		s.t.Fatalf("%s has no thumbnail", f.Name)
	}
	m, err := jpeg.Decode(bytes.NewReader(b))
	if err != nil {
		s.t.Fatal(err)
	}
	return m.(*image.Gray)
}

func TestRun(t *testing.T) {
	s := newShoot(t)
	s.raw("A/L0001.DNG", shot("222", 100, 1), 1800, 1200, 1)
	s.raw("A/L0002.DNG", shot("222", 101, 6), 1800, 1200, 2)
	s.raw("B/L0001.DNG", shot("111", 50, 8), 1800, 1200, 3)
	s.put("B/L0002.NEF", nil)
	s.put("notes.txt", []byte("not a picture"))

	var reports []FrameReport
	var progress []Progress
	sum := s.run(Options{Workers: 2, Frame: func(r FrameReport) { reports = append(reports, r) }, Progress: func(p Progress) { progress = append(progress, p) }})
	if sum.Frames != 4 || sum.New != 4 || sum.Made != 3 || sum.Failed != 1 || sum.Cached != 0 || sum.Others != 1 || sum.Bodies != 2 || len(sum.Warnings) != 0 {
		t.Errorf("%+v", sum)
	}
	var names []string
	letters := map[string]string{}
	for _, r := range reports {
		names, letters[r.Frame.Name] = append(names, r.Frame.Name), r.Letter
		if (r.Err != nil) != (r.Frame.Name == "B/L0002") || r.Frame.HasFingerprint == (r.Err != nil) {
			t.Errorf("%s: %v", r.Frame.Name, r.Err)
		}
	}
	if want := []string{"A/L0001", "A/L0002", "B/L0001", "B/L0002"}; !slices.Equal(names, want) {
		t.Errorf("reported %v", names)
	}
	// The body that began to shoot first is A.
	if letters["B/L0001"] != "A" || letters["A/L0001"] != "B" || letters["A/L0002"] != "B" {
		t.Errorf("letters %v", letters)
	}

	frames := s.frames()
	for name, size := range map[string]image.Point{"A/L0001": {256, 171}, "A/L0002": {171, 256}, "B/L0001": {171, 256}} {
		f := frames[name]
		m := s.thumb(f)
		if m.Rect.Size() != size || !f.HasFingerprint || f.Luma < 0.2 || f.Luma > 0.8 || !f.CanBeShown() {
			t.Errorf("%s: thumbnail %v, fingerprint %v, luma %.2f", name, m.Rect.Size(), f.HasFingerprint, f.Luma)
		}
		// The white corner of the stored picture: a quarter turn clockwise brings
		// it to the right top (orientation 6), one anticlockwise to the left bottom.
		x, y := map[string]int{"A/L0001": 8, "A/L0002": size.X - 8, "B/L0001": 8}[name], map[string]int{"A/L0001": 8, "A/L0002": 8, "B/L0001": size.Y - 8}[name]
		if m.GrayAt(x, y).Y < 240 {
			t.Errorf("%s is not upright", name)
		}
		if _, ok := RenditionKey(f); ok {
			t.Errorf("%s has 2 MP by itself and needs no rendition", name)
		}
	}
	broken := frames["B/L0002"]
	if broken.CanBeShown() || broken.HasFingerprint {
		t.Errorf("an empty file can be shown: %+v", broken.Problems)
	}
	layout, err := s.open().Layout()
	if err != nil || len(layout.Places) != 4 || len(layout.Scenes) != sum.Scenes || sum.Moments == 0 {
		t.Errorf("layout of %d frames and %d scenes, %v", len(layout.Places), len(layout.Scenes), err)
	}
	last := progress[len(progress)-1]
	if last.Stage != Grouping || last.Done != 4 {
		t.Errorf("ended with %+v", last)
	}
	for i, p := range progress {
		if i > 0 && p.Stage == progress[i-1].Stage && p.Done < progress[i-1].Done {
			t.Errorf("progress went back: %+v", p)
		}
	}

	again := s.run(Options{})
	if again.Cached != 3 || again.Made != 0 || again.New != 0 || again.Failed != 1 {
		t.Errorf("the second time: %+v", again)
	}
}

func TestChangedMovedDeleted(t *testing.T) {
	s := newShoot(t)
	for i := range 6 {
		s.raw(fmt.Sprintf("A/L%04d.DNG", i), shot("1", i*10, 1), 900, 600, i)
	}
	s.run(Options{})
	before := s.frames()

	// Moved: nothing is made again.
	if err := os.Rename(filepath.Join(s.dir, "A"), filepath.Join(s.dir, "moved")); err != nil {
		t.Fatal(err)
	}
	if sum := s.run(Options{}); sum.Cached != 6 || sum.Made != 0 || sum.Frames != 6 {
		t.Errorf("moved: %+v", sum)
	}
	// A sidecar that joins is no picture.
	s.put("moved/L0001.xmp", []byte("<x:xmpmeta xmlns:x='adobe:ns:meta/'/>"))
	if sum := s.run(Options{}); sum.Cached != 6 || sum.Made != 0 {
		t.Errorf("with a sidecar: %+v", sum)
	}
	// Changed: that one, and with another fingerprint.
	s.raw("moved/L0003.DNG", shot("1", 30, 1), 900, 600, 17)
	if sum := s.run(Options{}); sum.Cached != 5 || sum.Made != 1 {
		t.Errorf("changed: %+v", sum)
	}
	// The same when that run ends before it comes to the picture.
	s.raw("moved/L0004.DNG", shot("1", 40, 1), 900, 600, 23)
	if _, err := Scan(t.Context(), s.open()); err != nil {
		t.Fatal(err)
	}
	if sum := s.run(Options{}); sum.Cached != 5 || sum.Made != 1 {
		t.Errorf("changed and scanned before: %+v", sum)
	}
	after := s.frames()
	if a, b := before["A/L0003"], after["moved/L0003"]; a.ID != b.ID || a.Fingerprint == b.Fingerprint {
		t.Errorf("changed: %s %016x, then %s %016x", a.ID, a.Fingerprint, b.ID, b.Fingerprint)
	}
	// One file gone, the cache gone: the rest is made again.
	os.Remove(filepath.Join(s.dir, "moved", "L0005.DNG"))
	if err := os.RemoveAll(s.open().CacheDir()); err != nil {
		t.Fatal(err)
	}
	sum := s.run(Options{})
	if sum.Frames != 5 || sum.Gone != 1 || sum.Made != 5 || sum.Cached != 0 {
		t.Errorf("gone: %+v", sum)
	}
	layout, err := s.open().Layout()
	if err != nil || len(layout.Places) != 5 {
		t.Errorf("layout of %d frames, %v", len(layout.Places), err)
	}
	if err := Regroup(s.open()); err != nil {
		t.Fatal(err)
	}
	if layout, err := s.open().Layout(); err != nil || len(layout.Places) != 5 {
		t.Errorf("regrouped: layout of %d frames, %v", len(layout.Places), err)
	}
	if all, err := s.open().Frames(); err != nil || len(all) != 6 {
		t.Errorf("%d frames are kept, %v: the one without a file has decisions to keep", len(all), err)
	}
}

func TestInterruptedAtAnyFrame(t *testing.T) {
	s := newShoot(t)
	const n = 12
	for i := range n {
		s.raw(fmt.Sprintf("A/L%04d.DNG", i), shot("1", i, 1), 600, 400, i)
	}
	done := 0
	for round := 0; done < n; round++ {
		ctx, cancel := context.WithCancel(t.Context())
		seen, made := 0, 0
		sum, err := Run(ctx, s.open(), Options{Workers: 2, Frame: func(r FrameReport) {
			seen++
			if !r.Cached {
				if made++; made == 2 && seen < n {
					cancel()
				}
			}
		}})
		cancel()
		if seen < n && !errors.Is(err, context.Canceled) || seen == n && err != nil {
			t.Fatalf("round %d: %d of %d frames, %v", round, seen, n, err)
		}
		if sum.Cached < done {
			t.Fatalf("round %d found %d of the %d frames that were done", round, sum.Cached, done)
		}
		kept := 0
		for _, f := range s.frames() {
			if f.HasFingerprint {
				kept++
			}
		}
		if kept < sum.Cached+sum.Made || sum.Made == 0 {
			t.Fatalf("round %d: %d frames are kept of %d and %d", round, kept, sum.Cached, sum.Made)
		}
		layout, lerr := s.open().Layout()
		if lerr != nil || len(layout.Places) != n {
			t.Fatalf("round %d: layout of %d frames, %v", round, len(layout.Places), lerr)
		}
		done = sum.Cached + sum.Made
	}
}

func TestCalledOffBeforeItBegins(t *testing.T) {
	s := newShoot(t)
	s.raw("A/L1.DNG", shot("1", 0, 1), 600, 400, 1)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := Run(ctx, s.open(), Options{}); !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
	if sum := s.run(Options{}); sum.Made != 1 {
		t.Errorf("%+v", sum)
	}
}

func TestSmallPreviewsGetARendition(t *testing.T) {
	s := newShoot(t)
	s.raw("A/L1.DNG", shot("1", 0, 6), 1200, 800, 1)
	sum := s.run(Options{})
	if sum.Renditions != 1 || sum.Made != 1 {
		t.Fatalf("%+v", sum)
	}
	key, ok := RenditionKey(s.frames()["A/L1"])
	if !ok {
		t.Fatal("no key")
	}
	c := cache.Open(s.open().CacheDir(), cache.Options{})
	b, ok := c.Rendition(key)
	if !ok {
		t.Fatal("no rendition")
	}
	if m, err := jpeg.DecodeConfig(bytes.NewReader(b)); err != nil || m.Width != 800 || m.Height != 1200 {
		t.Errorf("%dx%d, %v", m.Width, m.Height, err)
	}
	if sum := s.run(Options{}); sum.Cached != 1 {
		t.Errorf("%+v", sum)
	}
	if err := os.RemoveAll(filepath.Join(s.open().CacheDir(), "renditions")); err != nil {
		t.Fatal(err)
	}
	if sum := s.run(Options{}); sum.Cached != 0 || sum.Renditions != 1 {
		t.Errorf("after losing it: %+v", sum)
	}
}

func TestScanAloneIsEnoughToDecide(t *testing.T) {
	s := newShoot(t)
	s.raw("A/L1.DNG", shot("1", 0, 1), 600, 400, 1)
	s.raw("A/L2.DNG", shot("1", 1, 1), 600, 400, 1)
	sum, err := Scan(t.Context(), s.open())
	if err != nil || sum.Frames != 2 || sum.Made != 0 || sum.Bodies != 1 {
		t.Fatalf("%+v, %v", sum, err)
	}
	layout, err := s.open().Layout()
	if err != nil || len(layout.Places) != 2 {
		t.Errorf("layout of %d frames, %v", len(layout.Places), err)
	}
	if _, err := os.Stat(s.open().CacheDir()); err == nil {
		t.Error("a cache was made")
	}
	if f := s.frames()["A/L1"]; f.HasFingerprint || len(f.Previews) == 0 {
		t.Errorf("%+v", f)
	}
}

func TestRegroupAfterAClockWasSet(t *testing.T) {
	s := newShoot(t)
	s.raw("A/L1.DNG", shot("1", 0, 1), 600, 400, 1)
	s.raw("B/L1.DNG", shot("2", -440, 1), 600, 400, 2) // 7 min 20 s behind
	s.raw("B/L2.DNG", shot("2", -430, 1), 600, 400, 3)
	s.run(Options{})
	order := func() (names []string) {
		layout, err := s.open().Layout()
		if err != nil {
			t.Fatal(err)
		}
		byID := map[cull.ID]string{}
		for name, f := range s.frames() {
			byID[f.ID] = name
		}
		for _, p := range layout.Places {
			names = append(names, byID[p.Frame])
		}
		return names
	}
	if got := order(); !slices.Equal(got, []string{"B/L1", "B/L2", "A/L1"}) {
		t.Errorf("before: %v", got)
	}
	j := s.open()
	body := s.frames()["B/L1"].Body
	if _, err := j.Append(job.SetOffset(body, cull.Offset{Add: 445 * time.Second})); err != nil {
		t.Fatal(err)
	}
	if err := Regroup(j); err != nil {
		t.Fatal(err)
	}
	if got := order(); !slices.Equal(got, []string{"A/L1", "B/L1", "B/L2"}) {
		t.Errorf("after: %v", got)
	}
	// A scene named by hand keeps its name.
	if _, err := j.Append(cull.Entry{Verb: cull.VerbScene, Args: []string{"#" + string(s.frames()["B/L1"].ID), "First dance"}}); err != nil {
		t.Fatal(err)
	}
	if err := Regroup(j); err != nil {
		t.Fatal(err)
	}
	if l, err := j.Layout(); err != nil || l.Scenes[l.Places[1].Scene].Name != "First dance" {
		t.Errorf("scenes %+v, %v", l.Scenes, err)
	}
	entries, err := j.Entries()
	if err != nil {
		t.Fatal(err)
	}
	s.run(Options{})
	if again, err := j.Entries(); err != nil || len(again) != len(entries) {
		t.Errorf("another run added entries: %d, then %d", len(entries), len(again))
	}
}
