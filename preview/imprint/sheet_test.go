package imprint

import (
	"math"
	"math/rand/v2"
	"testing"

	"garner/preview/icc"
	"garner/preview/jpeg"
)

// jfif is the transform of JFIF 1.02, page 3, in floating point.
func jfif(r, g, b float64) [3]float64 {
	return [3]float64{
		0.299*r + 0.587*g + 0.114*b,
		-0.168736*r - 0.331264*g + 0.5*b + 128,
		0.5*r - 0.418688*g - 0.081312*b + 128,
	}
}

func near(got byte, want float64) bool { return math.Abs(float64(got)-min(want, 255)) <= 0.5+2e-3 }

// filled is a sheet of rows, and what went in.
func filled(t testing.TB, w, h int, o SheetOptions, codes []byte) *jpeg.Image {
	t.Helper()
	s, err := NewSheet(w, h, o)
	if err != nil {
		t.Fatal(err)
	}
	for y := range h {
		if err := s.Codes(codes[3*w*y:][:3*w]); err != nil {
			t.Fatal(err)
		}
	}
	m, err := s.Picture()
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func randomCodes(rng *rand.Rand, w, h int) []byte {
	b := make([]byte, 3*w*h)
	for i := range b {
		b[i] = byte(rng.IntN(256))
		if rng.IntN(4) == 0 {
			b[i] = byte(255 * rng.IntN(2))
		}
	}
	return b
}

// Planes are those of the definition, chroma of the mean of the pixels that share
// it, at every size.
func TestPlanes(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 8))
	for _, size := range [][2]int{{1, 1}, {2, 1}, {1, 2}, {2, 2}, {3, 3}, {5, 4}, {4, 5}, {17, 9}, {64, 33}} {
		w, h := size[0], size[1]
		codes := randomCodes(rng, w, h)
		at := func(x, y int) (p [3]float64) {
			for c := range p {
				p[c] = float64(codes[3*(min(y, h-1)*w+min(x, w-1))+c])
			}
			return p
		}
		for _, o := range []SheetOptions{{}, {Chroma: Half}, {Grey: true}} {
			m := filled(t, w, h, o, codes)
			if !m.Valid() || m.Width != w || m.Height != h || m.Grey() != o.Grey {
				t.Fatalf("%v %v: not the picture", size, o)
			}
			for y := range h {
				for x := range w {
					p := at(x, y)
					if got := m.Y[y*m.YStride+x]; !near(got, jfif(p[0], p[1], p[2])[0]) {
						t.Fatalf("%v %v: luma at %d,%d is %d", size, o, x, y, got)
					}
				}
			}
			if o.Grey {
				continue
			}
			cw, ch := m.ChromaSize()
			for y := range ch {
				for x := range cw {
					var p [3]float64
					for dy := range m.SubY {
						for dx := range m.SubX {
							q := at(x*m.SubX+dx, y*m.SubY+dy)
							for c := range p {
								p[c] += q[c] / float64(m.SubX*m.SubY)
							}
						}
					}
					want := jfif(p[0], p[1], p[2])
					if cb, cr := m.Cb[y*m.CStride+x], m.Cr[y*m.CStride+x]; !near(cb, want[1]) || !near(cr, want[2]) {
						t.Fatalf("%v %v: chroma at %d,%d is %d %d, want %v", size, o, x, y, cb, cr, want)
					}
				}
			}
		}
	}
}

// Grey stays grey of its own code.
func TestGreyStays(t *testing.T) {
	codes := make([]byte, 3*256)
	for i := range codes {
		codes[i] = byte(i / 3)
	}
	for _, o := range []SheetOptions{{}, {Chroma: Half}} {
		m := filled(t, 256, 1, o, codes)
		for i, v := range m.Y {
			if int(v) != i {
				t.Errorf("%d became %d", i, v)
			}
		}
		for i := range m.Cb {
			if m.Cb[i] != 128 || m.Cr[i] != 128 {
				t.Errorf("%v: chroma %d, %d of grey", o, m.Cb[i], m.Cr[i])
			}
		}
	}
}

// All three ways of giving a row lead to the same codes, and values that are no
// colours do no harm.
func TestWaysOfRows(t *testing.T) {
	codes := randomCodes(rand.New(rand.NewPCG(3, 3)), 31, 2)
	want := filled(t, 31, 2, SheetOptions{}, codes)
	linear, encoded := make([]float32, len(codes)), make([]float32, len(codes))
	for i, c := range codes {
		linear[i], encoded[i] = float32(icc.SpaceSRGB.Light(float64(c)/255)), float32(c)/255
	}
	for name, fill := range map[string]func(s *Sheet, y int) error{
		"linear":  func(s *Sheet, y int) error { return s.Row(linear[93*y:][:93]) },
		"encoded": func(s *Sheet, y int) error { return s.Encoded(encoded[93*y:][:93]) },
	} {
		s, err := NewSheet(31, 2, SheetOptions{})
		if err != nil {
			t.Fatal(err)
		}
		for y := range 2 {
			if err := fill(s, y); err != nil {
				t.Fatal(err)
			}
		}
		got, err := s.Picture()
		if err != nil || string(got.Y) != string(want.Y) || string(got.Cb) != string(want.Cb) || string(got.Cr) != string(want.Cr) {
			t.Errorf("%s rows give another picture: %v", name, err)
		}
	}
	s, _ := NewSheet(1, 1, SheetOptions{})
	nan := float32(math.NaN())
	if err := s.Encoded([]float32{nan, -3, 1e30}); err != nil {
		t.Fatal(err)
	}
	if m, _ := s.Picture(); m == nil || m.Y[0] != 29 { // 0.114 * 255
		t.Errorf("no blue of %v", m)
	}
}

func TestSheetRefuses(t *testing.T) {
	for _, size := range [][2]int{{0, 1}, {1, 0}, {-1, 5}, {65536, 1}, {1, 65536}} {
		if _, err := NewSheet(size[0], size[1], SheetOptions{}); err == nil {
			t.Errorf("%v is no refused size", size)
		}
	}
	if _, err := NewSheet(3, 3, SheetOptions{Space: 9}); err == nil {
		t.Error("an unknown space is taken")
	}
	p, err := NewStamper(Stamp{Text: "x", Size: 0.1, Opacity: 1})
	if err != nil {
		t.Fatal(err)
	}
	mark, err := p.Mark(30, 30, icc.SpaceSRGB)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := NewSheet(31, 30, SheetOptions{Mark: mark}); err == nil {
		t.Error("the stamp of another size is taken")
	}
	s, err := NewSheet(2, 1, SheetOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Row(make([]float32, 5)); err == nil {
		t.Error("a short row is taken")
	}
	if _, err := s.Picture(); err == nil {
		t.Error("a picture without rows is given")
	}
	if err := s.Row(make([]float32, 6)); err != nil {
		t.Fatal(err)
	}
	if err := s.Row(make([]float32, 6)); err == nil {
		t.Error("a row too many is taken")
	}
	if _, err := s.Picture(); err != nil {
		t.Fatal(err)
	}
	if err := s.Row(make([]float32, 6)); err == nil {
		t.Error("a row is taken after the picture was given away")
	}
}

func BenchmarkSheet(b *testing.B) {
	const w, h = 6000, 100
	row := make([]float32, 3*w)
	rng := rand.New(rand.NewPCG(1, 1))
	for i := range row {
		row[i] = float32(math.Pow(rng.Float64(), 2))
	}
	for name, o := range map[string]SheetOptions{"444": {}, "420": {Chroma: Half}} {
		b.Run(name, func(b *testing.B) {
			s := &Sheet{}
			for b.Loop() {
				if err := s.Reset(w, h, o); err != nil {
					b.Fatal(err)
				}
				for range h {
					if err := s.Row(row); err != nil {
						b.Fatal(err)
					}
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/(w*h), "ns/pixel")
		})
	}
}
