package recall

import (
	"bytes"
	"cmp"
	"context"
	"encoding/binary"
	"errors"
	"io"
	"iter"
	"math"
	"slices"
	"sort"

	"garner/cull"
	"garner/cull/recall/like"
	"garner/cull/returned"
)

// This file asks for likeness. Looks are compared in one go, so those of all bags of a
// shelf are brought together in one file of its index; where something else is asked
// besides, or a bag or job is named by itself, those of the frames that fit are brought
// together in memory.

// mostNearest is how many frames are taken from one comparison, however few are asked for:
// all that are alike are to be counted.
const mostNearest = 1000

// lookedAt is the long edge, in pixels, at which a picture is looked at: enough to see
// where borders end.
const lookedAt = 1024

// PictureFrom reads the picture that is looked for: a JPEG, TIFF or PNG.
func PictureFrom(ctx context.Context, path string) (*like.Picture, error) {
	m, err := returned.Upright(ctx, path, lookedAt)
	if err != nil {
		return nil, plainly(err)
	}
	return like.NewPicture(m)
}

// Alike is up to how many bits a frame is taken for like a picture on which it does not fit:
// of photographs that had nothing to do with a crop none was nearer. Where none is that near
// the mostUnlike nearest are given, for a person to look at.
const (
	Alike      = 20.0
	mostUnlike = 5
)

// near is a match of a picture.
type near struct {
	match
	like.Match
}

// byLikeness is the order of what is nearest: what the picture fits on first, the rest by
// looks.
func byLikeness(a, b near) int {
	return cmp.Or(like.Nearer(&a.Match, &b.Match), byTime(a.match, b.match))
}

// findLike asks for the frames that a picture may show.
func (l *Library) findLike(ctx context.Context, q Query) (Found, error) {
	most := q.Most
	if most <= 0 {
		most = mostNearest
	}
	compared := max(most, mostNearest)
	var all []near
	apart := l.places // those that are compared in memory
	if q.asksNothingElse() {
		apart = nil
		in := map[*place]bool{}
		for _, s := range l.shelves {
			found, err := l.nearestOf(ctx, s, q.Like, compared)
			if err != nil {
				return Found{}, err
			}
			all = append(all, found...)
			for _, p := range s.places {
				in[p] = true
			}
		}
		for _, p := range l.places {
			if !in[p] {
				apart = append(apart, p)
			}
		}
	}
	m, err := l.matchIn(ctx, &q, apart)
	if err != nil {
		return Found{}, err
	}
	found, err := l.nearestIn(ctx, m.list, q.Like, compared)
	if err != nil {
		return Found{}, err
	}
	all = append(all, found...)
	slices.SortStableFunc(all, byLikeness)
	list := once(all, m.others)
	if err := l.lookCloser(ctx, q.Like, list); err != nil {
		return Found{}, err
	}
	return l.hitsOf(ctx, list, m.others, most)
}

// asksNothingElse reports whether a query is about likeness alone.
func (q *Query) asksNothingElse() bool {
	return q.From.IsZero() && q.To.IsZero() && q.Clock == nil && q.Job+q.Scene+q.Body+q.Name+q.Person == "" && len(q.Passes) == 0
}

// once takes each frame once, the nearest first.
func once(all []near, others map[uint64][]at) (list []near) {
	at := map[uint64]int{}
	for _, n := range all {
		here, had := at[n.id]
		if !had {
			at[n.id] = len(list)
			list = append(list, n)
			continue
		}
		if better(n.best, list[here].best) {
			list[here].match, n.match = n.match, list[here].match
		}
		others[n.id] = append(others[n.id], n.at)
	}
	return list
}

// hitsOf are the hits of what is nearest.
func (l *Library) hitsOf(ctx context.Context, list []near, others map[uint64][]at, most int) (Found, error) {
	var f Found
	alike := slices.IndexFunc(list, func(n near) bool { return !n.Fits() && n.Bits > Alike })
	if alike < 0 {
		alike = len(list)
	}
	if f.Total = alike; alike == 0 {
		alike = min(len(list), mostUnlike)
	}
	list = list[:min(most, alike)]
	byID := map[uint64]*like.Match{}
	var matches []match
	for at := range list {
		n := &list[at]
		matches, byID[n.id] = append(matches, n.match), &n.Match
	}
	var err error
	f.Hits, err = l.hits(ctx, matches, others)
	for i := range f.Hits {
		h := &f.Hits[i]
		id, _ := parseID(h.Frame)
		m := byID[id]
		h.Bits, h.Share, h.Looked, h.Agrees = m.Bits, m.Share, m.Looked, m.Agrees
	}
	return f, err
}

// nearestIn compares frames in memory.
func (l *Library) nearestIn(ctx context.Context, list []match, p *like.Picture, most int) ([]near, error) {
	if len(list) == 0 {
		return nil, nil
	}
	var b bytes.Buffer
	if _, err := like.Build(&b, l.looksOf(ctx, spansOf(list))); err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	c, err := like.Open(bytes.NewReader(b.Bytes()), int64(b.Len()))
	if err != nil {
		return nil, err
	}
	found, err := c.Find(ctx, p, most)
	var out []near
	for _, f := range counted(found) {
		out = append(out, near{list[f.Row], f})
	}
	return out, err
}

// counted leaves those that are alike, and those that a closer look may be taken at: of more
// nothing is asked.
func counted(found []like.Match) []like.Match {
	alike := slices.IndexFunc(found, func(m like.Match) bool { return m.Bits > Alike })
	if alike < 0 {
		return found
	}
	return found[:min(len(found), max(alike, like.Among))]
}

// span is some frames of one place.
type span struct {
	place int
	rows  []int32 // nil = all
	n     int
}

// spansOf brings together frames that come place by place.
func spansOf(list []match) []span {
	var out []span
	for _, m := range list {
		if len(out) == 0 || out[len(out)-1].place != int(m.place) {
			out = append(out, span{place: int(m.place)})
		}
		s := &out[len(out)-1]
		s.rows, s.n = append(s.rows, m.row), s.n+1
	}
	return out
}

// looksOf gives the looks of frames. Those of a place that cannot be read are not known.
func (l *Library) looksOf(ctx context.Context, spans []span) iter.Seq[like.Row] {
	return func(yield func(like.Row) bool) {
		for _, s := range spans {
			rows := make([]like.Row, s.n)
			if err := l.places[s.place].use(ctx, func(p *part) error {
				b, err := p.section(looksAt)
				for i := 0; i < s.n && err == nil; i++ {
					row := i
					if s.rows != nil {
						row = int(s.rows[i])
					}
					if row >= p.rows {
						return errDamaged
					}
					rows[i] = lookAt(b, row)
				}
				return err
			}); err != nil {
				l.lose(s.place, err)
			}
			for _, r := range rows {
				if ctx.Err() != nil || !yield(r) {
					return
				}
			}
		}
	}
}

// lookAt reads a row of the looks of a part.
func lookAt(b []byte, row int) like.Row {
	b = b[row*lookBytes:]
	r := like.Row{Look: cull.Look{Method: b[0]}, Aspect: float64(math.Float32frombits(binary.LittleEndian.Uint32(b[1:])))}
	for i := range r.Look.Parts {
		r.Look.Parts[i] = binary.LittleEndian.Uint64(b[5+8*i:])
	}
	return r
}

// nearestOf compares all frames of a shelf.
func (l *Library) nearestOf(ctx context.Context, s *shelf, p *like.Picture, most int) ([]near, error) {
	var spans []span
	var starts []int // row of the looks at which each begins
	total := 0
	for _, sp := range s.places {
		spans, starts = append(spans, span{place: slices.Index(l.places, sp), n: sp.frames}), append(starts, total)
		total += sp.frames
	}
	found, err := s.findLooks(ctx, func(w io.Writer) error {
		_, err := like.Build(w, l.looksOf(ctx, spans))
		return errors.Join(err, ctx.Err())
	}, p, most, total)
	found = counted(found)
	if errors.Is(err, errNowhere) {
		m, err := l.matchIn(ctx, &Query{}, s.places)
		if err != nil {
			return nil, err
		}
		return l.nearestIn(ctx, m.list, p, most)
	}
	if err != nil {
		return nil, err
	}
	out := make([]near, len(found))
	for i, f := range found {
		n := sort.SearchInts(starts, f.Row+1) - 1 // the last that begins there or before: one without frames is passed over
		out[i] = near{match{at: at{int32(spans[n].place), int32(f.Row - starts[n])}}, f}
	}
	return out, l.complete(ctx, out)
}

// complete reads what columns say of matches of which only the place is known.
func (l *Library) complete(ctx context.Context, list []near) error {
	byPlace := map[int32][]int{}
	for i, n := range list {
		byPlace[n.place] = append(byPlace[n.place], i)
	}
	for place, which := range byPlace {
		if err := l.places[place].use(ctx, func(p *part) error {
			c, err := p.columns()
			if err != nil {
				return err
			}
			for _, near := range which {
				m := &list[near].match
				if int(m.row) >= c.rows {
					return errDamaged
				}
				m.best, m.time, m.id = Kind(c.best[m.row]), c.time(int(m.row)), c.id(int(m.row))
			}
			return nil
		}); err != nil {
			if ctx.Err() != nil {
				return ctx.Err()
			}
			l.lose(int(place), err)
		}
	}
	return nil
}
