package resample

import (
	"fmt"
	"math"

	"garner/preview/resample/internal/lanes"
)

// Unsharp is sharpening by what a picture has more than its blurred self. It works
// on encoded luma, and what it adds is the same for red, green and blue, so that no
// edge gets a colour.
type Unsharp struct {
	Radius    float64 // standard deviation of the blur, in pixels of the result
	Amount    float64 // times the difference; 0 leaves pictures as they are
	Threshold float64 // differences below, in 8-bit codes, stay as they are
}

// The largest blur and the largest amount that are taken.
const (
	MaxRadius = 20
	MaxAmount = 20
)

// Luma as the YCbCr of JFIF has it (BT.601).
const lumaR, lumaG, lumaB = 0.299, 0.587, 0.114

// Sharpener sharpens a picture row by row. Rows come out in the order they went in,
// some rows later, and are not clipped.
type Sharpener struct {
	w, h   int
	u      Unsharp
	sink   Sink
	reach  int       // pixels of blur on either side
	weight []float32 // of the blur
	beside []int     // where the samples of a sum along a row begin

	taken, given int
	line         []float32 // luma of one row, its ends repeated
	luma, soft   []float32 // of the last rows, soft blurred along them
	rows         []float32 // the last rows
	below        []int     // where the rows of a sum begin
	blur         []float32
	err          error
}

// NewSharpener returns what sharpens w by h pixels of encoded rows.
func NewSharpener(w, h int, u Unsharp, sink Sink) (*Sharpener, error) {
	if err := checkSize(w, h); err != nil {
		return nil, err
	}
	if !(u.Radius >= 0 && u.Radius <= MaxRadius && u.Amount >= 0 && u.Amount <= MaxAmount && u.Threshold >= 0) {
		return nil, fmt.Errorf("no sharpening of radius %g, amount %g, threshold %g", u.Radius, u.Amount, u.Threshold)
	}
	s := &Sharpener{w: w, h: h, u: u, sink: sink}
	if s.idle() {
		return s, nil
	}
	s.weight = gauss(u.Radius)
	n := len(s.weight)
	s.reach = n / 2
	s.beside, s.below = make([]int, n), make([]int, n)
	for k := range s.beside {
		s.beside[k] = k
	}
	s.line = make([]float32, w+2*s.reach)
	s.luma, s.soft, s.rows = make([]float32, n*w), make([]float32, n*w), make([]float32, n*w*channels)
	s.blur = make([]float32, w)
	return s, nil
}

func (s *Sharpener) idle() bool { return s.u.Amount == 0 || s.u.Radius == 0 }

// gauss is a bell of three standard deviations on either side.
func gauss(sigma float64) []float32 {
	reach := int(math.Ceil(3 * sigma))
	share, sum := make([]float64, 2*reach+1), 0.0
	for k := range share {
		d := float64(k-reach) / sigma
		share[k] = math.Exp(-d * d / 2)
		sum += share[k]
	}
	weight := make([]float32, len(share))
	whole(weight, share, sum)
	return weight
}

// Push takes the next row, of encoded values.
func (s *Sharpener) Push(row []float32) error {
	switch {
	case s.err != nil:
		return s.err
	case s.taken == s.h:
		s.err = ErrRows
		return s.err
	case len(row) != s.w*channels:
		s.err = fmt.Errorf("a row of %d values for %d pixels", len(row), s.w)
		return s.err
	}
	s.taken++
	if s.idle() {
		s.given, s.err = s.taken, s.sink(s.taken-1, row)
		return s.err
	}
	at := (s.taken - 1) % len(s.weight)
	copy(s.rows[at*s.w*channels:], row)
	luma := s.luma[at*s.w:][:s.w]
	lumaOf(luma, row)
	copy(s.line[s.reach:], luma)
	for k := range s.reach {
		s.line[k], s.line[s.reach+s.w+k] = luma[0], luma[s.w-1]
	}
	lanes.Down(s.soft[at*s.w:][:s.w], s.line, s.beside, s.weight)
	for s.given+s.reach < s.taken || s.taken == s.h && s.given < s.h {
		if s.err = s.give(); s.err != nil {
			return s.err
		}
	}
	return nil
}

// give hands on the next row.
func (s *Sharpener) give() error {
	y, n := s.given, len(s.weight)
	for k := range s.below {
		s.below[k] = min(max(y-s.reach+k, 0), s.h-1) % n * s.w
	}
	lanes.Down(s.blur, s.soft, s.below, s.weight)
	at := y % n
	row := s.rows[at*s.w*channels:][:s.w*channels]
	add(row, s.luma[at*s.w:][:s.w], s.blur, float32(s.u.Amount), float32(s.u.Threshold/255))
	s.given++
	return s.sink(y, row)
}

// Close reports whether all rows came.
func (s *Sharpener) Close() error {
	if s.err == nil && s.taken != s.h {
		s.err = ErrRows
	}
	return s.err
}

func lumaOf(luma, row []float32) {
	for i := range luma {
		p := row[3*i : 3*i+3 : 3*i+3]
		luma[i] = lumaR*p[0] + lumaG*p[1] + lumaB*p[2]
	}
}

func add(row, luma, blur []float32, amount, threshold float32) {
	blur = blur[:len(luma)]
	for i, v := range luma {
		d := v - blur[i]
		if max(d, -d) < threshold {
			continue
		}
		d *= amount
		p := row[3*i : 3*i+3 : 3*i+3]
		p[0] += d
		p[1] += d
		p[2] += d
	}
}
