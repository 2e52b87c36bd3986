package station

import (
	"bytes"
	"context"
	"image"
	"image/color"
	stdjpeg "image/jpeg"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"testing"
	"time"

	"garner/cull/job"
	"garner/cull/output"
	"garner/preview/jpeg"
)

// trialJob is a folder with finished pictures, of these sizes.
func trialJob(t *testing.T, s job.Settings, sizes map[string]image.Point) *job.Job {
	t.Helper()
	dir := t.TempDir()
	for path, size := range sizes {
		m := image.NewRGBA(image.Rectangle{Max: size})
		for y := range size.Y {
			for x := range size.X {
				m.SetRGBA(x, y, color.RGBA{uint8(30 + 200*x/size.X), uint8(30 + 200*y/size.Y), 120, 255})
			}
		}
		var b bytes.Buffer
		if err := stdjpeg.Encode(&b, m, nil); err != nil {
			t.Fatal(err)
		}
		to := filepath.Join(dir, output.FinishedFolder, path)
		if err := os.MkdirAll(filepath.Dir(to), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(to, b.Bytes(), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	j, err := job.Open(dir, job.Options{Who: "anna", Command: "render", Settings: s})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { j.Close() })
	return j
}

func settle(t *testing.T, d *Trial) {
	t.Helper()
	for {
		d.Drawn(d.Shot().ID, time.Time{})
		if !d.Busy() {
			break
		}
		n, ok := d.Next()
		if !ok {
			t.Fatal("a busy desk has no news")
		}
		d.Take(n)
	}
	if err := d.Broke(); err != nil {
		t.Fatal(err)
	}
	if s := d.Shot(); !s.Whole {
		t.Fatalf("it ends with %q, %v", s.Title, s.Text)
	}
}

func filesOf(t *testing.T, root string) map[string]string {
	t.Helper()
	files := map[string]string{}
	err := filepath.WalkDir(root, func(p string, d fs.DirEntry, err error) error {
		if err == nil && d.Type().IsRegular() {
			b, rerr := os.ReadFile(p)
			files[p], err = string(b), rerr
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

// Whatever is looked at, in whatever order, nothing is written, and what is said and
// shown is of the bytes that a run then writes.
func TestTrialShowsWhatIsCut(t *testing.T) {
	yes := true
	s := job.Settings{Sets: map[string]job.SetSettings{"album": {Exact: &job.Dimensions{W: 200, H: 200}, Crop: &yes, CropAt: []string{"top"}}}}
	j := trialJob(t, s, map[string]image.Point{"a.jpg": {400, 600}, "b.jpg": {900, 600}})
	before := filesOf(t, j.Root())
	d, err := OpenTrial(context.Background(), j, TrialOptions{Sets: output.Sets(s), Set: "ALBUM"})
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	d.SetEdge(300)
	settle(t, d)
	seen := map[string][]byte{}
	for range 2 {
		for range 5 {
			h := d.Here()
			if h.Cut == nil || h.Name.File == "" {
				t.Fatalf("%s in %s: %+v", h.Picture, h.Set.Name, h)
			}
			seen[h.Set.Name+"/"+h.Name.File] = h.Cut.Bytes
			want, err := jpeg.Decode(h.Cut.Bytes, jpeg.Options{})
			if got := d.Shot().Picture; err != nil || got.Width > 300 || got.Width*want.Height/got.Height-want.Width > 3 {
				t.Errorf("%s in %s is shown as %dx%d; %v", h.Picture, h.Set.Name, got.Width, got.Height, err)
			}
			d.WalkSets(1)
			settle(t, d)
		}
		d.Walk(1)
		settle(t, d)
	}
	if after := filesOf(t, j.Root()); !maps.Equal(before, after) {
		t.Error("looking has written something")
	}
	if _, err := output.Run(context.Background(), j, output.Options{Sets: output.Sets(s)}); err != nil {
		t.Fatal(err)
	}
	if len(seen) != 10 {
		t.Fatalf("%d files were seen", len(seen))
	}
	for file, got := range seen {
		if want, err := os.ReadFile(filepath.Join(j.Root(), output.SetsFolder, file)); err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s is not what was seen (%v)", file, err)
		}
	}
}

// What a crop cuts away is dim, what is kept is as it is, and a line goes around it.
func TestTrialShowsWhatIsCutAway(t *testing.T) {
	yes := true
	s := job.Settings{Sets: map[string]job.SetSettings{"album": {Exact: &job.Dimensions{W: 200, H: 200}, Crop: &yes, CropAt: []string{"top"}}}}
	j := trialJob(t, s, map[string]image.Point{"a.jpg": {400, 600}})
	d, err := OpenTrial(context.Background(), j, TrialOptions{Sets: output.Sets(s), Set: "album"})
	if err != nil {
		t.Fatal(err)
	}
	defer d.Close()
	d.SetEdge(600)
	settle(t, d)
	d.ToggleUncut()
	settle(t, d)
	m := d.Shot().Picture
	if m.Width != 400 || m.Height != 600 {
		t.Fatalf("%dx%d", m.Width, m.Height)
	}
	luma := func(x, y int) int { return int(m.Y[y*m.YStride+x]) }
	if edge := luma(200, 0); edge != 255 || luma(200, 399) != 255 || luma(0, 200) != 255 || luma(399, 200) != 255 {
		t.Errorf("no line around what is kept: %d", edge)
	}
	if in, out := luma(200, 380), luma(200, 420); out*3 > in || out == 0 {
		t.Errorf("%d inside, %d outside", in, out)
	}
	d.WalkSets(1)
	if d.Uncut() {
		t.Error("another set is shown uncut, too")
	}
}

// A walk past pictures that are being cut ends on the last one, and closing in the
// middle waits for nothing.
func TestTrialWalkedPast(t *testing.T) {
	sizes := map[string]image.Point{}
	for i := range 9 {
		sizes[string(rune('a'+i))+".jpg"] = image.Pt(500, 400)
	}
	j := trialJob(t, job.Settings{}, sizes)
	d, err := OpenTrial(context.Background(), j, TrialOptions{Sets: output.Sets(job.Settings{}), Set: "screen", Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	d.SetEdge(300)
	for range 8 {
		d.Walk(1)
	}
	settle(t, d)
	if h := d.Here(); h.Picture != "i.jpg" || h.Cut == nil {
		t.Errorf("%+v", h)
	}
	if d.Walk(1); d.Notice().Kind != Refused {
		t.Error("there is a picture after the last")
	}
	d.Walk(-1)
	d.SetEdge(200)
	d.Close()
}
