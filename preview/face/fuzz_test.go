package face

import (
	"context"
	"encoding/binary"
	"math"
	"testing"
)

// floats reads numbers over and over from data until there are n.
func floats(data []byte, n int) []float32 {
	out := make([]float32, n)
	for i := range out {
		if len(data) < 4 {
			break
		}
		at := i * 4 % (len(data) &^ 3)
		out[i] = math.Float32frombits(binary.LittleEndian.Uint32(data[at:]))
	}
	return out
}

func seeds(f *testing.F) {
	bytes := func(v ...float32) (b []byte) {
		for _, v := range v {
			b = binary.LittleEndian.AppendUint32(b, math.Float32bits(v))
		}
		return b
	}
	inf, nan := float32(math.Inf(1)), float32(math.NaN())
	f.Add(bytes(1, 2, 30, 40, 5), uint16(300), uint16(200))
	f.Add(bytes(nan), uint16(1), uint16(1))
	f.Add(bytes(inf, -inf, 3), uint16(2000), uint16(1))
	f.Add(bytes(1e38, 12, -1e38), uint16(70), uint16(900))
	f.Add(bytes(100, 100, 100, 100, 0, 0, 0.1, 60), uint16(1024), uint16(683))
}

// Whatever a detector says, each face that comes of it lies in the picture with its
// middle, is of a size that makes sense, and can be looked at.
func FuzzFind(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, data []byte, w, h uint16) {
		width, height := int(w%200)+1, int(h%200)+1
		r := &Reader{nets: fake{
			find: func([]float32) [][]float32 {
				return [][]float32{floats(data, finderBoxes*finderCoords), floats(data, finderBoxes)}
			},
			look: meshOf(sample()),
		}}
		m := withSquares(width, height, 1)
		found, err := r.Find(context.Background(), m)
		if err != nil || len(found) > mostFaces {
			t.Fatalf("%d faces, %v", len(found), err)
		}
		for i, f := range found {
			mid, long := f.middle(), float64(max(width, height))
			if !(mid.X >= 0 && mid.Y >= 0 && mid.X <= float64(width) && mid.Y <= float64(height)) ||
				!(f.W > 0 && f.H > 0 && f.W <= 2*long && f.H <= 2*long) || !(f.Score >= surely && f.Score <= 1) {
				t.Fatalf("%dx%d: %+v", width, height, f)
			}
			for _, p := range f.Points {
				if !p.sub(mid).within(8 * long) {
					t.Fatalf("%dx%d: %+v", width, height, f)
				}
			}
			if f.Around(width, height).Empty() {
				t.Fatalf("%dx%d: nothing to look at: %+v", width, height, f)
			}
			if i < 3 {
				if _, err := r.Eyes(context.Background(), m, f); err != nil {
					t.Fatalf("%+v: %v", f, err)
				}
			}
		}
	})
}

// Whatever a mesh says, nothing is said of the eyes or it is in numbers that make sense,
// and a template may be asked for.
func FuzzEyes(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, data []byte, w, h uint16) {
		out := sample()
		for i := range out {
			out[i] = floats(data[min(i, len(data)):], len(out[i]))
		}
		r := &Reader{nets: fake{look: meshOf(out), know: fakeTemplate}}
		m := withSquares(64, 48, 2)
		at := at(float64(w), float64(h), 40, 1).Found
		at.Points[1] = Point{float64(h), float64(w)}
		e, err := r.Eyes(context.Background(), m, at)
		if err != nil {
			t.Fatal(err)
		}
		for _, v := range []float64{e.Presence, e.Right / mostOpen, e.Left / mostOpen, e.Width[0] / 1e4, e.Width[1] / 1e4, e.Apart / 1e4, math.Abs(e.Roll) / 4} {
			if !(v >= 0 && v <= 1) {
				t.Fatalf("%+v", e)
			}
		}
		if _, err := r.Template(context.Background(), m, e); err != nil && err != errNoFace {
			t.Fatal(err)
		}
	})
}
