package like

import (
	"bytes"
	"context"
	"fmt"
	"iter"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"garner/preview/jpeg"
	"garner/preview/pix"
	"garner/testdata/testneed"
)

// way is one in which pictures come back.
type way []edit

func (w way) String() string {
	var names []string
	for _, e := range w {
		names = append(names, e.name)
	}
	return strings.Join(names, ", ")
}

// single are the ways in which a frame must be found; of the others, two edits at a time
// and small crops, it is only counted how often it is.
var (
	single = []way{{crop80}, {small}, {coded}, {lit}, {dim}, {grey}, {stamp}, {phone}}
	others = []way{
		{crop80, small}, {crop80, coded}, {crop80, lit}, {crop80, dim}, {crop80, grey}, {crop80, stamp}, {crop80, phone},
		{grey, stamp}, {lit, phone}, {stamp, phone}, {phone, coded}, {crop60}, {crop50},
	}
)

// score counts how often the frame, or one of its moment, is found.
type score struct {
	n, first, five int
	itself         int      // first is not one of its moment, but the frame
	missed         []string // those that were not first
}

func (s *score) add(found []Match, among []frame, of *frame) {
	s.n++
	if len(found) > 0 && found[0].Row < len(among) && &among[found[0].Row] == of {
		s.itself++
	}
	for k, f := range found[:min(len(found), 5)] {
		if f.Row < len(among) && among[f.Row].moment == of.moment {
			s.five++
			if k == 0 {
				s.first++
				return
			}
			s.missed = append(s.missed, fmt.Sprintf("%s (%d)", of.name, k+1))
			return
		}
	}
	s.missed = append(s.missed, of.name)
}

func (s *score) plus(o score) {
	s.n, s.first, s.five, s.itself = s.n+o.n, s.first+o.first, s.five+o.five, s.itself+o.itself
}

func (s score) share(n int) float64 { return 100 * float64(n) / float64(max(s.n, 1)) }

func (s score) String() string {
	return fmt.Sprintf("first %5.1f %%, in five %5.1f %%, the frame itself first %5.1f %%", s.share(s.first), s.share(s.five), s.share(s.itself))
}

// scores are those of each way: by looks alone, and after a closer look.
type scores struct {
	looks, closer []score
	right, wrong  agreement
}

// agreement is how much pictures agree with their own frames, or with those of other
// settings.
type agreement struct {
	n, fit int
	least  float64
	most   float64
	which  string // has the most, or the least
}

func (s *scores) agree(w way, found []Match, all []frame, of *frame) {
	for _, m := range found {
		if m.Row >= len(all) || !m.Looked {
			continue
		}
		f := &all[m.Row]
		which := fmt.Sprintf("%v of %s on %s, %.1f bits", w, of.name, f.name, m.Bits)
		if f == of {
			s.right.add(m, which, m.Agrees < s.right.least)
		} else if f.setting() != of.setting() {
			s.wrong.add(m, which, m.Agrees > s.wrong.most)
		}
	}
}

func (a *agreement) add(m Match, which string, is bool) {
	if a.n++; m.Fits() {
		a.fit++
	}
	if a.n == 1 || is {
		a.which = which
	}
	if a.n == 1 {
		a.least = m.Agrees
	}
	a.least, a.most = min(a.least, m.Agrees), max(a.most, m.Agrees)
}

func (a agreement) String() string {
	return fmt.Sprintf("%d of %d fit, %.2f to %.2f agree (%s)", a.fit, a.n, a.least, a.most, a.which)
}

// must fails where frames are not found as often as is promised: after every single edit
// if that was asked for of enough of them, else after all.
func (s scores) must(t *testing.T) {
	var looks, closer score
	for k := range s.closer {
		looks.plus(s.looks[k])
		closer.plus(s.closer[k])
		if s.closer[k].n >= 100 {
			s.closer[k].enough(t)
		}
	}
	t.Logf("all single edits, %d: by looks %v; after a closer look %v", looks.n, looks, closer)
	closer.enough(t)
}

func (s score) enough(t *testing.T) {
	t.Helper()
	if s.n == 0 || s.share(s.first) < 95 || s.share(s.five) < 99 {
		t.Errorf("%v; want 95 and 99", s)
	}
}

// long asks for every frame in every way.
var long = os.Getenv("GARNER_RECALL_LONG") != ""

// Each of 200 archived frames comes back in every way, and is looked for among them and as
// many others as GARNER_LOOKS says; then photographs by which nothing in this package was
// chosen. After that a closer look is taken at the nearest. Those others have looks alone.
// Without GARNER_RECALL_LONG only every 41st and every 15th of those pictures does, or every so
// manieth as GARNER_RECALL_EVERY says.
//
//	GARNER_RECALL_LONG=1 go test ./cull/recall/like -run FindEdited -v -timeout 0
//	GARNER_LOOKS=2000000 GARNER_RECALL_EVERY=17 go test ./cull/recall/like -run FindEdited/archived -v -timeout 0
func TestFindEdited(t *testing.T) {
	every, unseen := 41, 15
	if long {
		every, unseen = 1, 1
	}
	every = number("GARNER_RECALL_EVERY", every)
	a := archive(t)
	archived := len(a.out)
	t.Run("archived", func(t *testing.T) { lookedFor(t, indexOf(t, a.out), a.out, a.out, single, every).must(t) })
	t.Run("pairs", func(t *testing.T) {
		if !long {
			t.Skip("two edits at a time, and small crops, are for GARNER_RECALL_LONG")
		}
		lookedFor(t, indexOf(t, a.out), a.out, a.out, others, 10)
	})
	t.Run("unseen", func(t *testing.T) {
		a.t = t
		a.photos(testneed.Photos(t))
		if len(a.out) < archived+20 {
			t.Fatalf("only %d photographs", len(a.out)-archived)
		}
		t.Logf("%d photographs", len(a.out)-archived)
		lookedFor(t, indexOf(t, a.out), a.out, a.out[archived:], single, unseen).must(t)
	})
}

// indexOf holds frames, and others behind them.
func indexOf(t *testing.T, all []frame) *Columns {
	more := number("GARNER_LOOKS", 20_000)
	t.Logf("among %d others", more)
	return columns(t, func(yield func(Row) bool) {
		for i := range all {
			if !yield(all[i].row()) {
				return
			}
		}
		distractors(all, more, yield)
	})
}

// lookedFor looks for every so manieth of the pictures that frames come back as, counted
// through all ways of the first frame, then of the next.
func lookedFor(t *testing.T, c *Columns, all, asked []frame, ways []way, every int) scores {
	t.Helper()
	sum := scores{looks: make([]score, len(ways)), closer: make([]score, len(ways))}
	var mu sync.Mutex
	var wait sync.WaitGroup
	next := make(chan int)
	for range 2 {
		wait.Go(func() {
			for n := range next {
				of, k := &asked[n/len(ways)], n%len(ways)
				p := edited(of.m, ways[k], rand.New(rand.NewPCG(9, uint64(n))))
				found, err := c.Find(t.Context(), p, Among)
				if err != nil {
					t.Error(err)
				}
				looks := slices.Clone(found[:min(len(found), 5)])
				lookCloser(t, p, found, all)
				mu.Lock()
				sum.looks[k].add(looks, all, of)
				sum.closer[k].add(found, all, of)
				sum.agree(ways[k], found, all, of)
				mu.Unlock()
			}
		})
	}
	for n := 0; n < len(asked)*len(ways); n += every {
		next <- n
	}
	close(next)
	wait.Wait()
	for k, s := range sum.closer {
		t.Logf("%-27v of %4d: by looks %v; after a closer look %v; not first (but where): %q", ways[k], s.n, sum.looks[k], s, s.missed)
	}
	t.Logf("on their own frames %v; on those of other settings %v", sum.right, sum.wrong)
	return sum
}

// lookCloser takes a closer look at what was found, of which those that are frames have
// thumbnails.
func lookCloser(t testing.TB, p *Picture, found []Match, all []frame) {
	list := make([]*Match, len(found))
	for i := range found {
		list[i] = &found[i]
	}
	moment := func(i int) any {
		if row := found[i].Row; row < len(all) {
			return all[row].moment
		}
		return -found[i].Row
	}
	if err := p.Closer(t.Context(), list, moment, func(_ context.Context, i int) *jpeg.Image {
		if row := found[i].Row; row < len(all) {
			return all[row].thumb()
		}
		return nil
	}); err != nil {
		t.Error(err)
	}
	slices.SortStableFunc(found, func(a, b Match) int { return Nearer(&a, &b) })
}

// edited is a picture as it comes back.
func edited(m *jpeg.Image, w way, r *rand.Rand) *Picture {
	for _, e := range w {
		m = e.do(m, r)
	}
	p, err := NewPicture(recoded(m, 85))
	if err != nil {
		panic(err)
	}
	return p
}

func number(name string, otherwise int) int {
	if n, err := strconv.Atoi(os.Getenv(name)); err == nil {
		return n
	}
	return otherwise
}

func columns(t testing.TB, rows iter.Seq[Row]) *Columns {
	t.Helper()
	var b bytes.Buffer
	if _, err := Build(&b, rows); err != nil {
		t.Fatal(err)
	}
	c, err := Open(bytes.NewReader(b.Bytes()), int64(b.Len()))
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// distractors are looks that no picture has: a half of them chance, a half looks of real
// frames of which a fifth to a half of the bits is changed, as frames are that were taken
// in the same places.
func distractors(of []frame, n int, yield func(Row) bool) {
	r := rand.New(rand.NewPCG(2, 9))
	for i := range n {
		f := of[r.IntN(len(of))]
		l := pix.Looks{Method: pix.LookMethod}
		if i%2 == 1 {
			l = f.looks
		}
		rate := uint64((0.2 + 0.3*r.Float64()) * 256)
		for k := range l.Parts {
			if i%2 == 0 {
				l.Parts[k] = r.Uint64()
				continue
			}
			for b := 0; b < 64; b += 8 {
				chance := r.Uint64()
				for j := range 8 {
					if chance>>(8*j)&0xff < rate {
						l.Parts[k] ^= 1 << (b + j)
					}
				}
			}
		}
		if !yield(rowOf(l, f.aspect())) {
			return
		}
	}
}
