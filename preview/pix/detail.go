package pix

import (
	"math"
	"slices"

	"garner/preview/jpeg"
)

const (
	tilesAcross = 4  // of Looks.Detail, in either direction
	grains      = 16 // samples on the side of a patch from which the noise is told
	perOctave   = 12 // steps of Looks.Detail for a doubling
)

// detailOf measures the fine detail of 4 by 4 tiles: the mean square of the second
// differences across and down, less what noise gives, on a scale of 12 steps for a
// doubling. What is in focus has much more of it than what is not; what is flat or
// as noisy as the rest has none, which is 0.
//
// Noise is as strong on diagonals, of which edges and patterns have little: the
// calmest patches tell how strong. No more is taken off than a thumbnail can have,
// so that the measure of a tile hardly depends on what else is in the picture.
func detailOf(m *jpeg.Image) (out [LookTiles]uint8) {
	w, h := m.Width-2, m.Height-2
	if w < tilesAcross || h < tilesAcross {
		return out
	}
	cols, lines := (w+grains-1)/grains, (h+grains-1)/grains
	patches := make([]grain, cols*lines)
	var tiles [LookTiles]grain
	for y := 0; y < h; y += 2 { // every other row tells as much
		row := tiles[y*tilesAcross/h*tilesAcross:][:tilesAcross]
		patch := patches[y/grains*cols:][:cols]
		up, mid, low := m.Y[y*m.YStride:][:w+2], m.Y[(y+1)*m.YStride:][:w+2], m.Y[(y+2)*m.YStride:][:w+2]
		for x := 0; x < w; {
			// up to the next edge of a patch or a tile
			tile := x * tilesAcross / w
			end := min((x/grains+1)*grains, ((tile+1)*w+tilesAcross-1)/tilesAcross, w)
			g := measureGrain(up[x:end+2], mid[x:end+2], low[x:end+2])
			row[tile].add(g)
			patch[x/grains].add(g)
			x = end
		}
	}
	noise := calm(patches)
	for i, t := range tiles {
		// Two second differences, each with six times the variance of a sample.
		mean := float64(t.bend)/float64(max(t.n, 1)) - 12*spread*noise
		out[i] = uint8(min(perOctave*math.Log2(1+max(mean, 0))+0.5, 255))
	}
	return out
}

// grain are sums over a part of a picture.
type grain struct {
	bend, diagonal, sum, n int64
}

func (g *grain) add(o grain) {
	g.bend, g.diagonal, g.sum, g.n = g.bend+o.bend, g.diagonal+o.diagonal, g.sum+o.sum, g.n+o.n
}

// measureGrain measures a row but for its first and last sample.
func measureGrain(up, mid, low []byte) grain {
	n := len(mid) - 2
	up, low = up[:len(mid)], low[:len(mid)]
	bend, diagonal, sum := int32(0), int32(0), int32(0) // of at most 16 samples
	left, v := int32(mid[0]), int32(mid[1])
	for i := range n {
		right := int32(mid[i+2])
		u, d := int32(up[i+1]), int32(low[i+1])
		across, down := 2*v-left-right, 2*v-u-d
		cross := v + int32(low[i+2]) - right - d
		bend += across*across + down*down
		diagonal += cross * cross
		sum += v
		left, v = v, right
	}
	return grain{int64(bend), int64(diagonal), int64(sum), int64(n)}
}

// mostNoise is the variance that a sample of a thumbnail has at most: many samples
// of the picture were averaged for it.
const mostNoise = 3

// calm is the variance of a sample that noise gives, out of the tenth of the
// patches that has the least on its diagonals. Clipped ones have no noise to tell
// of.
func calm(patches []grain) float64 {
	var v []float64
	for _, p := range patches {
		if p.n > 0 && p.sum >= 4*p.n && p.sum <= 251*p.n {
			v = append(v, float64(p.diagonal)/float64(4*p.n)) // a sum of four samples
		}
	}
	if len(v) == 0 {
		return 0
	}
	slices.Sort(v)
	return min(v[len(v)/10], mostNoise)
}
