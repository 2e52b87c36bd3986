package recall

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"testing"
	"time"

	"pgregory.net/rapid"

	"garner/cull"
	"garner/cull/closing/record"
	"garner/cull/recall/like"
)

// bagFrames is how many frames a bag of the large shelf has.
const bagFrames = 5000

// TestLargeShelf measures a shelf of GARNER_SHELF_FRAMES frames, kept in GARNER_SHELF if
// that names a folder: its index is made unless it is there, opened and asked. An answer
// over 2,000,000 frames has to come within a second by the clock, on a machine that does
// nothing else.
func TestLargeShelf(t *testing.T) {
	frames, _ := strconv.Atoi(os.Getenv("GARNER_SHELF_FRAMES"))
	if frames == 0 {
		t.Skip("GARNER_SHELF_FRAMES says how many")
	}
	dir := os.Getenv("GARNER_SHELF")
	if dir == "" {
		dir = t.TempDir()
	}
	if _, err := os.Stat(filepath.Join(dir, "bag0000")); err != nil {
		largeShelf(t, dir, frames/bagFrames)
	}
	var l *Library
	measure := func(what string, do func() any) (seconds float64) {
		runtime.GC()
		start, busy := time.Now(), processor(t)
		got := do()
		seconds = time.Since(start).Seconds()
		t.Logf("%-28s %8.3f s, %.2f s of a processor: %v", what, seconds, processor(t)-busy, got)
		return seconds
	}
	ask := func(what string, q Query) {
		if took := measure(what, func() any {
			f, err := l.Find(t.Context(), q)
			must(t, err)
			return f.Total
		}); frames <= 2_000_000 && took > 1 {
			t.Errorf("%s takes %.2f s", what, took)
		}
	}
	openIt := func() any {
		l = open(t, Options{}, dir)
		_, n := l.Places()
		return n
	}
	if !exists(dir, IndexFolder) {
		measure("made", openIt)
	}
	measure("opened", openIt)
	t.Logf("the index has %.0f MB", float64(sizeOf(t, filepath.Join(dir, IndexFolder)))/1e6)
	from := weddingDay.AddDate(0, 0, 100)
	for _, c := range []struct {
		what string
		q    Query
	}{
		{"all, the first hundred", Query{}},
		{"a stretch of time", Query{From: from, To: from.Add(48 * time.Hour)}},
		{"a clock of all days", Query{Clock: &Clock{14 * time.Hour, 14*time.Hour + 10*time.Minute}}},
		{"a scene", Query{Scene: "café"}},
		{"a body", Query{Body: "2002"}},
		{"a name", Query{Name: "IMG_0412"}},
		{"a number", Query{Name: "412"}},
		{"a name that is nowhere", Query{Name: "nobody"}},
		{"two passes", Query{Passes: []Answered{{"keep", cull.Yes}, {"retouch", cull.Yes}}}},
		{"a job", Query{Job: "0123"}},
		{"all of it", Query{Clock: &Clock{9 * time.Hour, 20 * time.Hour}, Scene: "kirche", Body: "A", Name: "IMG_1", Passes: []Answered{{"keep", cull.No}}}},
	} {
		c.q.Most = 100
		ask(c.what, c.q)
	}
	picture, err := PictureFrom(t.Context(), sent(t, 1, "back.jpg"))
	must(t, err)
	for _, what := range []string{"a picture, the first time", "a picture", "a picture"} {
		ask(what, Query{Like: picture, Most: 20})
	}
	measure("a closer look at the nearest", func() any {
		s := l.shelves[0]
		found, err := l.nearestOf(t.Context(), s, picture, like.Among)
		must(t, err)
		start, busy := time.Now(), processor(t)
		must(t, l.lookCloser(t.Context(), picture, found))
		looked := 0
		for _, n := range found {
			if n.Looked {
				looked++
			}
		}
		return fmt.Sprintf("%d thumbnails in %.3f s, %.2f s of a processor", looked, time.Since(start).Seconds(), processor(t)-busy)
	})
	if text, err := os.ReadFile("/proc/self/status"); err == nil {
		for line := range bytes.Lines(text) {
			if bytes.HasPrefix(line, []byte("VmHWM")) {
				t.Logf("at most in memory: %s", bytes.TrimSpace(line))
			}
		}
	}
}

// processor is the time, in seconds, that the system says this process has used; 0 where it
// says nothing of it (proc(5), fields 14 and 15 of stat, in hundredths).
func processor(t *testing.T) float64 {
	text, err := os.ReadFile("/proc/self/stat")
	if err != nil {
		return 0
	}
	fields := bytes.Fields(text[bytes.LastIndexByte(text, ')')+1:])
	user, err := strconv.Atoi(string(fields[11]))
	must(t, err)
	system, err := strconv.Atoi(string(fields[12]))
	must(t, err)
	return float64(user+system) / 100
}

func sizeOf(t *testing.T, dir string) (n int64) {
	entries, err := os.ReadDir(dir)
	must(t, err)
	for _, e := range entries {
		info, err := e.Info()
		must(t, err)
		n += info.Size()
	}
	return n
}

// largeShelf writes bags whose records differ in ids, days and jobs. Looks and thumbnails
// have nothing to do with each other.
func largeShelf(t *testing.T, dir string, bags int) {
	b := invent(t, filepath.Join(t.TempDir(), "template"), "Job NNNN")
	random := rapid.Uint64()
	var thumbs [][]byte
	for seed := range uint64(64) {
		thumbs = append(thumbs, thumbOf(t, scenery(seed)))
	}
	for i := range bagFrames {
		k := known(i, fmt.Sprintf("A/IMG_%04d", i), weddingDay.Add(time.Duration(i)*10*time.Second))
		k.Frame.Shot.Lens, k.Frame.Shot.Seconds, k.Frame.Shot.FNumber, k.Frame.Shot.ISO = "50 mm", 0.004, 2.8, 400
		k.Look.Method = 1
		for p := range k.Look.Parts {
			k.Look.Parts[p] = random.Example(i*cull.LookParts + p)
		}
		if i%2 == 1 {
			k.Frame.Body = "b"
		}
		k.Place.Scene, k.Place.Moment = i*2/bagFrames, i/4
		answer := cull.No
		if i%4 == 0 {
			answer = cull.Yes
			if i%8 == 0 {
				k.Answers["retouch"] = cull.Decision{Answer: cull.Yes, Who: "anna", At: weddingDay}
			}
		}
		k.Answers["keep"] = cull.Decision{Answer: answer, Who: "anna", At: weddingDay, Shown: true}
		k.Measures.Focus = cull.Focus{Method: 1, Width: 6000, Height: 4000, Spots: make([]cull.Spot, 4)}
		f := record.FrameOf(k)
		if answer == cull.No {
			f.Small = record.SmallOf(record.SmallFolder+"/"+k.Frame.Name+".CR3.jpg", k.Frame.Name+".CR3", "", 0, 1620, 1080)
			b.content.Files = append(b.content.Files, record.FileOf(k.Frame.Name+".CR3", "", "dropped", "", 0, time.Time{}))
		} else {
			b.content.Files = append(b.content.Files, record.FileOf(k.Frame.Name+".CR3", record.JobFolder+"/"+k.Frame.Name+".CR3", "", "", 0, time.Time{}))
			finished := fmt.Sprintf("finished/%04d-A-IMG_%04d.tif", i/4, i)
			b.content.Pictures = append(b.content.Pictures, record.PictureOf(finished, []cull.ID{f.ID}, i/4, []record.Delivered{{Set: "online", File: fmt.Sprintf("%04d-IMG_%04d.jpg", i/4, i)}}))
		}
		thumb := thumbs[i%len(thumbs)]
		f.Thumb = &record.Span{Offset: int64(len(b.content.Thumbs)), Length: int64(len(thumb))}
		if i >= len(thumbs) { // the same again: a bag's would be 100 MB
			f.Thumb = b.content.Frames[i%len(thumbs)].Thumb
		} else {
			b.content.Thumbs = append(b.content.Thumbs, thumb...)
		}
		b.content.Frames = append(b.content.Frames, f)
	}
	b.content.Job.Run = 1
	files, err := b.content.Encode()
	must(t, err)
	for bag := range bags {
		to := filepath.Join(dir, fmt.Sprintf("bag%04d", bag), filepath.FromSlash(record.RunFolder(1)))
		must(t, os.MkdirAll(to, 0o777))
		for name, text := range files {
			text = bytes.ReplaceAll(text, []byte(`"00000000`), fmt.Appendf(nil, `"%08x`, bag+1))
			text = bytes.ReplaceAll(text, []byte("2026-06-13"), []byte(weddingDay.AddDate(0, 0, bag).Format("2006-01-02")))
			text = bytes.ReplaceAll(text, []byte("NNNN"), fmt.Appendf(nil, "%04d", bag))
			must(t, os.WriteFile(filepath.Join(to, name), text, 0o666))
		}
	}
}
