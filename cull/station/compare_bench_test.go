package station

import (
	"fmt"
	"testing"

	"garner/cull"
	"garner/cull/evidence"
)

// Comparing a burst whose frames are too close to call, with twelve places and six
// faces each: what a key into it costs once.
func BenchmarkCompare(b *testing.B) {
	for _, n := range []int{4, 12, 24, 60} {
		var in []evidence.Measured
		for i := range n {
			m := cull.Measures{Focus: cull.Focus{Method: 1, Width: 6000, Height: 4000}}
			sharp := cull.Sharpness{Energy: 0.01, Edge: 1.2, Blur: 1.4, Noise: 1, Pixels: 200}
			for k := range 12 {
				m.Focus.Spots = append(m.Focus.Spots, cull.Spot{Region: cull.Region{X: float64(k) / 13, Y: float64(k%3) / 3, W: .05, H: .07}, By: cull.ByTile, Sharpness: sharp})
			}
			for k := range 6 {
				f := faceAt(float64(k)/7, .3, .1, cull.EyesOpen, .3)
				f.Sharpness = sharp
				m.Faces.List = append(m.Faces.List, f)
			}
			m.Faces.Method = 1
			in = append(in, evidence.Measured{ID: cull.ID(fmt.Sprint(i)), Measures: m})
		}
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				evidence.Compare(in)
			}
		})
	}
}
