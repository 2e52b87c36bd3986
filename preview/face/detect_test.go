package face

import (
	"math"
	"testing"

	"garner/testdata/testface"
)

// TestDetectionsAsMediaPipeMakesThem holds anchors, boxes, points, scores and the mean of
// what overlaps against MediaPipe's own calculators in node, with the options of the
// package's graph, for one drawn face and four, with our floor and a lower one.
func TestDetectionsAsMediaPipeMakesThem(t *testing.T) {
	net, err := (&builtIn{}).finder()
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range testface.Found(t) {
		copy(net.input(), testface.Picture(want.Picture, finderSide))
		out, err := net.run()
		if err != nil {
			t.Fatal(err)
		}
		var all []sighting
		for _, f := range decode(out[0], out[1], want.Floor) {
			all = append(all, sighting{Found: f})
		}
		got := merge(all)
		if len(got) != len(want.Faces) {
			t.Fatalf("%s from %v: %d faces, there %d", want.Picture, want.Floor, len(got), len(want.Faces))
		}
		worst := 0.0
		for i, w := range want.Faces {
			g := got[i]
			worst = max(worst, 100*math.Abs(g.Score-w.Score))
			v := []float64{g.X, g.Y, g.W, g.H}
			for _, p := range g.Points {
				v = append(v, p.X, p.Y)
			}
			for k, x := range append(w.Box[:], w.Points[:]...) {
				worst = max(worst, math.Abs(v[k]-x*finderSide))
			}
		}
		t.Logf("%s from %v: %d sightings, %d faces, off by at most %.2g pixels of %d or percent of score", want.Picture, want.Floor, len(all), len(got), worst, finderSide)
		if !(worst < 1e-3) {
			t.Errorf("%s from %v: off by %g", want.Picture, want.Floor, worst)
		}
	}
}
