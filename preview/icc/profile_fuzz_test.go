package icc

import "testing"

// Whatever a profile holds, there is an error or every colour has its light: a number,
// and not without bounds.
func FuzzProfile(f *testing.F) {
	for _, b := range made() {
		f.Add(b, uint16(9))
	}
	for _, s := range publishedSpaces() {
		f.Add(s.writer().bytes(), uint16(9))
	}
	f.Add(Encode(SpaceSRGB), uint16(1))
	f.Add(writer{class: "mntr", space: "GRAY", pcs: "Lab "}.with("kTRC", paraType(0, 2.2)).bytes(), uint16(3))
	f.Fuzz(func(t *testing.T, b []byte, seed uint16) {
		if len(b) > 1<<16 {
			return
		}
		if p, err := Parse(b); (p == nil) == (err == nil) {
			t.Fatal("a profile and an error, or neither")
		}
		d, err := openDevice(b)
		if err != nil {
			return
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
			v := uint64(seed)
			for range 16 {
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
