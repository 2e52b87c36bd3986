package prepare

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"testing"

	"garner/cull"
	"garner/cull/job"
	"garner/preview/jpeg"
	"garner/preview/pix"
)

// What pix measures is kept under the names of cull: both must mean the same.
func TestPartsLieWhereCullSaysTheyDo(t *testing.T) {
	for i := -1; i <= cull.LookParts; i++ {
		x, y, size := cull.PartOf(i)
		px, py, psize := pix.PartOf(i)
		if math.Abs(x-px)+math.Abs(y-py)+math.Abs(size-psize) > 1e-12 {
			t.Errorf("part %d: %v %v %v, in pix %v %v %v", i, x, y, size, px, py, psize)
		}
	}
}

// Each frame with a fingerprint gets the look of its thumbnail; one without a look
// is looked at again, and the others are left alone.
func TestLooksAreKept(t *testing.T) {
	dir := wedding(t, 4)
	j, err := job.Open(dir, job.Options{Who: "test"})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	prepared := func(made int) map[cull.ID]cull.Look {
		t.Helper()
		sum, err := Run(t.Context(), j, Options{Workers: 1})
		if err != nil || sum.Made != made {
			t.Fatalf("%+v, %v; want %d made", sum, err, made)
		}
		looks, err := j.Looks()
		if err != nil {
			t.Fatal(err)
		}
		return looks
	}
	looks := prepared(4)
	frames, err := j.Frames()
	if err != nil {
		t.Fatal(err)
	}
	for id, f := range frames {
		l := looks[id]
		if l.Method != pix.LookMethod || l.Parts[0] != f.Fingerprint || !f.HasFingerprint {
			t.Errorf("%s: fingerprint %016x, look %+v", f.Name, f.Fingerprint, l)
		}
		delete(looks, id)
	}
	if len(looks) > 0 {
		t.Errorf("looks of no frame: %v", looks)
	}
	for id := range frames {
		if err := j.SaveLooks(map[cull.ID]cull.Look{id: {}}); err != nil {
			t.Fatal(err)
		}
		break
	}
	if looks := prepared(1); len(looks) != 4 {
		t.Errorf("%d looks", len(looks))
	}
	prepared(0)
}

// A frame that can be shown no longer has no look any more.
func TestLookGoesWithThePicture(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a.jpg")
	m := &jpeg.Image{}
	m.Reset(640, 480, 1, 1, true)
	for i := range m.Y {
		m.Y[i] = byte(i * 7)
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, 90); err != nil {
		t.Fatal(err)
	}
	j, err := job.Open(dir, job.Options{Who: "test"})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	for _, c := range []struct {
		data  []byte
		looks int
	}{{b.Bytes(), 1}, {b.Bytes()[:b.Len()*2/5], 0}} {
		if err := os.WriteFile(path, c.data, 0o666); err != nil {
			t.Fatal(err)
		}
		if _, err := Run(t.Context(), j, Options{}); err != nil {
			t.Fatal(err)
		}
		looks, err := j.Looks()
		if err != nil {
			t.Fatal(err)
		}
		frames, err := j.Frames()
		if err != nil {
			t.Fatal(err)
		}
		with := 0
		for id, f := range frames {
			if f.HasFingerprint != looks[id].Known() {
				t.Errorf("fingerprint %v, look %v", f.HasFingerprint, looks[id])
			}
			if looks[id].Known() && len(f.Files) > 0 {
				with++
			}
		}
		if with != c.looks {
			t.Errorf("%d looks, want %d", with, c.looks)
		}
	}
}
