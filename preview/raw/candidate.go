package raw

import (
	"cmp"
	"errors"
	"slices"

	"garner/preview/internal/bin"
	"garner/preview/internal/marker"
)

// Pixel counts from which a preview has its role.
const (
	fullPixels   = 3_000_000
	screenPixels = 300_000
)

// maxCandidates is more than any camera writes.
const maxCandidates = 24

// hint is what the container says about a candidate.
type hint struct {
	what          string // "IFD0 strip": for messages
	width, height int    // declared pixels; 0 = not declared
	// maybe marks a place that may hold sensor data as well: unless the frame
	// header proves a preview, nothing is said about it.
	maybe bool
}

// candidate is a place that may hold an embedded JPEG.
type candidate struct {
	off, length int64
	hint        hint
}

// addCandidate notes that a JPEG of length bytes should lie at off. Places that
// cannot be (length 0, negative) are dropped; whether it is a JPEG and whether it
// is whole is found out at the end.
func (s *scan) addCandidate(off, length int64, h hint) {
	// Some bodies write an all-ones offset with length 0 for "there is none".
	if off < 0 || length < 4 || off == 0xFFFFFFFF {
		return
	}
	c := candidate{off, length, h}
	for i, o := range s.cands {
		if o.off != off {
			continue
		}
		// One place named twice: the name that fits the file is right.
		if in := s.src.Inside(off, length); in && !s.src.Inside(off, o.length) ||
			in == s.src.Inside(off, o.length) && length > o.length {
			s.cands[i] = c
		}
		return
	}
	if len(s.cands) == maxCandidates {
		s.problem(ProblemTooMuch, "more than %d places for embedded JPEGs", maxCandidates)
		return
	}
	s.cands = append(s.cands, c)
}

// judge reads the frame header of every candidate, the longest first: if the read
// limit is reached, what is missed is small.
func (s *scan) judge() {
	slices.SortStableFunc(s.cands, func(a, b candidate) int { return cmp.Compare(b.length, a.length) })
	var whole, cut []Preview
	for _, c := range s.cands {
		if p, ok := s.verify(c); ok && p.Whole {
			whole = append(whole, p)
		} else if ok {
			cut = append(cut, p)
		}
	}
	rank(whole)
	rank(cut)
	s.out.Previews = append(whole, cut...)
}

// rank sorts by pixel count, the offset breaking ties, and gives the roles.
func rank(ps []Preview) {
	slices.SortFunc(ps, func(a, b Preview) int {
		if d := cmp.Compare(b.Width*b.Height, a.Width*a.Height); d != 0 {
			return d
		}
		return cmp.Compare(a.Offset, b.Offset)
	})
	for i := range ps {
		switch n := ps[i].Width * ps[i].Height; {
		case i == 0 && n >= fullPixels:
			ps[i].Role = RoleFull
		case n >= screenPixels:
			ps[i].Role = RoleScreen
		default:
			ps[i].Role = RoleThumb
		}
	}
}

// verify reads a candidate up to its frame header. It reports false for what is
// no preview at all.
func (s *scan) verify(c candidate) (Preview, bool) {
	p := Preview{Offset: c.off, Length: c.length}
	inside := s.src.Inside(c.off, c.length)
	end := s.src.Size()
	if inside {
		end = c.off + c.length
	}
	info, err := marker.Frame(s.src, c.off, end)
	if err == nil && !info.DCT() {
		return p, false // lossless: sensor data
	}
	if info.SOF != 0 && (info.Width == 0 || info.Height == 0) {
		err = marker.ErrNoFrame
	}
	if err == nil {
		p.Width, p.Height = info.Width, info.Height
		p.Components, p.Precision = info.Components, info.Precision
		p.Progressive = info.SOF == marker.SOF2
		p.Whole = inside
	}
	what := c.hint.what
	switch {
	case p.Whole:
		return p, true
	case !inside && (err == nil || !c.hint.maybe) && !errors.Is(err, marker.ErrNoJPEG):
		s.problem(ProblemCutOff, "the JPEG of the %s (%d bytes at %d) reaches past the end of the file", what, c.length, c.off)
		return p, true
	case errors.Is(err, bin.ErrBudget) || s.src.Failed() != nil && !errors.Is(err, marker.ErrNoJPEG):
		s.fault(err, "JPEG of the "+what)
	case !c.hint.maybe:
		s.problem(ProblemNotJPEG, "the %s (%d bytes at %d) is no JPEG that can be shown", what, c.length, c.off)
	}
	return p, false
}
