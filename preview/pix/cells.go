package pix

import (
	"slices"

	"garner/preview/jpeg"
)

// This file measures how fine the structure of a picture is, cell by cell. A
// blurred edge has its height still, but no bend: so the energy of second
// differences, over that of differences across four samples, tells blur from
// sharpness whatever the contrast is. What noise adds to both is taken off, and
// a cell counts only as far as its contrast stands above the noise.

// cellEdge is the side of a cell in samples.
const cellEdge = 8

// cell is the structure in one cell.
type cell struct {
	across, down float64 // 0 to about 1: how sharp it is in either direction, weighed by how surely
	level        float64 // mean luma
}

// score is the cell's structure in both directions, at most 1. In the dark it counts
// for less: shadows are seldom what was focused on.
func (c cell) score() float64 {
	return min(c.across+c.down, 1) * min(max(c.level/64, 0.25), 1)
}

// cells are those of a picture, without a margin of one cell.
type cells struct {
	w, h int
	list []cell
}

func (c *cells) at(x, y int) *cell { return &c.list[y*c.w+x] }

// energy are sums over a cell: squares of second differences and of differences
// across four samples in both directions, squares of what differs on the
// diagonal, which edges have little of and noise has much, and the samples.
type energy struct {
	bendX, bendY, slope, diagonal, sum int64
}

// measure returns the cells of the luma planes of pictures with the same noise, as
// far as their rows are real; of what is too small none.
func measure(pictures []*jpeg.Image) []cells {
	out := make([]cells, len(pictures))
	sums := make([][]energy, len(pictures))
	for i, m := range pictures {
		rows := m.Height
		if m.Truncated {
			rows = min(rows, m.Rows)
		}
		w, h := m.Width/cellEdge-2, rows/cellEdge-2
		if w <= 0 || h <= 0 {
			continue
		}
		sums[i] = make([]energy, w*h)
		for y := range h * cellEdge {
			add(sums[i][y/cellEdge*w:][:w], m, y+cellEdge)
		}
		out[i] = cells{w, h, make([]cell, w*h)}
	}
	noise := noiseOf(slices.Concat(sums...))
	for i := range sums {
		for k, s := range sums[i] {
			out[i].list[k] = s.cell(&noise)
		}
	}
	return out
}

// add adds one row of samples to the cells of its row.
func add(sums []energy, m *jpeg.Image, y int) {
	row := func(y int) []byte { return m.Y[y*m.YStride:][:m.Width] }
	up2, up, mid, low, low2 := row(y-2), row(y-1), row(y), row(y+1), row(y+2)
	for i := range sums {
		e := &sums[i]
		x0 := (i + 1) * cellEdge
		a, u, r, d, b := up2[x0:x0+cellEdge], up[x0:x0+cellEdge], mid[x0-2:x0+cellEdge+2], low[x0:x0+cellEdge+1], low2[x0:x0+cellEdge]
		for x := range cellEdge {
			v := int64(r[x+2])
			bendX := 2*v - int64(r[x+1]) - int64(r[x+3])
			bendY := 2*v - int64(u[x]) - int64(d[x])
			slopeX, slopeY := int64(r[x+4])-int64(r[x]), int64(b[x])-int64(a[x])
			diagonal := v + int64(d[x+1]) - int64(r[x+3]) - int64(d[x])
			e.bendX += bendX * bendX
			e.bendY += bendY * bendY
			e.slope += slopeX*slopeX + slopeY*slopeY
			e.diagonal += diagonal * diagonal
			e.sum += v
		}
	}
}

// noiseLevels are the noise of each sixteenth of the scale of brightness, as the
// variance of a sample: it is another in the light than in the dark.
type noiseLevels [levels]float64

const (
	levels      = 16
	levelWidth  = 256 / levels
	cellSamples = cellEdge * cellEdge
)

// noiseOf takes the noise from the cells with the least on their diagonals, a
// fifth of all: there is always some part without structure. Clipped cells have no
// noise to tell of.
func noiseOf(sums []energy) noiseLevels {
	var all []float64
	var by [levels][]float64
	for _, e := range sums {
		if level := e.sum / cellSamples; level >= 4 && level <= 251 {
			v := float64(e.diagonal) / (4 * cellSamples) // a sum of four samples
			all, by[level/levelWidth] = append(all, v), append(by[level/levelWidth], v)
		}
	}
	const least, enough = 0.1, 24 // rounding to whole numbers is noise as well
	whole := max(fifth(all)*spread, least)
	var n noiseLevels
	for i, list := range by {
		n[i] = whole
		if len(list) >= enough {
			n[i] = max(fifth(list)*spread, least)
		}
	}
	return n
}

// at returns the noise at a brightness: of its own sixteenth and the next one the
// higher, since the calmest cells of a sixteenth lie at its calm end.
func (n *noiseLevels) at(level float64) float64 {
	i := min(int(level)/levelWidth, levels-1)
	k := i + 1
	if int(level)%levelWidth < levelWidth/2 {
		k = i - 1
	}
	return max(n[i], n[min(max(k, 0), levels-1)])
}

// spread is how much more the noise of the mean cell is than that of the calmest
// fifth, with nothing but noise in all of them.
const spread = 1.3

func fifth(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	slices.Sort(v)
	return v[len(v)/5]
}

// cell makes the measure out of the sums.
func (e *energy) cell(n *noiseLevels) cell {
	level := float64(e.sum) / cellSamples
	variance := n.at(level)
	// A second difference has six times the variance of a sample, a difference twice.
	bend := func(sum int64) float64 { return max(float64(sum)/cellSamples-6*variance*spread, 0) }
	slope := float64(e.slope) / cellSamples
	above := max(slope-2*4*variance, 0)
	// Contrast that is hardly seen, or little above the noise, is not trusted. The
	// factor makes 1 of an ideal edge.
	trust := 2 * above / (above + 4*4*variance + 36) / (slope + 1)
	return cell{trust * bend(e.bendX), trust * bend(e.bendY), level}
}
