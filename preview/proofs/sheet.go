package proofs

import (
	"fmt"
	"math"
)

// Sheet is how contact sheets look.
type Sheet struct {
	Paper   Paper
	Columns int    // 0 = 4, at most 12
	Rows    int    // 0 = 5, at most 16: so many of upright pictures fit on a page without headings
	Profile []byte // ICC profile of the pictures in colour; nil = none, which readers take for sRGB or near it
}

// Lengths on a sheet, in points.
const (
	margin   = 36 // half an inch: printers reach there
	gap      = 10
	headRoom = 26 // the title above all
	footRoom = 18 // the number of the page
	nameRoom = 24 // a scene's heading
	numRoom  = 14 // the number under a picture

	titleSize, nameSize, numSize = 13, 11, 9
)

func (s Sheet) check() (Sheet, error) {
	if s.Columns == 0 {
		s.Columns = 4
	}
	if s.Rows == 0 {
		s.Rows = 5
	}
	switch {
	case !s.Paper.known():
		return s, &InputError{"a contact sheet", "is on unknown paper"}
	case s.Columns < 1 || s.Columns > 12 || s.Rows < 1 || s.Rows > 16:
		return s, &InputError{"a contact sheet", fmt.Sprintf("has %d columns and %d rows (1 to 12 and 1 to 16)", s.Columns, s.Rows)}
	case s.Profile != nil && (len(s.Profile) < 128 || string(s.Profile[16:20]) != "RGB " || string(s.Profile[36:40]) != "acsp"):
		return s, &InputError{"the profile of contact sheets", "is no ICC profile of RGB"} // ICC.1:2022, 7.2: the profile header
	}
	return s, nil
}

// leaf is one page: headings and pictures where they stand.
type leaf struct {
	names  []placed
	places []placed
}

// placed is a scene (its heading) or a picture by index, with the corner at the
// lower left and the size of its place.
type placed struct {
	scene, picture int
	x, y, w, h     float64
	again          bool // the heading of a scene that began on a page before
}

// leaves shares the pictures out to pages: a heading begins each scene, and each
// page; none stands at the foot of a page without a row of pictures. A row is as high as
// its highest picture.
func leaves(l *laid, s Sheet) []leaf {
	paper := papers[s.Paper]
	top, bottom := paper.height-margin-headRoom, float64(margin+footRoom)
	cellW := (paper.width - 2*margin - gap*float64(s.Columns-1)) / float64(s.Columns)
	most := (top-bottom-nameRoom)/float64(s.Rows) - numRoom - gap // of a picture's height

	var out []leaf
	y := bottom // no room yet
	var cellH, rowH float64
	for i, scene := range l.scenes {
		for j := range scene.pictures {
			column := j % s.Columns
			if column == 0 {
				cellH = rowHeight(scene.pictures[j:min(j+s.Columns, len(scene.pictures))], cellW, most)
				rowH = cellH + numRoom + gap
				need := rowH
				if j == 0 {
					need += nameRoom
				}
				fresh := y-need < bottom-0.01
				if fresh {
					out, y = append(out, leaf{}), top
				}
				if page := &out[len(out)-1]; fresh || j == 0 {
					page.names = append(page.names, placed{scene: i, x: margin, y: y - nameRoom + 9, w: paper.width - 2*margin, again: j > 0})
					y -= nameRoom
				}
				y -= rowH
			}
			page := &out[len(out)-1]
			page.places = append(page.places, placed{scene: i, picture: j,
				x: margin + float64(column)*(cellW+gap), y: y + gap + numRoom, w: cellW, h: cellH})
		}
	}
	return out
}

// rowHeight is the height of the highest picture of a row in cells of that width, as
// far as it may be high.
func rowHeight(row []picture, width, most float64) float64 {
	h := 10.0 // a panorama is as narrow as a line
	for _, p := range row {
		h = math.Max(h, width*float64(p.small.Height)/float64(p.small.Width))
	}
	return math.Min(h, most)
}

// fit places w by h pixels at the foot of a place, so that the numbers of a row are on
// one line.
func (p placed) fit(w, h int) (x, y, width, height float64) {
	scale := math.Min(p.w/float64(w), p.h/float64(h))
	// A line of pixels is still to be seen.
	width, height = math.Max(float64(w)*scale, 0.5), math.Max(float64(h)*scale, 0.5)
	return p.x + (p.w-width)/2, p.y, width, height
}
