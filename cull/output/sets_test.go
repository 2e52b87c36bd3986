package output

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"garner/cull/job"
	"garner/preview/resample"
)

// Paper has the pixels that print labs ask for: inches at 300 to the inch are common
// practice; ISO 216 has the sizes of A4 and A3 in millimetres, and an inch is 25.4 of them.
func TestPaper(t *testing.T) {
	dir := t.TempDir()
	for _, c := range []struct {
		paper string
		ppi   int
		w, h  int
	}{
		{"4x6 in", 300, 1200, 1800}, {"5x7 in", 300, 1500, 2100}, {"8x10 in", 300, 2400, 3000}, {"8x12 in", 300, 2400, 3600}, {"11x14 in", 300, 3300, 4200},
		{"10x15 cm", 300, 1181, 1772}, {"13x18 cm", 300, 1535, 2126}, {"20x30 cm", 300, 2362, 3543}, {"30x40 cm", 300, 3543, 4724},
		{"210x297 mm", 300, 2480, 3508}, {"A4", 300, 2480, 3508}, {"a3", 300, 3508, 4961},
		{"4x6 in", 254, 1016, 1524}, {"10x15 cm", 254, 1000, 1500}, {"8.5x11 in", 72, 612, 792},
	} {
		for kind, key := range map[resample.Kind]string{resample.Exact: "exact", resample.Fit: "fit"} {
			text := fmt.Sprintf("[sets.paper]\n%s = %q\nppi = %d\n", key, c.paper, c.ppi)
			if err := os.WriteFile(filepath.Join(dir, "garner.toml"), []byte(text), 0o666); err != nil {
				t.Fatal(err)
			}
			settings, err := job.ReadSettings(dir)
			if err != nil {
				t.Fatal(err)
			}
			chosen, _ := Choose(Sets(settings), []string{"paper"})
			if s := chosen[0].Size; s.Kind != kind || s.W != c.w || s.H != c.h || !s.EitherWay {
				t.Errorf("%s: %+v, wanted %d by %d", text, s, c.w, c.h)
			}
		}
	}
}

// Paper is turned to the picture, a screen is not.
func TestPaperIsTurned(t *testing.T) {
	b := newBench(t)
	b.put("across.jpg", rgbJPEG(t, 300, 200))
	b.put("upright.jpg", rgbJPEG(t, 200, 300))
	b.settings.Sets = map[string]job.SetSettings{"print": {Exact: &job.Dimensions{W: 2, H: 3, Unit: job.Inches}, PPI: to(50)}, "screen": {Fit: &job.Dimensions{W: 150, H: 100}}}
	b.must(Options{})
	for path, want := range map[string]string{"print/across": "150 by 100", "print/upright": "100 by 150", "screen/across": "150 by 100", "screen/upright": "67 by 100"} {
		p := opened(t, filepath.Join(b.dir, SetsFolder, path+".jpg"))
		if got := fmt.Sprintf("%d by %d", p.Width, p.Height); got != want {
			t.Errorf("%s: %s, wanted %s", path, got, want)
		}
	}
}

// A picture with too few pixels for a piece of paper is as large on it as the others: its
// file says how many pixels come to an inch there (density of JFIF 1.02, units 1).
func TestPaperWithFewerPixels(t *testing.T) {
	b := newBench(t)
	b.put("a.jpg", finishedPicture(t, 1, day(10), "1001"))
	b.settings.Sets = map[string]job.SetSettings{
		"exact":  {Exact: &job.Dimensions{W: 2, H: 3, Unit: job.Inches}, PPI: to(100)},
		"fit":    {Fit: &job.Dimensions{W: 3, H: 3, Unit: job.Inches}, PPI: to(100)},
		"larger": {Exact: &job.Dimensions{W: 2, H: 3, Unit: job.Inches}, PPI: to(100), Enlarge: to(true)},
		"enough": {Exact: &job.Dimensions{W: 2, H: 3, Unit: job.Inches}, PPI: to(30)},
		"pixels": {Exact: &job.Dimensions{W: 200, H: 300}, PPI: to(100)},
	}
	b.must(Options{})
	for set, want := range map[string]int{"exact": 40, "fit": 40, "larger": 100, "enough": 30, "pixels": 100} {
		data, err := os.ReadFile(filepath.Join(b.dir, SetsFolder, set, "a.jpg"))
		if err != nil {
			t.Fatal(err)
		}
		at := bytes.Index(data, []byte("JFIF\x00"))
		if at < 0 || data[at+7] != 1 {
			t.Fatalf("%s has no density in pixels per inch", set)
		}
		if got := int(binary.BigEndian.Uint16(data[at+8:])); got != want {
			t.Errorf("%s: %d pixels per inch, wanted %d", set, got, want)
		}
	}
	for _, l := range b.lines {
		if l.Set == "exact" && !slices.Contains(l.Remarks, "has fewer pixels than the set asks for: 120 by 80, 40 per inch") {
			t.Errorf("%q", l.Remarks)
		}
	}
}
