package pix

import (
	"math"
	"math/bits"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"testing"

	"garner/preview/jpeg"
	"garner/testdata/testneed"
)

// The three previews of one real frame, at the places that exiftool reports.
func nefPreviews(t testing.TB) []*jpeg.Image {
	t.Helper()
	dir := testneed.Module(t, "github.com/evanoberholster/imagemeta")
	src, err := os.ReadFile(filepath.Join(dir, "testImages", "NEF.exif"))
	if err != nil {
		t.Skip("needs the sample file NEF.exif: " + err.Error())
	}
	var out []*jpeg.Image
	for _, p := range [][3]int{{1189376, 2287892, 8}, {184320, 1004813, 1}, {27136, 98230, 1}} {
		m, err := jpeg.Decode(src[p[0]:p[0]+p[1]], jpeg.Options{Scale: p[2]})
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, m)
	}
	return out
}

func finger(t testing.TB, m *jpeg.Image) uint64 {
	t.Helper()
	h, err := Fingerprint(m)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

func TestFingerprintOfEveryPreviewIsTheSame(t *testing.T) {
	previews := nefPreviews(t)
	first := finger(t, previews[0])
	for _, m := range previews {
		for _, n := range []*jpeg.Image{m, Thumb(m, 1), Fit(m, 160)} {
			if d := Distance(first, finger(t, n)); d > 2 {
				t.Errorf("%dx%d differs from the full preview in %d bits", n.Width, n.Height, d)
			}
		}
		if d := Distance(first, finger(t, Orient(m, 3))); d < 16 {
			t.Errorf("upside down it differs in %d bits only", d)
		}
	}
}

// The bits are "above the median of 64 values": without ties exactly half.
func TestFingerprintHasHalfItsBitsSet(t *testing.T) {
	for seed := range uint64(20) {
		if n := bits.OnesCount64(finger(t, noise(90, 60, 2, 2, false, seed))); n != 32 {
			t.Errorf("%d bits are set", n)
		}
	}
}

func TestFingerprintOfNothing(t *testing.T) {
	m := &jpeg.Image{}
	m.Reset(300, 200, 2, 2, true)
	for _, v := range []byte{0, 16, 255} {
		for i := range m.Y {
			m.Y[i] = v + byte(i%2)*min(1, 255-v)
		}
		if got := finger(t, m); got != Flat {
			t.Errorf("a flat picture of %d has %016x", v, got)
		}
	}
	if h, err := Fingerprint(&jpeg.Image{}); err == nil || h != 0 {
		t.Errorf("an empty picture has %016x, %v", h, err)
	}
}

// Frames of one burst of a fixed camera are alike; frames of other bursts are
// on the whole less so. The samples are named bNN (burst) and fNNNNN (frame).
func TestFingerprintsOfBursts(t *testing.T) {
	dir := filepath.Join(testneed.Samples(t), "bursts", "frames_gocv_small")
	names, err := filepath.Glob(filepath.Join(dir, "b*_f*.jpg"))
	if err != nil || len(names) < 8 {
		t.Skip("needs the sample bursts")
	}
	type frame struct {
		burst string
		hash  uint64
	}
	var all []frame
	for _, name := range names {
		src, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		m, err := jpeg.Decode(src, jpeg.Options{Scale: 2})
		if err != nil {
			t.Fatal(err)
		}
		burst, _, _ := strings.Cut(filepath.Base(name), "_")
		all = append(all, frame{burst, finger(t, m)})
	}
	var within, across []int
	for i, a := range all {
		for _, b := range all[:i] {
			if d := Distance(a.hash, b.hash); a.burst == b.burst {
				within = append(within, d)
			} else {
				across = append(across, d)
			}
		}
	}
	sort.Ints(within)
	sort.Ints(across)
	if len(within) == 0 || len(across) == 0 {
		t.Fatalf("bursts not told apart by name: %d within, %d across", len(within), len(across))
	}
	t.Logf("median within %d, 90 %% %d; across %d", within[len(within)/2], within[len(within)*9/10], across[len(across)/2])
	if within[len(within)*9/10] > 10 || within[len(within)/2] >= across[len(across)/2] {
		t.Errorf("within bursts %d (90 %%: %d), across %d", within[len(within)/2], within[len(within)*9/10], across[len(across)/2])
	}
}

func TestMeanLuma(t *testing.T) {
	m := &jpeg.Image{}
	m.Reset(10, 10, 1, 1, true)
	for i := range m.Y {
		m.Y[i] = byte(i / 50 * 255)
	}
	if got := MeanLuma(m); math.Abs(got-0.5) > 1e-9 {
		t.Errorf("half black, half white: %v", got)
	}
	m.Truncated, m.Rows = true, 5
	if got := MeanLuma(m); got != 0 {
		t.Errorf("the upper half: %v", got)
	}
	if got := MeanLuma(&jpeg.Image{}); got != 0 {
		t.Errorf("nothing: %v", got)
	}
}

func TestTrimBars(t *testing.T) {
	const w, h = 160, 120
	letterbox := func(bar byte) *jpeg.Image {
		m := noise(w, h, 2, 2, false, 9)
		for y := range h {
			if y < 6 || y >= h-6 {
				for x := range w {
					m.Y[y*m.YStride+x] = bar
				}
			}
		}
		return m
	}
	got := TrimBars(letterbox(2), 6000, 4000)
	if !got.Valid() || got.Width != w || got.Height < 102 || got.Height > 108 {
		t.Errorf("3:2 in 4:3: %dx%d", got.Width, got.Height)
	}
	if m := letterbox(200); TrimBars(m, 6000, 4000) != m {
		t.Error("bright rows were taken for bars")
	}
	if m := letterbox(2); TrimBars(m, 4000, 3000) != m {
		t.Error("a picture of the right shape was cut")
	}
	side := Orient(letterbox(2), 6)
	if got := TrimBars(side, 4000, 6000); !got.Valid() || got.Height != w || got.Width < 102 || got.Width > 108 {
		t.Errorf("bars at the sides: %dx%d", got.Width, got.Height)
	}
	for _, size := range [][2]int{{0, 0}, {1, 1 << 30}, {1 << 30, 1}} {
		if m := letterbox(2); TrimBars(m, size[0], size[1]) != m {
			t.Errorf("full picture of %v: cut", size)
		}
	}
}

// The barred thumbnail of a frame must have the fingerprint of the frame.
func TestTrimmedThumbHasTheSameFingerprint(t *testing.T) {
	m := Fit(nefPreviews(t)[1], 160)
	boxed := &jpeg.Image{}
	boxed.Reset(160, 120, 1, 1, true)
	for y := range m.Height {
		copy(boxed.Y[(y+(120-m.Height)/2)*160:][:160], m.Y[y*m.YStride:])
	}
	want := finger(t, m)
	if d := Distance(want, finger(t, TrimBars(boxed, 6000, 4000))); d > 6 {
		t.Errorf("differs in %d bits", d)
	}
	if d := Distance(want, finger(t, boxed)); d < 8 {
		t.Errorf("even with the bars it differs in %d bits only", d)
	}
}
