package jpeg

import (
	"bytes"
	"fmt"
	stdjpeg "image/jpeg"
	"math/rand/v2"
	"testing"
)

// ppm is a picture of coarse shapes and some noise, as cjpeg reads it.
func ppm(w, h int, rnd *rand.Rand) []byte {
	b := fmt.Appendf(nil, "P6\n%d %d\n255\n", w, h)
	tilt, step := rnd.IntN(7), 3+rnd.IntN(20)
	for y := range h {
		for x := range w {
			v := (x*tilt + y*5) / step * 16
			b = append(b, uint8(v+rnd.IntN(9)), uint8(x*6+rnd.IntN(9)), uint8(255-y*6-rnd.IntN(9)))
		}
	}
	return b
}

var factors = []struct {
	args       []string
	subX, subY int
}{
	{[]string{"-sample", "1x1"}, 1, 1},
	{[]string{"-sample", "2x1"}, 2, 1},
	{[]string{"-sample", "2x2"}, 2, 2},
	{[]string{"-sample", "1x2"}, 1, 2},
	{[]string{"-sample", "4x1"}, 4, 1},
	{[]string{"-sample", "4x2"}, 4, 2},
	{[]string{"-sample", "1x4"}, 1, 4},
	{[]string{"-sample", "2x4"}, 2, 4},
	{[]string{"-sample", "1x2,1x2,1x2"}, 1, 1},
	{[]string{"-sample", "2x2,1x2,1x2"}, 2, 1},
	{[]string{"-grayscale"}, 1, 1},
	{[]string{"-grayscale", "-sample", "2x2"}, 1, 1},
	{[]string{"-rgb"}, 1, 1},
}

var intervals = [][]string{nil, {"-restart", "1"}, {"-restart", "1B"}, {"-restart", "2B"}, {"-restart", "5B"}, {"-optimize"}}

// All sizes up to 40 squared, in every sampling and with restart markers at
// every distance, by turns.
func TestSizesAndSamplings(t *testing.T) {
	const seed = 17
	rnd := rand.New(rand.NewPCG(seed, seed))
	n := 0
	for w := 1; w <= 40; w++ {
		for h := 1; h <= 40; h++ {
			if n++; testing.Short() && n%13 != 0 {
				continue
			}
			s, interval := factors[n%len(factors)], intervals[n/len(factors)%len(intervals)]
			args := append(append([]string{"-quality", fmt.Sprint(30 + n%70)}, s.args...), interval...)
			src := pipe(t, ppm(w, h, rnd), "cjpeg", args...)
			name := fmt.Sprintf("seed %d: %dx%d %v", seed, w, h, args)
			checkSize(t, name, src, w, h, s.subX, s.subY)
			if n%8 == 0 && s.args[0] != "-rgb" {
				got, err := Decode(src, Options{Luma: true, Workers: 2})
				if err != nil {
					t.Fatalf("%s: %v", name, err)
				}
				want := pgm(t, pipe(t, src, "djpeg", "-grayscale", "-dct", "int"))
				if most, _ := difference(t, got, want, h); most != 0 {
					t.Fatalf("%s: luma differs from djpeg by %d", name, most)
				}
			}
		}
	}
}

func checkSize(t *testing.T, name string, src []byte, w, h, subX, subY int) {
	t.Helper()
	hd, err := headerOf(src)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	if !new(layout).sequential(hd) {
		t.Fatalf("%s: not decoded here", name)
	}
	full, err := Decode(src, Options{})
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	if full.Width != w || full.Height != h || full.SubX != subX || full.SubY != subY || full.Truncated || !full.Valid() {
		t.Fatalf("%s: %dx%d, chroma at %dx%d, truncated %v", name, full.Width, full.Height, full.SubX, full.SubY, full.Truncated)
	}
	if m, err := stdjpeg.Decode(bytes.NewReader(src)); err == nil { // it has no 1x4 and 2x4
		want := planes(m)
		tolerance := 1 // two exact transforms
		if hd.adobe == 0 {
			tolerance = 3 // and two ways from RGB
		}
		samePlane(t, name+" Y", full.Y, full.YStride, want.Y, want.YStride, w, h, tolerance)
		cw, ch := full.ChromaSize()
		samePlane(t, name+" Cb", full.Cb, full.CStride, want.Cb, want.CStride, cw, ch, tolerance)
		samePlane(t, name+" Cr", full.Cr, full.CStride, want.Cr, want.CStride, cw, ch, tolerance)
	} else if subY != 4 {
		t.Fatalf("%s: %v", name, err)
	}
	least := 55.0
	if hd.adobe == 0 {
		least = 54 // from RGB, it is rounded once more
	}
	for _, n := range []int{2, 4, 8} {
		got, err := Decode(src, Options{Scale: n})
		if err != nil {
			t.Fatalf("%s at 1/%d: %v", name, n, err)
		}
		if got.Width != ceilDiv(w, n) || got.Height != ceilDiv(h, n) || !got.Valid() || got.Truncated {
			t.Fatalf("%s at 1/%d: %dx%d", name, n, got.Width, got.Height)
		}
		checkMean(t, fmt.Sprintf("%s at 1/%d: Y", name, n), got.Y, got.YStride, got.Width, got.Height, full.Y, full.YStride, w, h, n, least)
		gw, gh := got.ChromaSize()
		fw, fh := full.ChromaSize()
		checkMean(t, fmt.Sprintf("%s at 1/%d: Cb", name, n), got.Cb, got.CStride, gw, gh, full.Cb, full.CStride, fw, fh, n, least)
		checkMean(t, fmt.Sprintf("%s at 1/%d: Cr", name, n), got.Cr, got.CStride, gw, gh, full.Cr, full.CStride, fw, fh, n, least)
		if t.Failed() {
			t.FailNow()
		}
	}
}

// Factors that are not whole fractions are left to the standard library: an
// answer in its own terms, picture or error.
func TestSamplingsThatAreLeftToTheStandardLibrary(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 1))
	for _, sample := range []string{"2x1,1x2,1x2", "1x1,2x2,2x2", "2x2,2x1,1x2", "3x1", "3x2,1x1,1x1", "2x2,1x1,2x2"} {
		src := pipe(t, ppm(37, 29, rnd), "cjpeg", "-sample", sample)
		want, werr := stdjpeg.Decode(bytes.NewReader(src))
		got, err := Decode(src, Options{})
		if (err == nil) != (werr == nil) {
			t.Errorf("%s: %v, the standard library: %v", sample, err, werr)
			continue
		}
		if err == nil {
			ref := planes(want)
			samePlane(t, sample, got.Y, got.YStride, ref.Y, ref.YStride, 37, 29, 0)
		}
		if err == nil || got != nil {
			t.Logf("%s is decoded", sample)
		}
	}
	// Baseline in three scans, not interleaved.
	script := t.TempDir() + "/scans"
	writeFile(t, script, "0;\n1;\n2;\n")
	src := pipe(t, ppm(37, 29, rnd), "cjpeg", "-scans", script)
	got, err := Decode(src, Options{})
	if err != nil || got.Truncated {
		t.Fatalf("three scans: %v", err)
	}
	want := pgm(t, pipe(t, src, "djpeg", "-grayscale"))
	if most, _ := difference(t, got, want, 29); most > 1 {
		t.Errorf("three scans: luma differs by %d", most)
	}
}
