package recall

import (
	"bytes"
	"fmt"
	"image"
	stdjpeg "image/jpeg"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"garner/cull"
	"garner/preview/jpeg"
	"garner/preview/pix"
)

func lookOf(t testing.TB, m image.Image) cull.Look {
	t.Helper()
	var b bytes.Buffer
	must(t, stdjpeg.Encode(&b, m, nil))
	decoded, err := jpeg.Decode(b.Bytes(), jpeg.Options{})
	must(t, err)
	look, err := pix.Look(pix.Thumb(decoded, 1))
	must(t, err)
	return cull.Look(look)
}

// album is a bag of pictures with these seeds.
func album(t testing.TB, dir, job string, seeds ...int) {
	b := invent(t, dir, job)
	for _, seed := range seeds {
		k := known(seed, fmt.Sprintf("A/IMG_%04d", seed), weddingDay.Add(time.Duration(seed)*time.Minute))
		k.Look = lookOf(t, scenery(uint64(seed)))
		k.Frame.Shot.Width, k.Frame.Shot.Height = 720, 480
		k.Place.Scene = seed % 2
		b.add(k)
	}
	b.write()
}

func TestNearest(t *testing.T) {
	dir, err := filepath.EvalSymlinks(t.TempDir())
	must(t, err)
	album(t, filepath.Join(dir, "0613"), "0613", 1, 2, 3, 4, 5, 6)
	album(t, filepath.Join(dir, "2025", "0714"), "0714", 11, 12, 13, 14)
	album(t, filepath.Join(dir, "2025", "empty"), "empty")
	album(t, filepath.Join(dir, "2025", "zz"), "zz", 21, 22)
	alone := filepath.Join(t.TempDir(), "alone")
	album(t, alone, "alone", 31, 32, 3) // one of them is in 0613, too
	nearest := func(l *Library, q Query, seed uint64, name string) string {
		t.Helper()
		q.Like, err = PictureFrom(t.Context(), sent(t, seed, name))
		must(t, err)
		f, err := l.Find(t.Context(), q)
		must(t, err)
		if len(f.Hits) == 0 {
			return ""
		}
		if !slices.IsSortedFunc(f.Hits, func(a, b Hit) int { return int(1e6 * (a.Bits - b.Bits)) }) || f.Total > len(f.Hits) && q.Most == 0 {
			t.Errorf("%d of %d, not in order", len(f.Hits), f.Total)
		}
		seen := map[cull.ID]bool{}
		for _, h := range f.Hits {
			if seen[h.Frame] {
				t.Errorf("%s comes twice", h.Name)
			}
			seen[h.Frame] = true
		}
		if f.Total == 0 {
			return ""
		}
		return f.Hits[0].Job + " " + f.Hits[0].Name
	}
	check := func(l *Library) {
		t.Helper()
		for seed, want := range map[uint64]string{2: "0613 A/IMG_0002", 14: "0714 A/IMG_0014", 22: "zz A/IMG_0022", 32: "alone A/IMG_0032", 3: "0613 A/IMG_0003", 99: ""} {
			if got := nearest(l, Query{Most: 5}, seed, "back.jpg"); got != want {
				t.Errorf("a picture of %d is %q, want %q", seed, got, want)
			}
		}
	}
	l := open(t, Options{}, dir, alone)
	check(l)
	check(open(t, Options{}, dir, alone)) // from the index
	if got := nearest(l, Query{}, 14, "back.png"); got != "0714 A/IMG_0014" {
		t.Errorf("as PNG: %q", got)
	}

	// Among those that fit.
	for _, c := range []struct {
		q    Query
		want string
	}{{Query{Scene: "kirche"}, "0714 A/IMG_0014"}, {Query{Scene: "tanz"}, ""}, {Query{Job: "0613"}, ""}, {Query{Name: "14"}, "0714 A/IMG_0014"}} {
		if got := nearest(l, c.q, 14, "back.jpg"); got != c.want {
			t.Errorf("%+v: %q, want %q", c.q, got, c.want)
		}
	}

	// Looks that are damaged are made anew, those of a former state of the shelf go.
	folder := filepath.Join(dir, IndexFolder)
	looks := func() (names []string) {
		for name := range index(t, folder) {
			if isLooks(name) {
				names = append(names, name)
			}
		}
		return names
	}
	had := looks()
	if len(had) != 1 {
		t.Fatalf("looks are in %q", had)
	}
	whole, err := os.ReadFile(filepath.Join(folder, had[0]))
	must(t, err)
	for at := 0; at < len(whole); at += 307 {
		bad := slices.Clone(whole)
		bad[at] ^= 0x10
		must(t, os.WriteFile(filepath.Join(folder, had[0]), bad, 0o666))
		if got := nearest(open(t, Options{}, dir), Query{Most: 2}, 14, "back.jpg"); got != "0714 A/IMG_0014" {
			t.Fatalf("byte %d of the looks: %q", at, got)
		}
	}
	must(t, os.RemoveAll(filepath.Join(dir, "0613")))
	if got := nearest(open(t, Options{}, dir), Query{Most: 2}, 14, "back.jpg"); got != "0714 A/IMG_0014" {
		t.Errorf("%q", got)
	}
	if got := looks(); len(got) != 1 || got[0] == had[0] {
		t.Errorf("looks are in %q", got)
	}

	// Without anywhere to keep them.
	must(t, os.RemoveAll(folder))
	must(t, os.WriteFile(folder, nil, 0o666))
	if got := nearest(open(t, Options{}, dir), Query{Most: 2}, 14, "back.jpg"); got != "0714 A/IMG_0014" {
		t.Errorf("in memory: %q", got)
	}
}

// However few are asked for, all that are alike are counted, on a shelf and elsewhere.
func TestNearestCounted(t *testing.T) {
	dir := t.TempDir()
	look := lookOf(t, scenery(7))
	for n, job := range []string{"shelf/0613", "shelf/0714", "alone"} {
		b := invent(t, filepath.Join(dir, job), job)
		for i := range 9 {
			seed := 100*(n+1) + i
			k := known(seed, fmt.Sprintf("A/IMG_%04d", seed), weddingDay.Add(time.Duration(seed)*time.Minute))
			if i < 4 {
				k.Look = look
			} else {
				k.Look = lookOf(t, scenery(uint64(seed)))
			}
			k.Frame.Shot.Width, k.Frame.Shot.Height = 720, 480
			b.add(k)
		}
		b.write()
	}
	picture, err := PictureFrom(t.Context(), sent(t, 7, "back.jpg"))
	must(t, err)
	for places, want := range map[string]int{"shelf": 8, "alone": 4, "shelf alone": 12} {
		var dirs []string
		for p := range strings.FieldsSeq(places) {
			dirs = append(dirs, filepath.Join(dir, p))
		}
		for _, most := range []int{1, 2, 5, 100, 0} {
			f, err := open(t, Options{}, dirs...).Find(t.Context(), Query{Like: picture, Most: most})
			must(t, err)
			shown := want
			if most > 0 {
				shown = min(most, want)
			}
			if f.Total != want || len(f.Hits) != shown {
				t.Errorf("%s, at most %d: %d of %d, want %d of %d", places, most, len(f.Hits), f.Total, shown, want)
			}
		}
	}
}

func TestWhatIsNoPicture(t *testing.T) {
	dir := t.TempDir()
	text := filepath.Join(dir, "text.jpg")
	must(t, os.WriteFile(text, []byte("dear Anna"), 0o666))
	whole, err := os.ReadFile(sent(t, 1, "back.jpg"))
	must(t, err)
	half := filepath.Join(dir, "half.jpg")
	must(t, os.WriteFile(half, whole[:len(whole)/2], 0o666))
	for _, path := range []string{text, half, dir, filepath.Join(dir, "none.jpg")} {
		if p, err := PictureFrom(t.Context(), path); err == nil {
			t.Errorf("%s is %v", path, p)
		}
	}
}
