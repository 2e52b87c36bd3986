package like

import (
	"bytes"
	"fmt"
	"iter"
	"math/rand/v2"
	"os"
	"strconv"
	"sync"
	"testing"

	"garner/preview/jpeg"
	"garner/preview/pix"
)

// cases are edits and pairs of them.
var cases = []struct {
	name  string
	edits []edit
}{
	{"crop 80 %", []edit{crop80}},
	{"600 px", []edit{small}},
	{"quality 60", []edit{coded}},
	{"+0.5 EV", []edit{lit}},
	{"-0.5 EV", []edit{dim}},
	{"black-and-white", []edit{grey}},
	{"stamp", []edit{stamp}},
	{"screenshot", []edit{phone}},
	{"crop 80 %, 600 px", []edit{crop80, small}},
	{"crop 80 %, quality 60", []edit{crop80, coded}},
	{"crop 80 %, +0.5 EV", []edit{crop80, lit}},
	{"crop 80 %, -0.5 EV", []edit{crop80, dim}},
	{"crop 80 %, black-and-white", []edit{crop80, grey}},
	{"crop 80 %, stamp", []edit{crop80, stamp}},
	{"crop 80 %, screenshot", []edit{crop80, phone}},
	{"black-and-white, stamp", []edit{grey, stamp}},
	{"+0.5 EV, screenshot", []edit{lit, phone}},
	{"stamp, screenshot", []edit{stamp, phone}},
	{"screenshot, quality 60", []edit{phone, coded}},
	{"crop 60 %", []edit{crop60}},
	{"crop 50 %", []edit{crop50}},
}

// told is how many of them, the last, are those of which nothing is promised.
const told = 2

// score counts how often the frame, or one of its moment, is found. Four bursts of the
// samples are of one video of a street, 1.6 s apart: their looks differ by 2 to 8 bits, so
// that a crop cannot tell them. It is also counted how often one of those four is found.
type score struct{ n, first, five, firstView, fiveView int }

func (s *score) add(found []Match, all []frame, of *frame) {
	s.n++
	moment, view := false, false
	for k, f := range found[:min(len(found), 5)] {
		if f.Row >= len(all) {
			continue
		}
		if got := &all[f.Row]; got.moment == of.moment && !moment {
			moment = true
			s.five++
			s.first += first(k)
		}
		if got := &all[f.Row]; got.view == of.view && !view {
			view = true
			s.fiveView++
			s.firstView += first(k)
		}
	}
}

func first(k int) int {
	if k == 0 {
		return 1
	}
	return 0
}

func (s *score) plus(o score) {
	s.n, s.first, s.five, s.firstView, s.fiveView = s.n+o.n, s.first+o.first, s.five+o.five, s.firstView+o.firstView, s.fiveView+o.fiveView
}

func (s score) share(n int) float64 { return 100 * float64(n) / float64(s.n) }

func (s score) String() string {
	return fmt.Sprintf("of %3d first %5.1f %%, in five %5.1f %% (street as one: %5.1f %%, %5.1f %%)", s.n, s.share(s.first), s.share(s.five), s.share(s.firstView), s.share(s.fiveView))
}

// Of archived frames some (of 200 all with GARNER_EVERY=1) come back in every way, and are
// looked for among the 200, and among as many more as GARNER_LOOKS says:
//
//	GARNER_EVERY=1 GARNER_LOOKS=2000000 go test ./cull/recall/like -run FindEdited -v -timeout 0
func TestFindEdited(t *testing.T) {
	every, more := number("GARNER_EVERY", 67), number("GARNER_LOOKS", 20_000)
	all := archive(t, every <= 50)
	own := func(yield func(Row) bool) {
		for i := range all {
			if !yield(all[i].row()) {
				return
			}
		}
	}
	few := columns(t, own)
	many := columns(t, func(yield func(Row) bool) {
		own(yield)
		distractors(all, more, yield)
	})
	var mu sync.Mutex
	var sum [2]score
	t.Run("edits", func(t *testing.T) {
		for k, of := range cases {
			t.Run(of.name, func(t *testing.T) {
				t.Parallel()
				var got [2]score
				r := rand.New(rand.NewPCG(9, uint64(k)))
				for i := (30 + 11*k) % every; i < len(all); i += every { // the street's come first
					p := edited(t, all[i].m, of.edits, r)
					for among, c := range []*Columns{few, many} {
						if among == 1 && more == 0 {
							continue
						}
						found, err := c.Find(t.Context(), p, 5)
						if err != nil {
							t.Fatal(err)
						}
						got[among].add(found, all, &all[i])
					}
				}
				t.Logf("%-27s %v", of.name, got[0])
				if more > 0 {
					t.Logf("%-27s %v, among %d more", of.name, got[1], more)
				}
				if k < len(cases)-told {
					mu.Lock()
					defer mu.Unlock()
					sum[0].plus(got[0])
					sum[1].plus(got[1])
				}
			})
		}
	})
	for among, s := range sum {
		if s.n == 0 {
			continue
		}
		t.Logf("but for the last %d, %d more: %v", told, among*more, s)
		if s.share(s.first) < 95 || s.share(s.firstView) < 95 || s.share(s.fiveView) < 99 {
			t.Errorf("%v; want 95 and 99", s)
		}
	}
}

// edited is a picture as it comes back.
func edited(t testing.TB, m *jpeg.Image, edits []edit, r *rand.Rand) *Picture {
	for _, e := range edits {
		m = e.do(m, r)
	}
	p, err := NewPicture(recoded(m, 85))
	if err != nil {
		t.Fatal(err)
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
