package pix

import (
	"cmp"
	"image"
	"slices"

	"garner/preview/jpeg"
)

// This file tells how much of the gradients is noise. Cameras smooth noise, each in
// its own way, and coding does: what it is like at single pixels does not tell how
// much is left behind a filter. So it is measured in the gradients themselves, in
// blocks that have the least of anything else.

// noiseEnergy is the energy that noise has in a pixel: in the fine gradients, in
// their product with the coarse ones, and in those.
type noiseEnergy struct{ fine, cross, coarse float64 }

const (
	// fineGain is the energy of the fine gradients of white noise of deviation 1: squares
	// of the binomial in one direction, of its central difference in the other.
	fineGain = 2 * (70. / 256) * (84. / 1024)

	// Of noise alone the calmest tenth of the blocks has this much less than the mean.
	calmest = 1.15

	// Noise that was smoothed with a deviation of a pixel has these shares of its fine
	// energy left in the products and in the coarse gradients; white noise has half of
	// it. What has more is no noise but a blurred picture.
	mostCross, mostCoarse = 0.25, 0.12
)

func (e *edges) noise() noiseEnergy {
	// Clipped blocks have no noise to tell of.
	calm := slices.DeleteFunc(slices.Clone(e.blocks), func(b block) bool { return b.luma < 4 || b.luma > 251 })
	if 4*len(calm) < len(e.blocks) {
		calm = slices.Clone(e.blocks)
	}
	by := func(of func(b block) float64) func(a, b block) int {
		return func(a, b block) int { return cmp.Compare(of(a), of(b)) }
	}
	fine := func(b block) float64 { return b.fine }
	slices.SortFunc(calm, by(fine))
	n := noiseEnergy{fine: calm[len(calm)/10].fine * calmest}
	slices.SortFunc(calm, by(func(b block) float64 { return b.coarse }))
	calm = calm[:max(len(calm)/5, 1)]
	n.coarse = min(calm[len(calm)/2].coarse, mostCoarse*n.fine)
	slices.SortFunc(calm, by(func(b block) float64 { return b.cross }))
	n.cross = min(max(calm[len(calm)/2].cross, 0), mostCross*n.fine)
	return n
}

// grainOf is the deviation of the noise at single pixels: the median of the diagonal
// Haar coefficients, of which edges have few, over that of a Gaussian (Donoho and
// Johnstone, Ideal spatial adaptation by wavelet shrinkage, Biometrika 81, 1994; from
// memory).
func grainOf(m *jpeg.Image, r image.Rectangle) float64 {
	var counts [2*255 + 1]int
	n := 0
	for y := r.Min.Y; y+1 < r.Max.Y; y += 2 {
		up, low := m.Y[y*m.YStride+r.Min.X:][:r.Dx()], m.Y[(y+1)*m.YStride+r.Min.X:][:r.Dx()]
		for x := 0; x+1 < len(up); x += 2 {
			d := int(up[x]) - int(up[x+1]) - int(low[x]) + int(low[x+1])
			counts[max(d, -d)]++
		}
		n += len(up) / 2
	}
	below := 0.0
	for v, c := range counts {
		if half := float64(n) / 2; below+float64(c) > half {
			// Rounding spreads what lies around v over one; around 0 it is half of that.
			within := (half - below) / float64(c)
			if v == 0 {
				return within / 2 / 2 / median
			}
			return (float64(v) - 0.5 + within) / 2 / median
		}
		below += float64(c)
	}
	return 0
}

// median is that of the magnitude of a Gaussian of deviation 1.
const median = 0.6745
