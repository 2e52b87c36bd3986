package pix

import (
	"cmp"
	"image"
	"math"
	"slices"

	"garner/preview/jpeg"
)

// This file measures how sharp a part of a picture is, in two ways that fail at
// different times.
//
// Energy is the mean square of the gradients after a smoothing that takes the worst
// of the noise, less what noise still has of it. Edge holds the fine gradients against
// coarse ones, where the coarse ones are strongest: brightness and contrast cancel,
// and as the product of the two is linear in what is fine, noise does.
//
// An edge that a Gaussian of deviation s has blurred has, behind another of variance
// v, a gradient of height / √(2π (s² + v)) in its middle. So the ratio of two such
// gradients tells s.

// Focus is how sharp a part of a picture is. The Edges mean the same in every
// picture; Energy only compares parts that show the same thing.
type Focus struct {
	Energy float64 // gradient energy less what noise has of it, relative to brightness; of no unit, more is sharper
	Edge   float64 // blur of the strongest edges in all directions, as the deviation of a Gaussian in pixels; 0 = there is no edge
	Blur   float64 // the same in the directions in which they are blurriest: motion blurs in one alone
	Noise  float64 // standard deviation of the noise, in code values of 0..255; fine texture counts as some
	Pixels int     // short side of the part in pixels; 0 = it is too small, or not there
}

// leastFocus is the short side, in pixels, of the smallest part that is measured.
const leastFocus = 24

// FocusOf measures the part r of the luma of m, which is clipped to the rows that are
// there. It has to be a part at full size: made smaller, a picture hides its blur.
func FocusOf(m *jpeg.Image, r image.Rectangle) Focus {
	if !m.Valid() {
		return Focus{}
	}
	rows := m.Height
	if m.Truncated {
		rows = min(rows, m.Rows)
	}
	r = r.Intersect(image.Rect(0, 0, m.Width, rows))
	short := min(r.Dx(), r.Dy())
	if short < leastFocus {
		return Focus{}
	}
	e := edgesOf(m, r)
	all, noise := e.whole(), e.noise()
	level := all.luma + 8
	f := Focus{Pixels: short, Energy: max(all.fine-noise.fine, 0) / (level * level), Noise: min(grainOf(m, r), math.Sqrt(noise.fine/fineGain))}
	if ratios := e.band.ratios(noise, chosenBand, short/8); len(ratios) > 0 {
		f.Edge = blur(average(ratios), bandVariance)
	}
	if ratios := e.ridge.ratios(noise, chosenRidge, short/16); len(ratios) > 0 {
		f.Blur = blur(average(ratios[:min(len(ratios), orientations/2)]), fineVariance)
	}
	return f
}

const (
	// What stands in the sums over edges as if it were an edge but is noise, for each
	// pixel, in multiples of the mean: the strongest gradients are those that noise made
	// stronger, and the strongest of their neighbours even more so.
	chosenBand, chosenRidge = 2, 3
	// leastSlope is the gradient that an edge has at least behind the coarse smoothing, in
	// code values a pixel: that of one of 6, if it is sharp.
	leastSlope = 1
	// leastShare is the part of the energy of the strongest direction that edges of another
	// one have: what is weaker may be the flank of the former, turned aside by noise.
	leastShare = 1. / 16
	// bandVariance stands for fineVariance where the pixels beside the middle of an edge
	// count as well, in which a sharp one has less of its gradient. It was fitted to real
	// textures behind known Gaussians.
	bandVariance = 1.95
)

// ratios are the logarithms of fine gradients over coarse ones in each of the directions
// in which there are edges, at least so many pixels of them, the blurriest first. No blur
// makes them negative.
func (s *edgeSums) ratios(n noiseEnergy, chosen float64, least int) []float64 {
	var out []float64
	most := 0.0
	for _, e := range s {
		if e.n >= float64(least) {
			most = max(most, e.coarse/e.n)
		}
	}
	for _, e := range s {
		cross, coarse := e.cross-chosen*e.n*n.cross, e.coarse-chosen*e.n*n.coarse
		if e.n < float64(least) || 2*coarse < e.coarse || coarse < max(leastSlope*leastSlope, leastShare*most)*e.n {
			continue
		}
		out = append(out, math.Log(max(cross/coarse, 1)))
	}
	slices.SortFunc(out, cmp.Compare[float64])
	return out
}

func average(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	return sum / float64(len(v))
}

// blur is the deviation of the Gaussian that gives a ratio of gradients, of which the
// logarithm is given; fine is the variance of the smoothing before the fine ones.
func blur(ratio, fine float64) float64 {
	const most = 12 // pixels: all beyond is as blurred
	square := math.Exp(2 * ratio)
	if square <= 1 {
		return most
	}
	v := (coarseVariance - square*fine) / (square - 1)
	// Sharpening makes edges steeper than any lens: they go on counting as sharper.
	const sharp = 0.3
	if v < sharp*sharp {
		return sharp * math.Exp((v-sharp*sharp)/(2*sharp*sharp))
	}
	return min(math.Sqrt(v), most)
}
