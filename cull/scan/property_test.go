package scan

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"garner/cull"
)

// TestMovesAndLateFilesLoseNoID shoots random exposures (two bodies of one
// model, bursts within a second, raw, JPEG or both), then again and again moves,
// renames, adds and takes away files. After each round the incremental scan has
// kept every id, groups as a scan from nothing does, and the scan from nothing,
// as after a lost catalogue, knows each frame under its old id.
func TestMovesAndLateFilesLoseNoID(t *testing.T) {
	rounds := 12
	if testing.Short() {
		rounds = 3
	}
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	for n := range rounds {
		r := rand.New(rand.NewPCG(seed, uint64(n)))
		w := newWorld(t, r)
		w.check("at first")
		for step := range 4 {
			w.change()
			w.check(fmt.Sprintf("round %d, step %d", n, step))
		}
	}
}

type world struct {
	card
	r     *rand.Rand
	files map[string]int // path → exposure
	data  []map[string][]byte
	ids   map[int]cull.ID
	known []cull.Frame
	n     int
}

func newWorld(t *testing.T, r *rand.Rand) *world {
	w := &world{card: newCard(t), r: r, files: map[string]int{}, ids: map[int]cull.ID{}}
	for e := range 3 + r.IntN(6) {
		s := shot([]string{"1001", "2002"}[r.IntN(2)], 5+e/4, 10*(e%4)+1+r.IntN(9))
		w.data = append(w.data, map[string][]byte{".DNG": rawFile(t, s, uint8(10+e*20)), ".JPG": jpegFile(t, s, uint8(10+e*20))})
		first := []string{".DNG", ".JPG"}[r.IntN(2)]
		w.add(e, first)
		if r.IntN(2) == 0 {
			w.add(e, map[string]string{".DNG": ".JPG", ".JPG": ".DNG"}[first])
		}
	}
	return w
}

// path is a new place: any folder, sometimes a name that another body's frame
// has too.
func (w *world) path(ext string) string {
	for {
		w.n++
		name := fmt.Sprintf("LMR_%04d", 1+w.r.IntN(40))
		p := []string{"A/", "B/", "day/RAW/", "day/JPG/", ""}[w.r.IntN(5)] + name + ext
		if _, taken := w.files[p]; !taken {
			return p
		}
	}
}

func (w *world) add(e int, ext string) {
	p := w.path(ext)
	w.put(p, w.data[e][ext])
	w.files[p] = e
}

func (w *world) change() {
	paths := make([]string, 0, len(w.files))
	for p := range w.files {
		paths = append(paths, p)
	}
	slices.Sort(paths)
	for _, p := range paths {
		e, ext := w.files[p], filepath.Ext(p)
		switch w.r.IntN(4) {
		case 0: // moved and renamed
			to := w.path(ext)
			w.put(to, nil)
			if err := os.Rename(filepath.Join(w.dir, p), filepath.Join(w.dir, to)); err != nil {
				w.t.Fatal(err)
			}
			delete(w.files, p)
			w.files[to] = e
		case 1: // the other file of the exposure comes later
			other := map[string]string{".DNG": ".JPG", ".JPG": ".DNG"}[ext]
			if !w.has(e, other) {
				w.add(e, other)
			}
		case 2: // taken away, unless it is the last
			other := map[string]string{".DNG": ".JPG", ".JPG": ".DNG"}[ext]
			if w.has(e, other) {
				if err := os.Remove(filepath.Join(w.dir, p)); err != nil {
					w.t.Fatal(err)
				}
				delete(w.files, p)
			}
		}
	}
}

func (w *world) has(e int, ext string) bool {
	for p, of := range w.files {
		if of == e && filepath.Ext(p) == ext {
			return true
		}
	}
	return false
}

func (w *world) check(when string) {
	w.t.Helper()
	res := w.scan(w.known)
	fresh := w.scan(nil)
	if a, b := w.grouping(res.Frames), w.grouping(fresh.Frames); a != b {
		w.t.Fatalf("%s: grouped as\n%s\nfrom nothing as\n%s", when, a, b)
	}
	seen := map[int]bool{}
	for _, f := range res.Frames {
		e := w.files[f.Files[0].Path]
		if seen[e] {
			w.t.Fatalf("%s: exposure %d is two frames: %v", when, e, names(res.Frames))
		}
		seen[e] = true
		for _, file := range f.Files {
			if w.files[file.Path] != e {
				w.t.Fatalf("%s: %s joined exposure %d, it is of %d", when, file.Path, e, w.files[file.Path])
			}
		}
		if old, ok := w.ids[e]; ok && old != f.ID {
			w.t.Fatalf("%s: exposure %d was %s, now %s", when, e, old, f.ID)
		}
		w.ids[e] = f.ID
	}
	for _, f := range fresh.Frames {
		if old := w.ids[w.files[f.Files[0].Path]]; f.ID != old && !slices.Contains(f.Aliases, old) {
			w.t.Fatalf("%s: %s is %s from nothing, its decisions are under %s, aliases %v", when, f.Name, f.ID, old, f.Aliases)
		}
	}
	if len(seen) != len(w.data) {
		w.t.Fatalf("%s: %d frames of %d exposures", when, len(seen), len(w.data))
	}
	w.known = res.Frames
	if again := w.scan(w.known); again.Read != 0 || len(again.Changed) != 0 {
		w.t.Fatalf("%s: nothing changed, yet %d files were read and %v changed", when, again.Read, again.Changed)
	}
}

func (w *world) grouping(frames []cull.Frame) string {
	var lines []string
	for _, f := range frames {
		var paths []string
		for _, file := range f.Files {
			paths = append(paths, file.Path)
		}
		slices.Sort(paths)
		lines = append(lines, f.Name+": "+strings.Join(paths, " "))
	}
	slices.Sort(lines)
	return strings.Join(lines, "\n")
}
