package face

import (
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
	f.Fuzz(func(t *testing.T, data []byte, width, height uint16) {
		w, h := int(width)+1, int(height)+1
		const anchors = 250 // enough for everything, and more of them cost time
		coords, scores := floats(data, anchors*finderCoords), floats(data, anchors)
		var all []sighting
		for _, part := range parts(w, h) {
			all = append(all, sightings(coords, scores, letterbox(part), part, w, h)...)
		}
		found := largest(merge(all))
		if len(found) > mostFaces {
			t.Fatalf("%d faces", len(found))
		}
		for i, f := range found {
			mid, long := f.middle(), float64(max(w, h))
			tiny := long * 1e-9 // a mean is rounded
			if !(mid.X >= -tiny && mid.Y >= -tiny && mid.X <= float64(w)+tiny && mid.Y <= float64(h)+tiny) ||
				!(f.W > 0 && f.H > 0 && f.W <= 2*long+tiny && f.H <= 2*long+tiny) || !(f.Score >= surely && f.Score <= 1) {
				t.Fatalf("%dx%d: %+v", w, h, f)
			}
			for _, p := range f.Points {
				if !p.sub(mid).within(8 * long) {
					t.Fatalf("%dx%d: %+v", w, h, f)
				}
			}
			if i > 0 && f.W*f.H > found[i-1].W*found[i-1].H {
				t.Fatalf("not the largest first: %+v", found)
			}
			if f.Around(w, h).Empty() {
				t.Fatalf("%dx%d: nothing to look at: %+v", w, h, f)
			}
		}
	})
}

// Whatever a mesh says, nothing is said of the eyes or it is in numbers that make sense;
// a second look is near the first, and a template is refused or is of a place.
func FuzzEyes(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, data []byte, w, h uint16) {
		out := sample()
		for i := range out {
			out[i] = floats(data[min(i, len(data)):], len(out[i]))
		}
		at := at(float64(w), float64(h), 40, 1).Found
		at.Points[1] = Point{float64(h), float64(w)}
		to, ok := at.close()
		if !ok {
			t.Fatalf("%+v", at)
		}
		e := readEyes(out, to)
		for _, v := range []float64{e.Presence, e.Right / mostOpen, e.Left / mostOpen, e.Width[0] / 1e4, e.Width[1] / 1e4, e.Apart / 1e4, math.Abs(e.Roll) / 4} {
			if !(v >= 0 && v <= 1) {
				t.Fatalf("%+v", e)
			}
		}
		next := again(out[0], to)
		mid := Point{meshSide / 2, meshSide / 2}
		if !(next.scale() > to.scale()*0.49 && next.scale() < to.scale()*1.51 && next.of(mid).distance(to.of(mid)) < 100) {
			t.Fatalf("%+v after %+v", next, to)
		}
		if c, ok := e.chip(); ok && !c.of(Point{}).within(1e7) {
			t.Fatalf("%+v of %+v", c, e)
		}
	})
}
