package prepare

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"garner/cull"
	"garner/preview/cache"
	"garner/preview/jpeg"
	"garner/preview/raw"
)

// A letter stays with its body whatever comes later.
func TestLettersNeverMove(t *testing.T) {
	s := newShoot(t)
	s.raw("x/L1.DNG", shot("late", 500, 1), 300, 200, 1)
	s.run(Options{})
	s.raw("y/L1.DNG", shot("early", 0, 1), 300, 200, 2)
	s.raw("z/L1.DNG", shot("middle", 100, 1), 300, 200, 3)
	s.run(Options{})
	bodies, err := s.open().Bodies()
	if err != nil {
		t.Fatal(err)
	}
	got := ""
	for _, b := range bodies {
		got += b.Letter + "=" + b.Serial + " "
	}
	if got != "A=late B=early C=middle " {
		t.Error(got)
	}
}

func frameOf(files ...cull.File) cull.Frame { return cull.Frame{ID: "1", Files: files} }

func TestSources(t *testing.T) {
	f := frameOf(cull.File{Path: "a.NEF", Head: "h1"}, cull.File{Path: "a.JPG", Head: "h2"}, cull.File{Path: "a.xmp"})
	f.Previews = []cull.Preview{
		{File: "a.JPG", Offset: 0, Length: 9, Width: 6000, Height: 4000, Whole: true},
		{File: "a.NEF", Offset: 5, Length: 9, Width: 160, Height: 120, Whole: true},
	}
	order := func(edge int) (s string) {
		for _, src := range sources(f, edge) {
			s += src.file.Path + " "
		}
		return s
	}
	// The main file while it is enough, else the one that is.
	if got := order(100); got != "a.NEF a.JPG " {
		t.Errorf("100 px from %s", got)
	}
	if got := order(256); got != "a.JPG a.NEF " {
		t.Errorf("256 px from %s", got)
	}
	if got := order(9000); got != "a.NEF a.JPG " {
		t.Errorf("9000 px from %s", got)
	}
	if needsRendition(f) {
		t.Error("a rendition beside a JPEG of 24 MP")
	}
	one, _ := ThumbKey(f)
	f.Files[1].Path, f.Previews[0].File = "moved.JPG", "moved.JPG"
	if two, _ := ThumbKey(f); two != one {
		t.Error("moving a file changes its key")
	}
	f.Files[1].Head = "h3"
	if two, _ := ThumbKey(f); two == one {
		t.Error("another content has the same key")
	}
	if _, ok := ThumbKey(frameOf(cull.File{Path: "b.CR3"})); ok {
		t.Error("a key without a preview")
	}
	if load(f) < 6000*4000*3/2 || load(frameOf()) != 0 {
		t.Errorf("load %d", load(f))
	}
}

func TestProblemsAreRenewed(t *testing.T) {
	old := []cull.Problem{{Code: "no-time", Text: "a"}, {Code: cull.ProblemNoPicture, Text: "b"}, {Code: "preview-broken", Text: "c"}}
	got := withProblems(old, []raw.Problem{{Code: "preview-damaged", Text: "d"}, {Code: "preview-damaged", Text: "d"}})
	if fmt.Sprint(got) != "[{no-time a} {preview-damaged d}]" || old[1].Code != cull.ProblemNoPicture {
		t.Errorf("%v, %v", got, old)
	}
}

// A broken preview falls back to another; what is wrong is said and kept.
func TestBrokenPreviews(t *testing.T) {
	s := newShoot(t)
	s.raw("L1.DNG", shot("1", 0, 1), 1800, 1200, 1)
	s.raw("L2.DNG", shot("1", 100, 1), 1800, 1200, 2)
	s.run(Options{})
	full := s.frames()["L1"].Previews[0]
	for name, part := range map[string]int64{"L1.DNG": 0, "L2.DNG": 2} {
		path := filepath.Join(s.dir, name)
		b, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		// Within the entropy-coded data: the headers stay, so the file looks whole.
		from := full.Offset + full.Length*(part+1)/4
		for i := from; i < full.Offset+full.Length-2; i++ {
			b[i] = 0xFF
		}
		if name == "L1.DNG" {
			for _, p := range s.frames()["L1"].Previews[1:] {
				clear(b[p.Offset+p.Length/3 : p.Offset+p.Length])
			}
		}
		if err := os.WriteFile(path, b, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	sum := s.run(Options{})
	if sum.Made != 2 || sum.Failed != 0 {
		t.Errorf("%+v", sum)
	}
	for name, f := range s.frames() {
		said := false
		for _, p := range f.Problems {
			said = said || p.Code == "preview-damaged" || p.Code == "preview-broken"
		}
		if !said || !f.CanBeShown() {
			t.Errorf("%s: %v", name, f.Problems)
		}
	}
}

func TestAnUnreadableFileIsThatFramesProblem(t *testing.T) {
	s := newShoot(t)
	s.raw("L1.DNG", shot("1", 0, 1), 900, 600, 1)
	s.raw("L2.DNG", shot("1", 100, 1), 900, 600, 2)
	p := &painter{root: s.dir, cache: cache.Open(t.TempDir(), cache.Options{})}
	if _, err := Scan(t.Context(), s.open()); err != nil {
		t.Fatal(err)
	}
	f := s.frames()["L1"]
	if err := os.Remove(filepath.Join(s.dir, "L1.DNG")); err != nil {
		t.Fatal(err)
	}
	got, err := p.paint(t.Context(), f)
	if err != nil || got.err == nil || got.frame.CanBeShown() {
		t.Fatalf("%v, %v", got.err, err)
	}
	text := got.frame.Problems[len(got.frame.Problems)-1].Text
	if !strings.Contains(text, "cannot open") || strings.Contains(text, s.dir) {
		t.Errorf("said %q", text)
	}
}

func TestACacheThatFailsIsSaidOnce(t *testing.T) {
	s := newShoot(t)
	for i := range 5 {
		s.raw(fmt.Sprintf("L%d.DNG", i), shot("1", i*100, 1), 900, 600, i)
	}
	j := s.open()
	if err := os.WriteFile(j.CacheDir(), []byte("in the way"), 0o666); err != nil {
		t.Fatal(err)
	}
	var said []string
	sum := s.run(Options{Warn: func(w string) { said = append(said, w) }})
	if len(said) != 1 || len(sum.Warnings) != 1 || sum.Made != 5 || sum.CacheFull {
		t.Errorf("%q, %+v", said, sum)
	}
	for _, f := range s.frames() {
		if !f.HasFingerprint {
			t.Errorf("%s has no fingerprint", f.Name)
		}
	}
	// With nothing allowed on the disk there is nothing to say.
	if sum := s.run(Options{CacheBytes: -1}); len(sum.Warnings) != 0 || sum.Made != 5 {
		t.Errorf("%+v", sum)
	}
}

func TestAFullDiskIsSaidAsThat(t *testing.T) {
	r := &run{}
	r.cacheFailed(fmt.Errorf("cache: writing: %w", cache.ErrFull))
	if !r.sum.CacheFull || len(r.sum.Warnings) != 1 || !strings.Contains(r.sum.Warnings[0], "disk is full") {
		t.Errorf("%+v", r.sum)
	}
	p := &painter{}
	m := &jpeg.Image{}
	m.Reset(8, 8, 1, 1, true)
	puts := 0
	put := func(string, []byte) error { puts++; return cache.ErrFull }
	if kept, err := p.keep(put, "k", m); kept || !errors.Is(err, cache.ErrFull) {
		t.Errorf("%v, %v", kept, err)
	}
	p.without.Store(true)
	if kept, err := p.keep(put, "k", m); kept || err != nil || puts != 1 {
		t.Errorf("%v, %v after %d puts", kept, err, puts)
	}
}

// What is done is saved while the run goes on, not at its end only: here time
// runs so fast that every frame is a batch.
func TestBatchesAreSavedOnTheWay(t *testing.T) {
	s := newShoot(t)
	const n = 6
	for i := range n {
		s.raw(fmt.Sprintf("L%d.DNG", i), shot("1", i*100, 1), 600, 400, i)
	}
	now, seen := time.Unix(0, 0), 0
	s.run(Options{
		Now: func() time.Time { now = now.Add(batchAge); return now },
		Frame: func(FrameReport) {
			kept := 0
			for _, f := range s.frames() {
				if f.HasFingerprint {
					kept++
				}
			}
			if kept < seen {
				t.Errorf("%d frames were reported before this one, %d are saved", seen, kept)
			}
			seen++
		},
	})
	if seen != n {
		t.Errorf("%d frames", seen)
	}
}

func TestWhatIsAsItWasIsNotSaved(t *testing.T) {
	f := cull.Frame{ID: "1", Problems: []cull.Problem{{Code: "a"}}}
	r := &run{o: Options{}.withDefaults(), frames: []cull.Frame{f, f, f}}
	b := &batch{run: r, saved: time.Now()}
	other, brighter := f, f
	other.Problems = nil
	brighter.Luma = 0.5
	for i, p := range []painted{{frame: f}, {frame: other}, {frame: brighter}} {
		if err := b.add(i, p); err != nil {
			t.Fatal(err)
		}
	}
	if len(b.waiting) != 2 || r.sum.Made != 3 {
		t.Errorf("%d frames wait to be saved of %d", len(b.waiting), r.sum.Made)
	}
}

func TestWhatTheCacheMayTake(t *testing.T) {
	j := newShoot(t).open()
	free, err := j.FreeSpace()
	if err != nil || free <= 0 {
		t.Fatalf("%d bytes free, %v", free, err)
	}
	for asked, want := range map[int64]int64{-1: 0, 5000: 5000} {
		if got := (&run{j: j, o: Options{CacheBytes: asked}}).cacheBytes(); got != want {
			t.Errorf("asked for %d: %d", asked, got)
		}
	}
	// The smaller of 8 GiB and a tenth of what is free; others write meanwhile.
	got := (&run{j: j}).cacheBytes()
	if got <= 0 || got > 8<<30 || got > free/10+(64<<20) {
		t.Errorf("%d bytes of %d that are free", got, free)
	}
}
