package jpeg

import (
	"bytes"
	"fmt"
	stdjpeg "image/jpeg"
	"math"
	"math/rand/v2"
	"testing"
)

// samplings are all ways that chroma lies in an Image which are written as they
// are; the zero one is grey.
var samplings = [][2]int{{}, {1, 1}, {2, 1}, {1, 2}, {2, 2}, {4, 1}, {1, 4}, {4, 2}, {2, 4}}

// invented is a picture of w by h with waves and a little noise, its planes
// wider than it is.
func invented(rng *rand.Rand, w, h int, s [2]int) *Image {
	m := &Image{}
	m.Reset(w+rng.IntN(5), h, max(s[0], 1), max(s[1], 1), s[0] == 0)
	m.Width = w
	fill := func(p []byte, stride int, f float64) {
		a, b := rng.Float64()*f, rng.Float64()*f
		for i := range p {
			p[i] = byte(128 + 90*math.Sin(a*float64(i%stride)+b*float64(i/stride)) + 4*rng.NormFloat64())
		}
	}
	fill(m.Y, m.YStride, 1)
	if !m.Grey() {
		fill(m.Cb, m.CStride, 0.5)
		fill(m.Cr, m.CStride, 0.5)
	}
	return m
}

func encoded(t testing.TB, m *Image, quality int) []byte {
	t.Helper()
	b, err := AppendEncode(nil, m, quality)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// planeError returns the largest and the mean squared difference of two planes.
func planeError(a []byte, as int, b []byte, bs, w, h int) (most int, mse float64) {
	for y := range h {
		for x := range w {
			d := int(a[y*as+x]) - int(b[y*bs+x])
			most, mse = max(most, d, -d), mse+float64(d*d)
		}
	}
	return most, mse / float64(w*h)
}

// closeTo fails unless got has the planes of want, within most.
func closeTo(t *testing.T, got, want *Image, most int) {
	t.Helper()
	if got.Width != want.Width || got.Height != want.Height || got.Grey() != want.Grey() || got.Truncated ||
		!got.Grey() && (got.SubX != want.SubX || got.SubY != want.SubY) {
		t.Fatalf("came back as %dx%d in %dx%d, truncated %v", got.Width, got.Height, got.SubX, got.SubY, got.Truncated)
	}
	if e, _ := planeError(got.Y, got.YStride, want.Y, want.YStride, want.Width, want.Height); e > most {
		t.Fatalf("luma differs by %d", e)
	}
	if want.Grey() {
		return
	}
	w, h := want.ChromaSize()
	cb, _ := planeError(got.Cb, got.CStride, want.Cb, want.CStride, w, h)
	cr, _ := planeError(got.Cr, got.CStride, want.Cr, want.CStride, w, h)
	if max(cb, cr) > most {
		t.Fatalf("chroma differs by %d and %d", cb, cr)
	}
}

// The quality scale of the Independent JPEG Group on the first entry of the
// luma table of T.81 Annex K.1 (16): 5000/q below 50, else 200-2q per cent.
func TestEncodeQuality(t *testing.T) {
	m := planes(scene(32, 32))
	for q, want := range map[int]byte{1: 255, 10: 80, 25: 32, 50: 16, 75: 8, 85: 5, 90: 3, 92: 3, 95: 2, 100: 1, -3: 255, 0: 255, 101: 1, 1 << 40: 1} {
		b := encoded(t, m, q)
		at := bytes.Index(b, []byte{0xFF, 0xDB})
		if got := b[at+5]; got != want {
			t.Errorf("quality %d: %d, want %d", q, got, want)
		}
	}
}

// segments joins what stands in all segments of a kind before the scan.
func segments(t *testing.T, b []byte, marker byte) (all []byte) {
	t.Helper()
	for i := 2; b[i+1] != markerSOS; {
		n := int(b[i+2])<<8 | int(b[i+3])
		if b[i] != 0xFF || i+2+n > len(b) {
			t.Fatalf("no segment at %d", i)
		}
		if b[i+1] == marker {
			all = append(all, b[i+4:i+2+n]...)
		}
		i += 2 + n
	}
	return all
}

// The tables are those that image/jpeg has from T.81 Annex K, at any quality.
func TestEncodeTables(t *testing.T) {
	for _, m := range []*Image{planes(scene(32, 32)), invented(rand.New(rand.NewPCG(1, 1)), 20, 20, [2]int{})} {
		for q := 1; q <= 100; q++ {
			var std bytes.Buffer
			if err := stdjpeg.Encode(&std, m.Std(), &stdjpeg.Options{Quality: q}); err != nil {
				t.Fatal(err)
			}
			ours := encoded(t, m, q)
			for _, marker := range []byte{markerDQT, markerDHT} {
				want := segments(t, std.Bytes(), marker)
				got := segments(t, ours, marker)
				if m.Grey() { // image/jpeg sends the tables of chroma all the same
					want = want[:min(len(want), len(got))]
				}
				if len(got) == 0 || !bytes.Equal(got, want) {
					t.Fatalf("quality %d: segments %X differ:\n%x\n%x", q, marker, got, want)
				}
			}
		}
	}
}

// With steps of 1 every picture comes back nearly as it was, at every size and
// in every sampling, by this package and by image/jpeg.
func TestEncodeEverySize(t *testing.T) {
	const seed = 40
	rng := rand.New(rand.NewPCG(seed, 40))
	most := 40
	if testing.Short() {
		most = 20
	}
	for _, s := range samplings {
		t.Run(fmt.Sprint(s), func(t *testing.T) {
			whole := invented(rng, most, most, s)
			var b []byte
			d, into := NewDecoder(), &Image{}
			for w := 1; w <= most; w++ {
				for h := 1; h <= most; h++ {
					part := *whole // its corner: samples beyond it are not to be seen
					m := &part
					m.Width, m.Height = w, h
					b, _ = AppendEncode(b[:0], m, 100)
					got, err := d.Decode(b, Options{Into: into})
					if err != nil {
						t.Fatalf("%dx%d: %v", w, h, err)
					}
					closeTo(t, got, m, 3)
					if _, known := ratioOf(m.SubX, m.SubY); known {
						std, err := stdjpeg.Decode(bytes.NewReader(b))
						if err != nil {
							t.Fatalf("%dx%d: image/jpeg: %v", w, h, err)
						}
						closeTo(t, planes(std), m, 3)
					}
				}
			}
		})
	}
}

// What has no interleaved scan that decoders know is written with its chroma
// repeated.
func TestEncodeRepeatsChroma(t *testing.T) {
	const seed = 3
	rng := rand.New(rand.NewPCG(seed, 3))
	for _, s := range [][2]int{{3, 1}, {1, 3}, {3, 3}, {3, 2}, {4, 3}, {4, 4}} {
		m := invented(rng, 37, 29, s)
		got := decoded(t, encoded(t, m, 100))
		closeTo(t, planes(got), planes(m.Std()), 3)
	}
}

// At one quality the picture is as good as image/jpeg makes it and as large.
func TestEncodeAgainstTheStandardLibrary(t *testing.T) {
	m := photo(t)
	for _, q := range []int{30, 50, 75, 85, 92, 97} {
		var std bytes.Buffer
		if err := stdjpeg.Encode(&std, m.Std(), &stdjpeg.Options{Quality: q}); err != nil {
			t.Fatal(err)
		}
		ours := encoded(t, m, q)
		a, b := planes(decoded(t, ours)), planes(decoded(t, std.Bytes()))
		w, h := m.ChromaSize()
		psnr := func(d *Image) (y, c float64) {
			_, ey := planeError(d.Y, d.YStride, m.Y, m.YStride, m.Width, m.Height)
			_, eb := planeError(d.Cb, d.CStride, m.Cb, m.CStride, w, h)
			_, er := planeError(d.Cr, d.CStride, m.Cr, m.CStride, w, h)
			return 10 * math.Log10(255*255/ey), 10 * math.Log10(255*255*2/(eb+er))
		}
		ay, ac := psnr(a)
		by, bc := psnr(b)
		ratio := float64(len(ours)) / float64(std.Len())
		t.Logf("quality %d: %.2f and %.2f dB, image/jpeg %.2f and %.2f dB, size %.4f of its", q, ay, ac, by, bc, ratio)
		if ay < by-0.1 || ac < bc-0.1 || math.Abs(ratio-1) > 0.03 {
			t.Errorf("quality %d: %.2f and %.2f dB, image/jpeg %.2f and %.2f dB, size %.4f of its", q, ay, ac, by, bc, ratio)
		}
	}
}

func TestEncodeDecode(t *testing.T) {
	for _, name := range codings {
		m, err := Decode(corpus(t, name), Options{})
		if err != nil {
			t.Fatal(err)
		}
		got, err := Decode(encoded(t, m, 95), Options{})
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if got.Width != m.Width || got.Height != m.Height || got.Grey() != m.Grey() {
			t.Fatalf("%s: came back as %dx%d", name, got.Width, got.Height)
		}
		if _, mse := planeError(got.Y, got.YStride, m.Y, m.YStride, m.Width, m.Height); mse > 9 {
			t.Errorf("%s: mean squared error %.1f in luma", name, mse)
		}
	}
}

func TestEncodeRefuses(t *testing.T) {
	for name, m := range map[string]*Image{
		"empty":       {},
		"nil":         nil,
		"short plane": {Width: 10, Height: 10, YStride: 10, Y: make([]byte, 99), SubX: 1, SubY: 1},
		"no Cr":       {Width: 2, Height: 2, YStride: 2, Y: make([]byte, 4), Cb: make([]byte, 4), CStride: 2, SubX: 1, SubY: 1},
		"too wide":    {Width: 65536, Height: 1, YStride: 65536, Y: make([]byte, 65536), SubX: 1, SubY: 1},
	} {
		var b bytes.Buffer
		if err := Encode(&b, m, 80); err == nil || b.Len() != 0 {
			t.Errorf("%s: %d bytes, error %v", name, b.Len(), err)
		}
		if out, err := AppendEncode([]byte("kept"), m, 80); err == nil || string(out) != "kept" {
			t.Errorf("%s: appended %q, error %v", name, out, err)
		}
	}
}

// AppendEncode keeps what is there, and allocates nothing where there is room.
func TestAppendEncode(t *testing.T) {
	const seed = 5
	m := invented(rand.New(rand.NewPCG(seed, 5)), 300, 200, [2]int{2, 2})
	want := encoded(t, m, 90)
	got, err := AppendEncode([]byte("before"), m, 90)
	if err != nil || !bytes.Equal(got, append([]byte("before"), want...)) {
		t.Fatalf("differs after other bytes, error %v", err)
	}
	dst := make([]byte, 0, len(want)+48<<10)
	flat := &Image{}
	flat.Reset(2000, 2000, 1, 1, true)
	if n := testing.AllocsPerRun(2, func() { dst, _ = AppendEncode(dst[:0], flat, 90) }); n != 0 {
		t.Errorf("%v allocations for a picture of little", n)
	}
	if n := testing.AllocsPerRun(10, func() { dst, _ = AppendEncode(dst[:0], m, 90) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
	if !bytes.Equal(dst, want) {
		t.Error("differs in a reused buffer")
	}
}
