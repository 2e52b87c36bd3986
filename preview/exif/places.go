package exif

import (
	"math"
	"strings"

	"garner/preview/tiff"
)

// This file takes the place of focus from the maker notes that hold it in plain.
// It stands in where Exif's SubjectArea is missing, and is brought to the pixels
// of the full picture, as that counts. Layouts are those of the tables of the
// reference reader exiftool; what no real file has confirmed is left alone.

// place is an area of a picture whose size is of the note's own choice.
type place struct {
	x, y, w, h    int // centre and size, from the left top
	width, height int // of the picture that these count
}

// area is the place in a picture of another size; not given where it lies outside.
func (p place) area(width, height int) Area {
	if width <= 0 || height <= 0 || p.width <= 0 || p.height <= 0 || p.x < 0 || p.y < 0 || p.x >= p.width || p.y >= p.height {
		return Area{}
	}
	return Area{X: p.x, Y: p.y, W: max(p.w, 0), H: max(p.h, 0), Given: true}.Scaled(p.width, p.height, width, height)
}

// The most points of focus that a Canon note may list: the R6 has 1053.
const maxPoints = 4096

// canonPlace reads Canon's AFInfo2 (tag 0x0026): words of 16 bits, of which the
// first is their size in bytes; [2] points listed, [3] of those valid, [6] and [7]
// the size of the picture that the places count, then widths, heights, x and y of
// all points, and a bit for each that was in focus. 0,0 is the middle; y runs up
// in EOS bodies and apparently down in the others, which are therefore left out.
func (w *walker) canonPlace(e *tiff.Entry) {
	const head = 8
	if e == nil || e.Type != tiff.Short || !strings.Contains(w.m.Model, "EOS") {
		return
	}
	v := e.Ints(head)
	if len(v) < head {
		return
	}
	n, valid, width, height := int(v[2]), int(v[3]), int(v[6]), int(v[7])
	if n == 0 || n > maxPoints || valid > n {
		return
	}
	count := head + 4*n + (n+15)/16
	if v = e.Ints(count); len(v) < count {
		return
	}
	points := make([]place, 0, n)
	signed := func(list, i int) int { return int(int16(v[head+list*n+i])) }
	for i := range valid {
		if v[head+4*n+i/16]>>(i%16)&1 != 0 {
			points = append(points, place{width/2 + signed(2, i), height/2 - signed(3, i), signed(0, i), signed(1, i), width, height})
		}
	}
	w.place = middle(points)
}

// middle returns the place that is nearest to the mean of all: several points mark
// one subject, and the mean itself may lie beside it.
func middle(places []place) place {
	var x, y int
	for _, p := range places {
		x, y = x+p.x, y+p.y
	}
	var best place
	least, n := math.MaxInt, len(places)
	for _, p := range places {
		dx, dy := p.x*n-x, p.y*n-y
		if d := dx*dx + dy*dy; d < least {
			best, least = p, d
		}
	}
	return best
}

// sonyPlace reads Sony's FocusLocation (tag 0x2027): width and height of the
// picture, and the place from its left top. A body that does not know writes the
// very middle, so that the middle says nothing.
func (w *walker) sonyPlace(e *tiff.Entry) {
	if e == nil || e.Type != tiff.Short || e.Count != 4 {
		return
	}
	v := e.Ints(4)
	if len(v) == 4 && (v[2] != v[0]/2 || v[3] != v[1]/2) {
		w.place = place{x: int(v[2]), y: int(v[3]), width: int(v[0]), height: int(v[1])}
	}
}
