package imprint

import (
	"fmt"
	"math"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// setter puts letters one after the other.
type setter struct {
	font  *opentype.Font
	meter *meter
	buf   sfnt.Buffer
	em    fixed.Int26_6 // the size at which the font's units are pixels
	to    *words
}

func (s *setter) line(text string, y float32) error {
	x, last := float32(0), sfnt.GlyphIndex(0)
	for _, r := range text {
		s.meter.letter()
		g, err := s.font.GlyphIndex(&s.buf, r)
		if err != nil || g == 0 && !unicode.IsSpace(r) {
			return &StampError{"font", fmt.Sprintf("has no letter %q", r)}
		}
		if last != 0 {
			if k, err := s.font.Kern(&s.buf, last, g, s.em, font.HintingNone); err == nil {
				x += min(max(s.units(k), -1), 1)
			}
		}
		if err := s.letter(g, x, y); err != nil {
			return err
		}
		step, err := s.font.GlyphAdvance(&s.buf, g, s.em, font.HintingNone)
		if err != nil {
			return &StampError{"font", "is damaged: " + plain(err.Error())}
		}
		x += min(max(s.units(step), 0), maxReach)
		last = g
	}
	return nil
}

// units makes a length of the font one in em.
func (s *setter) units(v fixed.Int26_6) float32 { return float32(float64(v) / float64(s.em)) }

func (s *setter) letter(g sfnt.GlyphIndex, x, y float32) error {
	segments, err := s.font.LoadGlyph(&s.buf, g, s.em, nil)
	switch {
	case err != nil:
		return &StampError{"font", "is damaged: " + plain(err.Error())}
	case len(segments)+len(s.to.strokes) > maxStrokes:
		return &StampError{"font", "has letters of more strokes than letters have"}
	}
	for _, seg := range segments {
		t := stroke{op: seg.Op}
		for i := range pointsOf(seg.Op) {
			dx, dy := s.units(seg.Args[i].X), s.units(seg.Args[i].Y)
			if max(dx, -dx, dy, -dy) > maxReach {
				return &StampError{"font", "has letters that are larger than letters can be"}
			}
			t.p[i] = [2]float32{x + dx, y + dy}
		}
		s.to.strokes = append(s.to.strokes, t)
	}
	return nil
}

func pointsOf(op sfnt.SegmentOp) int {
	switch op {
	case sfnt.SegmentOpQuadTo:
		return 2
	case sfnt.SegmentOpCubeTo:
		return 3
	}
	return 1
}

// settle moves everything so that it begins at zero, and says whether there is
// anything.
func (t *words) settle() bool {
	low, high := [2]float32{math.MaxFloat32, math.MaxFloat32}, [2]float32{-math.MaxFloat32, -math.MaxFloat32}
	for _, s := range t.strokes {
		for _, p := range s.p[:pointsOf(s.op)] {
			for c := range 2 {
				low[c], high[c] = min(low[c], p[c]), max(high[c], p[c])
			}
		}
	}
	for i := range t.strokes {
		for k := range t.strokes[i].p {
			for c := range 2 {
				t.strokes[i].p[k][c] -= low[c]
			}
		}
	}
	t.w, t.h = float64(high[0]-low[0]), float64(high[1]-low[1])
	const least = 0.01
	return len(t.strokes) > 0 && t.w > least && t.h > least
}
