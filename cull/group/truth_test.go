package group

import (
	"image"
	"image/jpeg"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"github.com/corona10/goimagehash"

	"garner/cull"
	"garner/testdata/testneed"
)

// truth reads a set of real frames whose names tell burst and number at ten
// frames a second: bNN_fNNNNN.jpg.
func truth(t *testing.T, set string) (frames []Frame, burst map[cull.ID]string) {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(testneed.Samples(t), "bursts", set, "b*.jpg"))
	if err != nil || len(files) == 0 {
		t.Skipf("no frames in %s: %v", set, err)
	}
	burst = map[cull.ID]string{}
	for _, file := range files {
		img := open(t, file)
		hash, err := goimagehash.PerceptionHash(img)
		if err != nil {
			t.Fatal(err)
		}
		name := filepath.Base(file)
		number, err := strconv.Atoi(name[5:10])
		if err != nil {
			t.Fatal(err)
		}
		id := cull.ID(set + name)
		burst[id] = set + name[:3]
		frames = append(frames, Frame{ID: id, Name: set + "/" + name, Body: "A", Fingerprint: hash.GetHash(), HasFingerprint: true,
			Time: cull.Stamp{Wall: dayStart.Add(time.Duration(number) * 100 * time.Millisecond), Digits: 1}})
	}
	return frames, burst
}

func open(t *testing.T, file string) image.Image {
	t.Helper()
	r, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	img, err := jpeg.Decode(r)
	_ = r.Close()
	if err != nil {
		t.Fatal(err)
	}
	return img
}

// TestShakenAndPanned frames a real photograph anew for every exposure: a hand
// that moves by up to 3 % of the frame makes one burst even at one frame a
// second; a pan by 6 % a frame at ten frames a second does not stay one.
func TestShakenAndPanned(t *testing.T) {
	img := open(t, filepath.Join(testneed.Samples(t), "photos", "group3.jpg"))
	b := img.Bounds()
	framed := func(x, y float64) uint64 {
		const part = 0.6
		w, h := float64(b.Dx()), float64(b.Dy())
		r := image.Rect(int(x*w), int(y*h), int((x+part)*w), int((y+part)*h)).Add(b.Min)
		hash, err := goimagehash.PerceptionHash(img.(interface {
			SubImage(image.Rectangle) image.Image
		}).SubImage(r))
		if err != nil {
			t.Fatal(err)
		}
		return hash.GetHash()
	}
	rng := rand.New(rand.NewPCG(1, 2))
	var shaken, panned shoot
	for i := range 8 {
		const sway = 0.03 * 0.6
		shaken.add("A", float64(i), 0).Fingerprint = framed(.2+sway*(rng.Float64()-.5), .2+sway*(rng.Float64()-.5))
		panned.add("A", float64(i)/10, 0).Fingerprint = framed(.06*.6*float64(i), .2)
	}
	if l := Layout(shaken.frames, Options{}); l.Places[7].Moment != 0 {
		t.Errorf("shaken: %s, want one burst", groups(l, shaken.frames))
	}
	if l := Layout(panned.frames, Options{}); l.Places[7].Moment == 0 || l.Places[1].Moment != 0 {
		t.Errorf("panned: %s, want several bursts, the first two frames in one", groups(l, panned.frames))
	}
}

// pairs counts pairs of frames that are together in the layout, in truth, in both.
func pairs(l cull.Layout, burst map[cull.ID]string) (found, meant, both int) {
	for i, a := range l.Places {
		for _, b := range l.Places[:i] {
			together, truly := a.Moment == b.Moment, burst[a.Frame] == burst[b.Frame]
			if together {
				found++
			}
			if truly {
				meant++
			}
			if together && truly {
				both++
			}
		}
	}
	return found, meant, both
}

// TestRealBursts groups real frames: once with their own times, where pauses
// tell the bursts apart, and once with the two sets in turns and no pause at
// all, where only their looks can.
func TestRealBursts(t *testing.T) {
	vtest, truthV := truth(t, "frames_vtest")
	small, truthS := truth(t, "frames_gocv_small")
	check := func(what string, frames []Frame, burst map[cull.ID]string) {
		t.Helper()
		found, meant, both := pairs(Layout(frames, Options{}), burst)
		precision, recall := float64(both)/float64(found), float64(both)/float64(meant)
		t.Logf("%s: %d frames, pair precision %.3f, recall %.3f", what, len(frames), precision, recall)
		if precision < 0.99 || recall < 0.99 {
			t.Errorf("%s: precision %.3f, recall %.3f", what, precision, recall)
		}
	}
	check("fixed camera, own times", vtest, truthV)
	check("second set, own times", small, truthS)

	var turns []Frame
	burst := map[cull.ID]string{}
	for at := 0; at+6 <= len(small); at += 6 {
		for _, six := range [][]Frame{vtest[at : at+6], small[at : at+6]} {
			for _, f := range six {
				f.Time.Wall = dayStart.Add(time.Duration(len(turns)) * 100 * time.Millisecond)
				turns = append(turns, f)
				burst[f.ID] = truthV[f.ID] + truthS[f.ID]
			}
		}
	}
	check("two subjects in turns, no pause", turns, burst)
	for i := range turns {
		turns[i].Time.Wall = turns[i].Time.Wall.Truncate(time.Second)
		turns[i].Time.Digits = 0
		turns[i].Counter = int64(i + 1)
	}
	check("the same with whole seconds", turns, burst)
}
