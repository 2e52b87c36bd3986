package icc

import "testing"

// Whatever a table or a curve of a profile holds, there is an error or every colour has
// its light: a number, and not without bounds. kind picks what it is a profile of.
func FuzzTables(f *testing.F) {
	for _, b := range made() {
		tags, err := open(b)
		if err != nil {
			f.Fatal(err)
		}
		kind := byte(0)
		if b[16] == 'C' {
			kind |= 2
		}
		if b[20] == 'L' {
			kind |= 4
		}
		if b[8] >= 4 {
			kind |= 8
		}
		f.Add(kind, tags.find("A2B0"), []byte{})
	}
	f.Add(byte(0xF8), aToB{in: 3, m: [][]byte{srgbCurve, srgbCurve, paraType(0, 1.3)}, matrix: make([]float64, 12), b: [][]byte{srgbCurve, curvType(), curvType(1, 2)}}.bytes(), []byte{})
	f.Add(byte(1), []byte{}, paraType(4, 2.2, 1, 0.1, 0.2, 0.3, 0.4, 0.5))
	f.Add(byte(5), []byte{}, curvType(0, 100, 40000))
	f.Add(byte(0), []byte{}, srgbCurve)
	plain := func(_ int, x float64) float64 { return x }
	paper := lutType{1, 4, 3, 2, 0, 0, unitMatrix(), plain, plain, func(p []float64) []float64 { return []float64{1 - p[3], p[0], p[1]} }}
	inks := lutType{1, 3, 4, 2, 0, 0, unitMatrix(), plain, plain, func(p []float64) []float64 { return []float64{1 - p[0], p[1], p[2], 1 - p[0]} }}
	f.Add(byte(6), paper.bytes(), inks.bytes())
	f.Fuzz(func(t *testing.T, kind byte, table, other []byte) {
		if len(table)+len(other) > 1<<16 {
			return
		}
		w := writer{class: "scnr", space: [...]string{"RGB ", "GRAY", "CMYK", "RGB "}[kind&3], pcs: [...]string{"XYZ ", "Lab "}[kind>>2&1]}
		for _, s := range publishedSpaces()[1].writer().tags {
			w = w.with(s.signature, s.data)
		}
		if w.space == "CMYK" {
			w.class = "prtr"
		}
		if len(table) > 0 {
			w = w.with("A2B0", table)
		}
		if len(other) > 0 {
			w = w.with("B2A0", other).with("kTRC", other).with("gTRC", other)
		}
		b := w.bytes()
		b[8] = 2 + kind>>3&1*2
		d, err := openDevice(b)
		if err != nil {
			t.Fatal(err)
		}
		if kind >= 0xF0 { // tables take their time
			if c, err := NewConverter(b, d.channels, SpaceSRGB, Options{}); err == nil {
				for i := range 8 {
					v := uint16(i * 9000)
					for _, x := range linear(c, []uint16{v, v / 2, 65535 - v, v}[:d.channels]...) {
						if !(x > -1e9 && x < 1e9) {
							t.Fatalf("%d becomes %g", v, x)
						}
					}
				}
			}
		}
		for _, intent := range []Intent{Perceptual, Relative} {
			l, err := d.toWhite(intent)
			if err != nil {
				continue
			}
			for _, k := range d.black(intent) {
				if !(k >= 0 && k < 0.2) {
					t.Fatalf("black is %g", k)
				}
			}
			v := uint64(kind)
			for range 8 {
				var in [4]float64
				for i := range in {
					v = v*6364136223846793005 + 1442695040888963407
					in[i] = float64(v>>48) / 65535
				}
				for _, x := range l.at(in) {
					if !(x > -1e9 && x < 1e9) {
						t.Fatalf("%v becomes %v", in, l.at(in))
					}
				}
			}
		}
	})
}
