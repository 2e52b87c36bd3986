package testface

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"testing"
)

// Reference is what a network gave for one picture in its own package.
type Reference struct {
	Network string   // detector, mesh, likeness
	Picture string   // what Picture takes
	Outputs []Output // its results
	Layers  []Layer  // what its operations made, in their order; of some pictures only
}

// Output is a result: every Every-th of Count values.
type Output struct {
	Name   string
	Count  int
	Every  int
	Values []float32
}

// Layer is a tensor on the way: how many values, their sum and the sum of their sizes.
type Layer struct {
	Name      string
	Shape     []int
	Count     int
	Sum, Size float64
}

// Tolerance is how far a value may lie from the reference's.
const Tolerance = 1e-3

// Off returns the largest distance of a result from the reference.
func (o Output) Off(got []float32) float64 {
	if len(got) != o.Count {
		return math.Inf(1)
	}
	worst := 0.0
	for i, want := range o.Values {
		d := math.Abs(float64(got[i*o.Every]) - float64(want))
		if math.IsNaN(d) {
			return math.Inf(1)
		}
		worst = max(worst, d)
	}
	return worst
}

// Off returns how far the sums of a tensor lie from the reference's, for one value in
// the mean and measured by the mean size where that is over 1.
func (l Layer) Off(got []float32) float64 {
	if len(got) != l.Count {
		return math.Inf(1)
	}
	var sum, size float64
	for _, v := range got {
		sum += float64(v)
		size += math.Abs(float64(v))
	}
	n := float64(l.Count)
	d := max(math.Abs(sum-l.Sum), math.Abs(size-l.Size)) / n / max(1, l.Size/n)
	if math.IsNaN(d) {
		return math.Inf(1)
	}
	return d
}

// Goldens returns what was written down for a network.
func Goldens(t testing.TB, network string) []Reference {
	t.Helper()
	var out []Reference
	for _, r := range goldens(t).References {
		if r.Network == network {
			out = append(out, r)
		}
	}
	if len(out) == 0 {
		t.Fatalf("nothing is written down for %s", network)
	}
	return out
}

type written struct {
	References []Reference
	Found      []Detection
}

func goldens(t testing.TB) (all written) {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(scripts(), "goldens.json"))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, &all); err != nil {
		t.Fatal(err)
	}
	return all
}

// Detection is what MediaPipe makes of the detector's results for one picture, taking
// what has a score of Floor: anchors, boxes, weighted suppression.
type Detection struct {
	Picture string
	Floor   float64
	Faces   []struct {
		Score  float64
		Box    [4]float64  // left, top, width, height, as shares of the picture
		Points [12]float64 // six points, x before y
	}
}

// Found returns the detections that are written down.
func Found(t testing.TB) []Detection { return goldens(t).Found }

// scripts is where the scripts for node are.
func scripts() string {
	_, file, _, _ := runtime.Caller(0)
	return filepath.Join(filepath.Dir(file), "..", "..", "preview", "face", "testdata", "node")
}
