package like

import (
	"bytes"
	"fmt"
	"iter"
	"math/rand/v2"
	"os"
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
	missed         []string // those that were not first
}

func (s *score) add(found []Match, among []frame, of *frame) {
	s.n++
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
	s.n, s.first, s.five = s.n+o.n, s.first+o.first, s.five+o.five
}

func (s score) share(n int) float64 { return 100 * float64(n) / float64(max(s.n, 1)) }

func (s score) String() string {
	return fmt.Sprintf("of %4d first %5.1f %%, in five %5.1f %%", s.n, s.share(s.first), s.share(s.five))
}

// must fails where frames are not found as often as is promised.
func (s score) must(t *testing.T) {
	t.Logf("all single edits: %v", s)
	if s.n == 0 || s.share(s.first) < 95 || s.share(s.five) < 99 {
		t.Errorf("%v; want 95 and 99", s)
	}
}

// long asks for every frame in every way.
var long = os.Getenv("GARNER_RECALL_LONG") != ""

// Each of 200 archived frames comes back in every way, and is looked for among them and as
// many others as GARNER_LOOKS says; then photographs by which nothing in this package was
// chosen. Without GARNER_RECALL_LONG only every 41st and every 15th of those pictures does.
//
//	GARNER_RECALL_LONG=1 go test ./cull/recall/like -run FindEdited -v -timeout 0
func TestFindEdited(t *testing.T) {
	every, unseen := 41, 15
	if long {
		every, unseen = 1, 1
	}
	a := archive(t)
	archived := len(a.out)
	t.Run("archived", func(t *testing.T) {
		c := indexOf(t, a.out)
		lookedFor(t, c, a.out, a.out, single, every).must(t)
		if long {
			lookedFor(t, c, a.out, a.out, others, 10)
		}
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
func lookedFor(t *testing.T, c *Columns, all, asked []frame, ways []way, every int) score {
	t.Helper()
	scores := make([]score, len(ways))
	var mu sync.Mutex
	var wait sync.WaitGroup
	next := make(chan int)
	for range 2 {
		wait.Go(func() {
			for n := range next {
				of, k := &asked[n/len(ways)], n%len(ways)
				found, err := c.Find(t.Context(), edited(of.m, ways[k], rand.New(rand.NewPCG(9, uint64(n)))), 5)
				if err != nil {
					t.Error(err)
				}
				mu.Lock()
				scores[k].add(found, all, of)
				mu.Unlock()
			}
		})
	}
	for n := 0; n < len(asked)*len(ways); n += every {
		next <- n
	}
	close(next)
	wait.Wait()
	var sum score
	for k, s := range scores {
		t.Logf("%-27v %v; not first (but where): %q", ways[k], s, s.missed)
		sum.plus(s)
	}
	return sum
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
