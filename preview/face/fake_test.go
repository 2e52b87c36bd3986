package face

import (
	"image"

	"garner/preview/jpeg"
)

// fake stands for the networks of a build, each a function of its input.
type fake struct {
	find, look, know func(in []float32) [][]float32
}

type fakeNet struct {
	in []float32
	f  func(in []float32) [][]float32
}

func (n *fakeNet) input() []float32          { return n.in }
func (n *fakeNet) run() ([][]float32, error) { return n.f(n.in), nil }

func fakeOf(side int, f func([]float32) [][]float32) (network, error) {
	if f == nil {
		return nil, errOutput
	}
	return &fakeNet{make([]float32, side*side*3), f}, nil
}

func (f fake) finder() (network, error)   { return fakeOf(finderSide, f.find) }
func (f fake) mesh() (network, error)     { return fakeOf(meshSide, f.look) }
func (f fake) likeness() (network, error) { return fakeOf(chipSide, f.know) }

// seesSquares is a detector that takes bright squares on black for faces: each that is
// three pixels and larger in its input, and whole or cut by the input's edge.
func seesSquares(in []float32) [][]float32 {
	coords, scores := raw()
	lit := func(x, y int) bool {
		return x >= 0 && y >= 0 && x < finderSide && y < finderSide && in[(y*finderSide+x)*3] > 0
	}
	for y := range finderSide {
		for x := range finderSide {
			if !lit(x, y) || lit(x-1, y) || lit(x, y-1) {
				continue
			}
			w, h := 1, 1
			for lit(x+w, y) {
				w++
			}
			for lit(x, y+h) {
				h++
			}
			if w < 3 || h < 3 {
				continue
			}
			mx, my := float32(x)+float32(w)/2, float32(y)+float32(h)/2
			i := int(my)/finderStride*finderCells + int(mx)/finderStride
			scores[i] = 3
			cx, cy := (float32(i%finderCells)+0.5)*finderStride, (float32(i/finderCells)+0.5)*finderStride
			v := coords[i*finderCoords:]
			v[0], v[1], v[2], v[3] = mx-cx, my-cy, float32(w), float32(h)
			for k := range 6 {
				v[4+2*k], v[5+2*k] = mx-cx, my-cy
			}
			v[4], v[6] = v[4]-float32(w)/4, v[6]+float32(w)/4 // the eyes
		}
	}
	return [][]float32{coords, scores}
}

// withSquares is a black picture with bright squares in it.
func withSquares(w, h, sub int, squares ...image.Rectangle) *jpeg.Image {
	grey := func(int, int) byte { return 128 }
	return painted(w, h, sub, sub, func(x, y int) byte {
		for _, s := range squares {
			if image.Pt(x, y).In(s) {
				return 235
			}
		}
		return 0
	}, grey, grey)
}
