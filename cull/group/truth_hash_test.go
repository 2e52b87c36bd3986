package group

import (
	"math"
	"path/filepath"
	"slices"
	"testing"

	"garner/cull"
	"garner/preview/jpeg"
	"garner/preview/pix"
	"garner/testdata/testneed"
)

// plainHash is the DCT hash by its definition: the luma of a part of the picture is
// brought to 64x64 by area, its cosine transform taken, and a bit set for each of
// the 8x8 lowest coefficients, the first among them, that is above their median. It
// is written as slowly and plainly as it reads.
func plainHash(m *jpeg.Image, left, top, size float64) (hash uint64) {
	const n = 64
	var square [n][n]float64
	for y := range n {
		for x := range n {
			square[y][x] = plainMean(m,
				(left+size*float64(x)/n)*float64(m.Width), (left+size*float64(x+1)/n)*float64(m.Width),
				(top+size*float64(y)/n)*float64(m.Height), (top+size*float64(y+1)/n)*float64(m.Height))
		}
	}
	scale := func(f int) float64 {
		if f == 0 {
			return math.Sqrt2 / 2
		}
		return 1
	}
	var low []float64
	for v := range 8 {
		for u := range 8 {
			sum := 0.
			for y := range n {
				for x := range n {
					sum += square[y][x] * math.Cos(math.Pi*float64(u)*(float64(x)+.5)/n) * math.Cos(math.Pi*float64(v)*(float64(y)+.5)/n)
				}
			}
			low = append(low, sum*scale(u)*scale(v))
		}
	}
	order := slices.Sorted(slices.Values(low))
	for i, v := range low {
		if v > (order[31]+order[32])/2 {
			hash |= 1 << (63 - i)
		}
	}
	return hash
}

// plainMean is the mean luma of a rectangle whose edges cut samples.
func plainMean(m *jpeg.Image, x0, x1, y0, y1 float64) float64 {
	sum, area := 0., 0.
	for y := int(y0); y < m.Height && float64(y) < y1; y++ {
		for x := int(x0); x < m.Width && float64(x) < x1; x++ {
			a := (min(float64(x+1), x1) - max(float64(x), x0)) * (min(float64(y+1), y1) - max(float64(y), y0))
			sum += a * float64(m.Y[y*m.YStride+x])
			area += a
		}
	}
	return sum / area
}

// TestTruthHashes holds the hashes of all windows of a real photograph against the
// definition. Half of the bits are set, so that distances are even; a coefficient
// next to the median may fall to either side of it: with another resizer four bits are
// usual (ImageHash's own test allows as many).
func TestTruthHashes(t *testing.T) {
	if testing.Short() {
		t.Skip("slow by intent")
	}
	m := pix.Fit(picture(t, filepath.Join(testneed.Samples(t), "photos", "group3.jpg"), 4), pix.ThumbEdge)
	l := look(t, m).look
	for part := range cull.LookParts {
		x, y, size := cull.PartOf(part)
		if d := Distance(l.Parts[part], plainHash(m, x, y, size)); d > 4 {
			t.Errorf("window %d: %d bits from the definition", part, d)
		}
	}
}
