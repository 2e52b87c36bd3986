package face

import (
	"image"
	"math"
	"testing"
)

var oneRect = image.Rect(0, 0, 1, 1)

// raw is what the detector gives when it sees nothing.
func raw() (coords, scores []float32) {
	coords, scores = make([]float32, finderBoxes*finderCoords), make([]float32, finderBoxes)
	for i := range scores {
		scores[i] = -50
	}
	return coords, scores
}

// The values of the graph's options: 2304 anchors (num_boxes), the first in the middle
// of a cell of 4 pixels, a score as sigmoid, x before y (reverse_output_order).
func TestDecode(t *testing.T) {
	if finderBoxes != 2304 {
		t.Fatalf("%d anchors, want 2304", finderBoxes)
	}
	coords, scores := raw()
	const anchor = 20*48 + 30 // row 20, column 30: its middle is at 122, 82
	scores[anchor] = 2
	v := coords[anchor*16:]
	copy(v, []float32{3, -5, 40, 50, -10, -12, 11, -13})
	got := decode(coords, scores, surely)
	if len(got) != 1 {
		t.Fatalf("%d faces, want 1", len(got))
	}
	f := got[0]
	if f.X != 105 || f.Y != 52 || f.W != 40 || f.H != 50 {
		t.Errorf("box %v,%v %vx%v, want 105,52 40x50", f.X, f.Y, f.W, f.H)
	}
	if want := 1 / (1 + math.Exp(-2)); math.Abs(f.Score-want) > 1e-12 {
		t.Errorf("score %v, want %v", f.Score, want)
	}
	if f.Points[0] != (Point{112, 70}) || f.Points[1] != (Point{133, 69}) {
		t.Errorf("eyes at %v", f.Points[:2])
	}
	scores[anchor] = -0.01 // sigmoid 0.4975
	if got := decode(coords, scores, surely); len(got) != 0 {
		t.Errorf("a score below 0.5 gives %v", got)
	}
}

func TestDecodeBoundsNonsense(t *testing.T) {
	coords, scores := raw()
	for i := range scores {
		scores[i], coords[i*16+2], coords[i*16+3] = float32(i), 20, 20
	}
	got := decode(coords, scores, surely)
	if len(got) != mostOfRun {
		t.Fatalf("%d faces, want %d", len(got), mostOfRun)
	}
	if got[0].Score < got[len(got)-1].Score {
		t.Error("the surest are not kept")
	}
	inf, nan := float32(math.Inf(1)), float32(math.NaN())
	for _, bad := range []float32{inf, -inf, nan, 1e30, -1e30} {
		for k := range finderCoords {
			coords, scores := raw()
			scores[1000], coords[16002], coords[16003] = 5, 20, 20
			coords[16000+k] = bad
			if got := decode(coords, scores, surely); len(got) != 0 {
				t.Errorf("%v as number %d gives %+v", bad, k, got)
			}
		}
		coords, scores := raw()
		scores[1000], coords[16002], coords[16003] = bad, 20, 20
		for _, f := range decode(coords, scores, surely) {
			if bad < 1 || !(f.Score <= 1) {
				t.Errorf("a score of %v gives %+v", bad, f)
			}
		}
	}
}
