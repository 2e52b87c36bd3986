//go:build !purego && (amd64 || arm64)

package nn

import "testing"

// Vector code leaves the pointers it is given where they are: one that it had moved
// past the end of a slice would damage the heap when garbage is collected.
func TestPointersStay(t *testing.T) {
	if !hasVector {
		t.Skip("plain Go")
	}
	v := make([]float32, 4096)
	at := make([]int, 2*tile)
	for _, kernel := range []func(*panelArgs){panel16, panel8} {
		a := panelArgs{in: &v[0], at: &at[0], groups: 2, panel: &v[0], dst: &v[1024], stride: 4 * width, add: &v[2048], addStride: 4 * width, rows: 1, run: 3}
		b := a
		kernel(&a)
		if a.in != b.in || a.at != b.at || a.panel != b.panel || a.dst != b.dst || a.add != b.add {
			t.Errorf("%+v, before %+v", a, b)
		}
	}
	for _, kernel := range []func(*placesArgs){depthwise8, max8} {
		a := placesArgs{src: &v[0], dst: &v[1024], weights: &v[2048], bias: &v[3072], slope: &v[3072],
			pixels: 2, advance: 4 * lanes, rows: 1, cols: 1, rowStep: 4 * lanes, colStep: 4 * lanes, blocks: 1}
		b := a
		kernel(&a)
		if a.src != b.src || a.dst != b.dst || a.weights != b.weights || a.bias != b.bias || a.slope != b.slope {
			t.Errorf("%+v, before %+v", a, b)
		}
	}
}
