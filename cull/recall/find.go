package recall

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"garner/preview/sched"
)

// Found is what a query found.
type Found struct {
	Hits  []Hit // by time, those without one last; nearest first where a picture was asked for
	Total int   // frames that fit, however few of them were asked for; of a picture, those that are alike
}

// at is a row of a place.
type at struct{ place, row int32 }

// match is a frame that fits.
type match struct {
	at
	best Kind
	time int64
	id   uint64
}

// matches are frames that fit, each once.
type matches struct {
	list    []match
	several bool            // there are several places, which may hold one frame
	seen    idSet           // of the list
	others  map[uint64][]at // further places of a frame
}

// Find asks all places. A place that turns out to be broken is added to Broken, and the
// others are asked nonetheless.
func (l *Library) Find(ctx context.Context, q Query) (Found, error) {
	if q.Like != nil {
		return l.findLike(ctx, q)
	}
	m, err := l.matchIn(ctx, &q, l.places)
	if err != nil {
		return Found{}, err
	}
	f := Found{Total: len(m.list)}
	f.Hits, err = l.hits(ctx, first(m.list, q.Most, byTime), m.others)
	return f, err
}

// matchIn finds the frames of some places that fit, in the order of places.
func (l *Library) matchIn(ctx context.Context, q *Query, places []*place) (*matches, error) {
	m := &matches{several: len(places) > 1, others: map[uint64][]at{}}
	all := 0
	for _, p := range places {
		all += p.frames
	}
	err := l.ask(ctx, q, places, func(place int, c *columns, rows []int32) {
		m.room(len(rows), all)
		for _, row := range rows {
			m.add(match{at{int32(place), row}, Kind(c.best[row]), c.time(int(row)), c.id(int(row))})
		}
	})
	return m, err
}

// room makes room for some more frames: first for a few, then for as many as there are at
// most, since of millions none should be moved twice.
func (m *matches) room(more, all int) {
	const few = 1 << 16
	need := len(m.list) + more
	if need <= cap(m.list) {
		return
	}
	if need = max(need, min(few, all)); need > few {
		need = max(need, all)
	}
	m.list = slices.Grow(m.list, need-len(m.list))
	if m.several {
		m.seen.size(need, m.list)
	}
}

// add takes a frame. What one of several places says of it counts whose file is best; the
// first of those that are as good.
func (m *matches) add(n match) {
	m.room(1, 2*len(m.list))
	if m.several {
		if i, had := m.seen.put(n.id, len(m.list), m.list); had {
			if better(n.best, m.list[i].best) {
				n, m.list[i] = m.list[i], n
			}
			m.others[n.id] = append(m.others[n.id], n.at)
			return
		}
	}
	m.list = append(m.list, n)
}

func better(a, b Kind) bool { return a != NoFile && (b == NoFile || a < b) }

// ask gives the rows of each place that fit.
func (l *Library) ask(ctx context.Context, q *Query, places []*place, take func(place int, c *columns, rows []int32)) error {
	persons := false            // there are templates somewhere
	passes := map[string]bool{} // that there are
	chosen := make(map[*place]bool, len(places))
	for _, p := range places {
		chosen[p] = true
	}
	for from := 0; from < len(l.places); from += together {
		some := l.places[from:min(from+together, len(l.places))]
		replies := make([]reply, len(some))
		if err := sched.Each(ctx, len(some), func(ctx context.Context, i int) error {
			if chosen[some[i]] {
				replies[i] = some[i].reply(ctx, q)
			}
			return ctx.Err()
		}); err != nil {
			return err
		}
		for i := range replies {
			r := &replies[i]
			for _, name := range r.passes {
				passes[name] = true
			}
			persons = persons || r.persons
			if r.err != nil {
				l.lose(from+i, r.err)
			} else if len(r.rows) > 0 {
				take(from+i, &r.columns, r.rows)
			}
		}
	}
	for _, asked := range q.Passes {
		if !passes[asked.Pass] && len(places) > 0 {
			l.remark(fmt.Sprintf("no place has a pass %s", asked.Pass))
		}
	}
	if q.Person != "" && !persons {
		return ErrNoTemplates
	}
	return nil
}

// together is how many places are asked before what they replied is taken in: as much as
// is in memory at once.
const together = 32

// reply is what a place says to a query.
type reply struct {
	columns columns
	rows    []int32
	passes  []string // that it has
	persons bool     // it has templates that may be asked
	err     error
}

// reply asks one place.
func (p *place) reply(ctx context.Context, q *Query) (r reply) {
	r.err = p.use(ctx, func(part *part) error {
		a, err := part.about()
		if err != nil {
			return err
		}
		r.passes = a.Passes
		f, may := q.filterFor(&a, p.dir)
		if may && q.Person != "" {
			f.only, may, err = p.framesOf(q.Person)
			r.persons = may
		}
		if err != nil || !may {
			return err
		}
		if r.columns, err = part.columns(); err != nil {
			return err
		}
		r.rows, err = f.rows(part, &r.columns)
		return err
	})
	return r
}

// remark says something once.
func (l *Library) remark(text string) {
	if !slices.Contains(l.remarks, text) {
		l.remarks = append(l.remarks, text)
	}
}

// lose lists a place as broken, once.
func (l *Library) lose(place int, err error) {
	p := l.places[place]
	if !slices.ContainsFunc(l.broken, func(b Broken) bool { return b.Dir == p.dir }) {
		l.fail(p.dir, plainly(err))
	}
}

func byTime(a, b match) int {
	if (a.time == noTime) != (b.time == noTime) {
		return cmp.Compare(b.time, a.time) // noTime is the least there is, and comes last
	}
	return cmp.Or(cmp.Compare(a.time, b.time), cmp.Compare(a.place, b.place), cmp.Compare(a.row, b.row))
}

// first gives the first so many of a list in order; 0 = all.
func first(list []match, most int, order func(a, b match) int) []match {
	if most <= 0 || most > len(list) {
		most = len(list)
	}
	var out []match
	var last *match // of the first so many that have been seen; later ones need not be kept
	for i := range list {
		if last != nil && order(list[i], *last) > 0 {
			continue
		}
		out = append(out, list[i])
		if len(out) == 2*most+1024 {
			slices.SortFunc(out, order)
			out = out[:most]
			last = &out[most-1]
		}
	}
	slices.SortFunc(out, order)
	return out[:most]
}

// hits reads what is said of some frames, and looks for their files.
func (l *Library) hits(ctx context.Context, matches []match, others map[uint64][]at) ([]Hit, error) {
	out := make([]Hit, len(matches))
	files := make([][]File, len(matches))
	// Each part is opened once, whatever the order of the frames.
	type want struct {
		row  int32
		hit  int
		main bool
	}
	wants := map[int32][]want{}
	for i, m := range matches {
		wants[m.place] = append(wants[m.place], want{m.row, i, true})
		for _, o := range others[m.id] {
			wants[o.place] = append(wants[o.place], want{o.row, i, false})
		}
	}
	for i, p := range l.places {
		list := wants[int32(i)]
		if len(list) == 0 {
			continue
		}
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if err := p.use(ctx, func(part *part) error {
			a, err := part.about()
			if err != nil {
				return err
			}
			c, err := part.columns()
			if err != nil {
				return err
			}
			for _, w := range list {
				if int(w.row) >= part.rows {
					return errDamaged
				}
				d, err := part.detail(int(w.row))
				if err != nil {
					return err
				}
				files[w.hit] = append(files[w.hit], p.filesOf(d)...)
				if w.main {
					out[w.hit] = p.hit(&a, &c, d, int(w.row))
				}
			}
			return nil
		}); err != nil {
			l.lose(i, err)
		}
	}
	for i := range out {
		list := files[i]
		slices.SortStableFunc(list, func(a, b File) int { return cmp.Compare(a.Kind, b.Kind) })
		if at := slices.IndexFunc(list, File.there); at >= 0 {
			out[i].Best, out[i].rest = list[at], list[at+1:]
		}
	}
	return slices.DeleteFunc(out, func(h Hit) bool { return h.Frame == "" }), nil
}
