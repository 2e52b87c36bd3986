package face

import (
	"bufio"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"garner/preview/jpeg"
)

// TestBlinks holds the opening of eyes against two films that were looked at frame by
// frame (testdata/truth/blinks.txt, which says how to make the frames). It is for by
// hand, with GARNER_BLINKS=DIR for DIR/franck/0001.jpg and so on.
func TestBlinks(t *testing.T) {
	dir := os.Getenv("GARNER_BLINKS")
	if dir == "" {
		t.Skip("by hand: needs GARNER_BLINKS, the frames of two films")
	}
	r := New()
	for film, frames := range seen(t) {
		by := map[string][]float64{}
		for i, eyes := range frames {
			b, err := os.ReadFile(filepath.Join(dir, film, fmt.Sprintf("%04d.jpg", i+1)))
			if err != nil {
				t.Fatal(err)
			}
			m, err := jpeg.Decode(b, jpeg.Options{})
			if err != nil {
				t.Fatal(err)
			}
			found, err := r.Find(t.Context(), m)
			if err != nil || len(found) == 0 {
				t.Errorf("%s %d: %d faces, %v", film, i+1, len(found), err)
				continue
			}
			e, err := r.Eyes(t.Context(), m, found[0])
			if err != nil {
				t.Fatal(err)
			}
			by[eyes] = append(by[eyes], min(e.Right, e.Left))
			by["all"] = append(by["all"], min(e.Right, e.Left))
		}
		slices.Sort(by["all"])
		usual := by["all"][len(by["all"])/2]
		for _, eyes := range []string{"closed", "half", "narrow", "open"} {
			v := by[eyes]
			if len(v) == 0 {
				continue
			}
			slices.Sort(v)
			below := func(cut float64) int { n, _ := slices.BinarySearch(v, cut); return n }
			t.Logf("%-10s %-6s %3d frames, opening %.3f, half below %.3f, to %.3f; below 0.10: %d, below 0.13: %d, below 0.6 of the usual %.3f: %d",
				film, eyes, len(v), v[0], v[len(v)/2], v[len(v)-1], below(0.10), below(0.13), usual, below(0.6*usual))
			if eyes == "closed" && below(0.10) < len(v) || eyes == "open" && below(0.13) > 0 {
				t.Errorf("%s: of %d %s frames %d are below 0.10, %d below 0.13", film, len(v), eyes, below(0.10), below(0.13))
			}
		}
	}
}

// seen is what was seen in each frame of each film.
func seen(t *testing.T) map[string][]string {
	f, err := os.Open("testdata/truth/blinks.txt")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	out := map[string][]string{}
	for lines := bufio.NewScanner(f); lines.Scan(); {
		var film, eyes string
		var first, last int
		if strings.HasPrefix(lines.Text(), "#") || lines.Text() == "" {
			continue
		}
		if _, err := fmt.Sscan(lines.Text(), &film, &first, &last, &eyes); err != nil {
			t.Fatalf("%q: %v", lines.Text(), err)
		}
		for len(out[film]) < last {
			out[film] = append(out[film], "open")
		}
		for i := first; i <= last; i++ {
			out[film][i-1] = eyes
		}
	}
	return out
}
