package jpeg

import (
	"bytes"
	"math/rand/v2"
	"testing"
)

// checkCut holds a decode of part of a picture against the whole one.
func checkCut(t *testing.T, whole, got *Image) {
	t.Helper()
	if got.Width != whole.Width || got.Height != whole.Height || !got.Valid() {
		t.Fatalf("size %dx%d of %dx%d, valid %v", got.Width, got.Height, whole.Width, whole.Height, got.Valid())
	}
	if got.Rows < got.Height && !got.Truncated {
		t.Fatalf("%d of %d rows and not marked", got.Rows, got.Height)
	}
	for y := range got.Height {
		row := got.Y[y*got.YStride:][:got.Width]
		if y < got.Rows {
			if !bytes.Equal(row, whole.Y[y*whole.YStride:][:whole.Width]) {
				t.Fatalf("row %d of %d real ones differs from the whole picture", y, got.Rows)
			}
			continue
		}
		for x, v := range row {
			if v != 128 {
				t.Fatalf("row %d is missing and has %d at %d, want 128", y, v, x)
			}
		}
	}
}

func TestCutPicturesGiveTheRowsThatAreThere(t *testing.T) {
	sources := map[string][]byte{
		"plain":    coded(t, scene(320, 480), 85),
		"restarts": corpus(t, "video-001.restart2.jpeg"),
		"4:2:2":    corpus(t, "video-001.q50.422.jpeg"),
		"4:4:4":    corpus(t, "video-001.q50.444.jpeg"),
		"grey":     corpus(t, "video-005.gray.jpeg"),
	}
	for name, src := range sources {
		t.Run(name, func(t *testing.T) {
			whole, err := Decode(src, Options{})
			if err != nil {
				t.Fatal(err)
			}
			h, err := headerOf(src)
			if err != nil {
				t.Fatal(err)
			}
			coded := len(src) - int(h.scan)
			last, most := 0, 0
			for _, percent := range []int{3, 10, 25, 50, 75, 90, 99} {
				cut := int(h.scan) + coded*percent/100
				got, err := Decode(src[:cut], Options{})
				if err != nil {
					if percent >= 25 {
						t.Errorf("%d %%: %v", percent, err)
					}
					continue
				}
				checkCut(t, whole, got)
				if got.Rows < last {
					t.Errorf("%d %% gives %d rows, less than before (%d)", percent, got.Rows, last)
				}
				last, most = got.Rows, max(most, got.Rows)
			}
			if most < whole.Height*3/4 {
				t.Errorf("99 %% of the data give %d of %d rows", most, whole.Height)
			}
		})
	}
}

func TestCutAtAScale(t *testing.T) {
	src := coded(t, scene(320, 480), 85)
	whole, err := Decode(src, Options{Scale: 4})
	if err != nil {
		t.Fatal(err)
	}
	got, err := Decode(src[:len(src)/2], Options{Scale: 4})
	if err != nil {
		t.Fatal(err)
	}
	if !got.Truncated || got.Rows < 30 || got.Rows > 90 {
		t.Fatalf("truncated %v, %d of %d rows from half the data", got.Truncated, got.Rows, got.Height)
	}
	checkCut(t, whole, got)
}

func TestOnlyTheEndMarkerMissing(t *testing.T) {
	for _, name := range []string{"video-001.jpeg", "video-001.progressive.jpeg"} {
		src := corpus(t, name)
		whole, err := Decode(src, Options{})
		if err != nil {
			t.Fatal(err)
		}
		got, err := Decode(src[:bytes.LastIndex(src, []byte{0xFF, 0xD9})], Options{})
		if err != nil {
			t.Fatal(err)
		}
		if got.Truncated || !bytes.Equal(got.Y, whole.Y) {
			t.Errorf("%s: truncated %v although all the data are there", name, got.Truncated)
		}
	}
}

func TestCutProgressiveKeepsItsCompleteScans(t *testing.T) {
	src := corpus(t, "video-001.progressive.jpeg")
	whole, err := Decode(src, Options{})
	if err != nil {
		t.Fatal(err)
	}
	got, err := Decode(src[:len(src)*6/10], Options{})
	if err != nil {
		t.Fatal(err)
	}
	if !got.Truncated || got.Rows != got.Height {
		t.Fatalf("truncated %v, rows %d of %d", got.Truncated, got.Rows, got.Height)
	}
	sum := 0
	for y := range got.Height {
		for x := range got.Width {
			d := int(got.Y[y*got.YStride+x]) - int(whole.Y[y*whole.YStride+x])
			sum += max(d, -d)
		}
	}
	if mean := float64(sum) / float64(got.Width*got.Height); mean > 12 {
		t.Errorf("mean difference to the whole picture is %.1f of 255", mean)
	}
}

// A card that lost a stretch in the middle: zeros, or somebody else's bytes.
func TestBrokenInside(t *testing.T) {
	src := coded(t, scene(320, 480), 85)
	whole, err := Decode(src, Options{})
	if err != nil {
		t.Fatal(err)
	}
	rnd := rand.New(rand.NewPCG(1, 2))
	for range 20 {
		b := bytes.Clone(src)
		at := len(b)/2 + rnd.IntN(1000)
		for i := at; i < at+512; i++ {
			b[i] = 0xFF // markers where there are none: the decoder stops here
		}
		got, err := Decode(b, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if !got.Truncated || got.Rows < 160 || got.Rows > 320 {
			t.Fatalf("broken at %d of %d: truncated %v, %d rows", at, len(b), got.Truncated, got.Rows)
		}
		checkCut(t, whole, got)
	}
}

func TestTailOfZerosIsNoPicture(t *testing.T) {
	src := coded(t, scene(320, 480), 85)
	whole, err := Decode(src, Options{})
	if err != nil {
		t.Fatal(err)
	}
	b := bytes.Clone(src)
	clear(b[len(b)/2:])
	got, err := Decode(b, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if !got.Truncated || got.Rows < 160 || got.Rows > 320 {
		t.Fatalf("truncated %v, %d rows", got.Truncated, got.Rows)
	}
	checkCut(t, whole, got)
}
