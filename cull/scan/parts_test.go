package scan

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"garner/cull"
)

// inParts scans a folder in parts of n files and more until all was looked at.
func (c card) inParts(known []cull.Frame, n int) (res Result, parts int) {
	c.t.Helper()
	m := map[cull.ID]cull.Frame{}
	for _, f := range known {
		m[f.ID] = f
	}
	for {
		res, err := Scan(context.Background(), c.dir, Options{Known: m, testOnlyBlock: 1, Enough: func(read, _ int) bool { return read >= n }})
		if err != nil {
			c.t.Fatal(err)
		}
		if parts++; res.Left == 0 {
			return res, parts
		}
		if len(res.Gone) > 0 || len(res.Others) > 0 {
			c.t.Fatalf("a part of a scan says that %v are gone and %v nobody's", res.Gone, res.Others)
		}
		for _, f := range res.Frames {
			m[f.ID] = f
		}
	}
}

// describe lists frames with their ids and files.
func describe(frames []cull.Frame) []string {
	var out []string
	for _, f := range frames {
		out = append(out, fmt.Sprintf("%s %s %s %v", f.ID, f.Name, roles(f), f.Aliases))
	}
	return out
}

func TestPartsKeepTogetherWhatIsOneExposure(t *testing.T) {
	c := newCard(t)
	for i := range 6 {
		name := fmt.Sprintf("LMR_%04d", i)
		s := shot("1001", 5+i, 11)
		counted := s
		counted.Counter = int64(700 + i) // the raw knows its counter, the JPEG does not: other names of one exposure
		c.put("JPG/"+name+".JPG", jpegFile(t, s, uint8(10*i)))
		c.put("RAW/"+name+".DNG", rawFile(t, counted, uint8(10*i)))
		c.put("RAW2/"+name+".DNG", rawFile(t, counted, uint8(10*i)))
		c.put("notes/"+name+".WAV", []byte("RIFF"))
		c.put("xmp/"+name+".DNG.xmp", []byte("<x:xmpmeta/>"))
		c.put("other/"+name+".DNG", rawFile(t, shot("2002", 5+i, 50), uint8(100+10*i)))
	}
	whole := c.scan(nil)
	if len(whole.Frames) != 12 {
		t.Fatalf("%d frames", len(whole.Frames))
	}
	for n := 1; n <= 24; n++ {
		res, parts := c.inParts(nil, n)
		if got, want := describe(res.Frames), describe(whole.Frames); !slices.Equal(got, want) {
			t.Fatalf("parts of %d: %q\nwhole: %q", n, got, want)
		}
		if !reflect.DeepEqual(res.Bodies, whole.Bodies) || !slices.Equal(res.Others, whole.Others) {
			t.Errorf("parts of %d: bodies %v, others %v", n, res.Bodies, res.Others)
		}
		if want := 1 + (24-1)/(max(4, (n+3)/4*4)); parts != want {
			t.Errorf("parts of %d: %d, not %d", n, parts, want)
		}
	}
}

// Where something happened to known frames a scan is not cut off: a part could
// not tell a file that was moved from one that is gone.
func TestNoPartsWhereFramesChanged(t *testing.T) {
	c := newCard(t)
	c.put("A/LMR_0001.DNG", rawFile(t, shot("1001", 5, 10), 10))
	first := c.scan(nil)
	if err := os.Rename(filepath.Join(c.dir, "A/LMR_0001.DNG"), filepath.Join(c.dir, "A/LMR_0009.DNG")); err != nil {
		t.Fatal(err)
	}
	for i := 2; i < 8; i++ {
		c.put(fmt.Sprintf("A/LMR_%04d.DNG", i), rawFile(t, shot("1001", 5+i, 10), uint8(10*i)))
	}
	res, parts := c.inParts(first.Frames, 1)
	if parts != 1 || len(res.Frames) != 7 || len(res.Gone) != 0 {
		t.Errorf("%d parts, %d frames, gone %v", parts, len(res.Frames), res.Gone)
	}
	if i := slices.IndexFunc(res.Frames, func(f cull.Frame) bool { return f.Name == "A/LMR_0009" }); i < 0 || res.Frames[i].ID != first.Frames[0].ID {
		t.Errorf("the frame that was moved is another now: %v", describe(res.Frames))
	}
}

// Random folders, in which names say little, scanned in random parts: every
// exposure is one frame, and its id is that of the whole scan or the whole scan
// knows it by that name.
func TestRandomPartsLoseNoID(t *testing.T) {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	for n := range 20 {
		w := newWorld(t, rand.New(rand.NewPCG(seed, uint64(n))))
		whole := w.scan(nil)
		res, _ := w.inParts(nil, 1+w.r.IntN(5))
		if a, b := w.grouping(res.Frames), w.grouping(whole.Frames); a != b {
			t.Fatalf("round %d: grouped as\n%s\nwhole as\n%s", n, a, b)
		}
		ids := map[int]cull.Frame{}
		for _, f := range whole.Frames {
			ids[w.files[f.Files[0].Path]] = f
		}
		for _, f := range res.Frames {
			if want := ids[w.files[f.Files[0].Path]]; f.ID != want.ID && !slices.Contains(want.Aliases, f.ID) {
				t.Fatalf("round %d: %s is %s, the whole scan says %s, aliases %v", n, f.Name, f.ID, want.ID, want.Aliases)
			}
		}
	}
}

// What a walk says of folders that are closed to it is put in here by hand:
// the tests may run as somebody to whom nothing is closed.
func TestFolderThatCannotBeReadIsNotGone(t *testing.T) {
	c := newCard(t)
	c.put("A/LMR_0001.DNG", rawFile(t, shot("1001", 5, 10), 10))
	c.put("B/LMR_0002.DNG", rawFile(t, shot("1001", 6, 10), 20))
	c.put("RAW/LMR_0003.DNG", rawFile(t, shot("1001", 7, 10), 30))
	c.put("JPG/LMR_0003.JPG", jpegFile(t, shot("1001", 7, 10), 30))
	first := c.scan(nil)
	known := map[cull.ID]cull.Frame{}
	for _, f := range first.Frames {
		known[f.ID] = f
	}
	if err := os.Remove(filepath.Join(c.dir, "B/LMR_0002.DNG")); err != nil {
		t.Fatal(err)
	}
	list, err := walk(t.Context(), c.dir)
	if err != nil {
		t.Fatal(err)
	}
	list.files = slices.DeleteFunc(list.files, func(e entry) bool { return strings.HasPrefix(e.path, "A/") || strings.HasPrefix(e.path, "RAW/") })
	list.notSeen("A", &fs.PathError{Op: "open", Path: "A", Err: fs.ErrPermission})
	list.notSeen("RAW", errors.New("input/output error"))
	list.notSeen("B/LMR_0002.DNG", fs.ErrNotExist)

	res, err := scanFiles(t.Context(), c.dir, list, Options{Known: known})
	if err != nil {
		t.Fatal(err)
	}
	if got := names(res.Frames); !slices.Equal(got, []string{"A/LMR_0001", "RAW/LMR_0003"}) {
		t.Errorf("frames %v", got)
	}
	if len(res.Gone) != 1 || len(res.Unseen) != 2 || len(res.Changed) != 0 {
		t.Errorf("gone %v, unseen %v, changed %v", res.Gone, res.Unseen, res.Changed)
	}
	if want := []Other{{"A", "permission denied"}, {"B/LMR_0002.DNG", "file does not exist"}, {"RAW", "input/output error"}}; !slices.Equal(res.Others, want) {
		t.Errorf("others %v", res.Others)
	}
	again := c.scan(res.Frames)
	if len(again.Unseen) != 0 || len(again.Changed) != 0 || again.Reused != 3 {
		t.Errorf("afterwards %+v", again)
	}
}

func TestWalkTellsClosedFolders(t *testing.T) {
	if os.Geteuid() == 0 {
		t.Skip("needs a user to whom a folder can be closed, not root")
	}
	c := newCard(t)
	c.put("A/LMR_0001.DNG", []byte("x"))
	if err := os.Chmod(filepath.Join(c.dir, "A"), 0); err != nil {
		t.Fatal(err)
	}
	defer os.Chmod(filepath.Join(c.dir, "A"), 0o755)
	list, err := walk(t.Context(), c.dir)
	if err != nil || !list.unread("A/LMR_0001.DNG") || list.unread("AB/LMR_0001.DNG") {
		t.Errorf("closed %v, %v", list.shut, err)
	}
}
