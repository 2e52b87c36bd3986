package pix

import (
	"image"
	"math"

	"garner/preview/jpeg"
)

// This file sums up the gradients of a part: in blocks, and where there are edges,
// by the direction in which those run.

const (
	orientations = 4  // ranges of 45 degrees in which gradients are told apart
	noiseBlock   = 16 // pixels on the side of a block
	strongest    = 16 // of the gradients of an orientation one in so many counts as an edge: so motion, which takes those of one, leaves its own to look at
)

// edges are the sums of a part.
type edges struct {
	blocks []block
	band   edgeSums // over the strongest gradients
	ridge  edgeSums // over those of them that are the strongest across an edge
}

// block are means over a block: energy of the fine gradients, their product with the
// coarse ones, energy of those, and luma.
type block struct{ fine, cross, coarse, luma, n float64 }

// edgeSums are sums over edges by their orientation.
type edgeSums [orientations]struct{ cross, coarse, n float64 }

func (s *edgeSums) add(k uint8, cross, coarse float32) {
	s[k].cross += float64(cross) / (fineUnit * coarseUnit)
	s[k].coarse += float64(coarse) / (coarseUnit * coarseUnit)
	s[k].n++
}

// whole is the mean of all blocks.
func (e *edges) whole() (all block) {
	for _, b := range e.blocks {
		all.fine += b.n * b.fine
		all.luma += b.n * b.luma
		all.n += b.n
	}
	all.fine, all.luma = all.fine/all.n, all.luma/all.n
	return all
}

// gradient is what is kept of a pixel: the product of the two gradients, the square of
// the coarse one, and its orientation.
type gradient struct {
	cross, coarse float32
	kind          uint8
}

// edgesOf measures the part r of m, which is not smaller than leastFocus.
func edgesOf(m *jpeg.Image, r image.Rectangle) *edges {
	b := buffers.Get().(*focusBuffers)
	defer buffers.Put(b)
	s := b.smooth(m, r)
	w, h := s.w, s.h
	cols, lines := w/noiseBlock, h/noiseBlock
	e := &edges{blocks: make([]block, cols*lines)}
	all := resized(&b.gradients, w*h)
	var counts [orientations][strengths]int32
	for y := 1; y < h-1; y++ {
		luma := m.Y[(r.Min.Y+y)*m.YStride+r.Min.X:][:w]
		row := e.blocks[min(y/noiseBlock, lines-1)*cols:][:cols]
		for k := range row {
			from, until := max(k*noiseBlock, 1), (k+1)*noiseBlock
			if k == cols-1 {
				until = w - 1
			}
			s.gradients(all, &row[k], &counts, luma, y, from, until)
		}
	}
	for i := range e.blocks {
		b := &e.blocks[i]
		b.fine /= b.n * fineUnit * fineUnit
		b.cross /= b.n * fineUnit * coarseUnit
		b.coarse /= b.n * coarseUnit * coarseUnit
		b.luma /= b.n
	}
	e.choose(all, &counts, w, h)
	return e
}

// gradients measures a stretch of a row and adds it to its block.
func (s *smoothed) gradients(all []gradient, b *block, counts *[orientations][strengths]int32, luma []byte, y, from, until int) {
	w, n := s.w, until-from
	at := y*w + from
	left, right := s.fine[at-1:][:n], s.fine[at+1:][:n]
	up, down := s.fine[at-w:][:n], s.fine[at+w:][:n]
	cleft, cright := s.coarse[at-1:][:n], s.coarse[at+1:][:n]
	cup, cdown := s.coarse[at-w:][:n], s.coarse[at+w:][:n]
	luma, all = luma[from:][:n], all[at:][:n]
	var fine, cross, coarse float32
	sum := 0
	for i := range n {
		fx, fy := float32(right[i]-left[i]), float32(down[i]-up[i])
		cx, cy := float32(cright[i]-cleft[i]), float32(cdown[i]-cup[i])
		g := gradient{fx*cx + fy*cy, cx*cx + cy*cy, orientation(cx, cy)}
		all[i] = g
		counts[g.kind][strength(g.coarse)]++
		fine += fx*fx + fy*fy
		cross += g.cross
		coarse += g.coarse
		sum += int(luma[i])
	}
	b.fine += float64(fine)
	b.cross += float64(cross)
	b.coarse += float64(coarse)
	b.luma += float64(sum)
	b.n += float64(n)
}

// choose sums up the strongest gradients of each orientation.
func (e *edges) choose(all []gradient, counts *[orientations][strengths]int32, w, h int) {
	var least [orientations]int
	for k := range counts {
		least[k] = top(&counts[k])
	}
	across := [orientations]int{1, w + 1, w, w - 1}
	for y := 2; y < h-2; y++ { // the outermost have no gradients, the next ones no neighbours with some
		for i := y*w + 2; i < y*w+w-2; i++ {
			g := all[i]
			if strength(g.coarse) < least[g.kind] {
				continue
			}
			e.band.add(g.kind, g.cross, g.coarse)
			if d := across[g.kind]; g.coarse >= all[i-d].coarse && g.coarse > all[i+d].coarse {
				e.ridge.add(g.kind, g.cross, g.coarse)
			}
		}
	}
}

// orientation is the range in which the direction of a gradient lies: across, one
// diagonal, down, the other.
func orientation(x, y float32) uint8 {
	const tan = 0.41421356 // of 22.5 degrees
	bx, by := math.Float32bits(x), math.Float32bits(y)
	ax, ay := math.Float32frombits(bx&^(1<<31)), math.Float32frombits(by&^(1<<31))
	// Without branches, which could not be foretold.
	flat, steep := math.Float32bits(ay-tan*ax)>>31, math.Float32bits(ax-tan*ay)>>31
	return [8]uint8{1, 0, 2, 0, 3, 0, 2, 0}[flat|steep<<1|(bx^by)>>31<<2]
}

// strengths is how many degrees of strength are told apart.
const strengths = 256

// strength numbers squares of coarse gradients in eighths of an octave, from that of
// 1/64 code values a pixel on. 255 a pixel, more than there is, has number 224.
func strength(square float32) int {
	const first = 1100 // exponent and three more bits of (coarseUnit / 64)²
	return min(max(int(math.Float32bits(square)>>20)-first, 0), strengths-1)
}

// top is the number from which on one in so many is the strongest.
func top(counts *[strengths]int32) int {
	n := int32(0)
	for _, c := range counts {
		n += c
	}
	left := n / strongest
	for k := strengths - 1; k > 1; k-- {
		if left -= counts[k]; left <= 0 {
			return k
		}
	}
	return 1
}
