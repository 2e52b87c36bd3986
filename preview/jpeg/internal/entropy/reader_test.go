package entropy

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
)

var pairs = []struct {
	name   string
	dc, ac []byte
}{
	{"luma", lumaDC, lumaAC}, {"chroma", chromaDC, lumaAC}, {"flat", chromaDC, flatAC}, {"steep", steepDC, steepAC},
}

func tables(t testing.TB, dc, ac []byte) *Tables {
	t.Helper()
	made, ok := NewTables(dc, ac)
	if !ok {
		t.Fatal("tables are refused")
	}
	return made
}

// fixed are the tables of pairs.
func fixed(t testing.TB) (out []*Tables) {
	t.Helper()
	for _, p := range pairs {
		out = append(out, tables(t, p.dc, p.ac))
	}
	return out
}

// paths are the ways to decode that must agree.
func paths() map[string]bool {
	if Path() == "go" {
		return map[string]bool{"go": true}
	}
	return map[string]bool{"go": true, Path(): false}
}

// What was written comes back, whatever the density, table and path; and the
// place in the data, at any break between reads.
func TestReadsWhatWasWritten(t *testing.T) {
	const seed = 3
	for _, pair := range pairs {
		for _, density := range []int{0, 1, 5, 20, 60, 100} {
			for path, plain := range paths() {
				t.Run(fmt.Sprint(pair.name, "/", density, "/", path), func(t *testing.T) {
					rnd := rand.New(rand.NewPCG(seed, uint64(density)))
					const n = 700
					var w writer
					var want [n]Block
					var last [n]uint8
					pred := 0
					for i := range n {
						var zigzag [64]int
						for k := range zigzag {
							if rnd.IntN(100) < density {
								zigzag[k] = rnd.IntN(2<<rnd.IntN(10)) - rnd.IntN(2<<rnd.IntN(10))
							}
						}
						if rnd.IntN(3) == 0 {
							clear(zigzag[rnd.IntN(64):])
						}
						diff, coded := w.block(pair.dc, pair.ac, rnd.IntN(2<<rnd.IntN(11))-rnd.IntN(2<<rnd.IntN(11)), zigzag)
						pred += diff
						for k, v := range coded {
							want[i][Natural[k]] = int16(v)
							if v != 0 && k > 0 {
								last[i] = uint8(k)
							}
						}
						want[i][0] = int16(pred)
					}
					data := append(w.flush(), 0xFF, 0xD9)
					src := append([]byte("something before"), data...)
					units := []Unit{{Tables: tables(t, pair.dc, pair.ac), Step: 1}}

					var all, first Strip
					all.Reset(units, 64, 64, false)
					first.Reset(units, 64, 64, true)
					r, f, again := &Reader{plain: plain}, &Reader{plain: plain}, &Reader{plain: plain}
					r.Open(src, 16)
					f.Open(src, 16)
					for at := 0; at < n; {
						count := min(1+rnd.IntN(64), n-at)
						offset, bit := r.Place()
						before := r.Pred()
						if !r.Read(&all, 0, count) || !f.Read(&first, 0, count) {
							t.Fatalf("seed %d: blocks %d to %d are not there", seed, at, at+count)
						}
						for i := range count {
							if all.Coef[i] != want[at+i] || first.DC[i] != want[at+i][0] {
								t.Fatalf("seed %d: block %d is\n%v, first %d, want\n%v", seed, at+i, all.Coef[i], first.DC[i], want[at+i])
							}
							if all.Last[i] != last[at+i] {
								t.Fatalf("seed %d: block %d ends at %d, want %d", seed, at+i, all.Last[i], last[at+i])
							}
						}
						o, b := r.Place()
						p, c := f.Place()
						if o != p || b != c || r.Pred() != f.Pred() {
							t.Fatalf("at %d.%d, and %d.%d without coefficients", o, b, p, c)
						}
						clear(all.Coef)
						clear(first.DC)
						again.Resume(src, offset, bit, before)
						if !again.Read(&all, 0, count) || all.Coef[count-1] != want[at+count-1] {
							t.Fatalf("resumed at %d.%d: not the same", offset, bit)
						}
						clear(all.Coef)
						at += count
					}
					if r.remaining() != 0 || r.over() || !r.last {
						t.Errorf("%d bytes are left, over %v", r.remaining(), r.over())
					}
					if r.Read(&all, 0, 64) || f.Read(&first, 0, 64) {
						t.Error("blocks behind the end")
					}
				})
			}
		}
	}
}

// Bytes of any kind give the same on every path.
func sameOnEveryPath(t *testing.T, all []*Tables, src []byte, choice, drop uint8) {
	t.Helper()
	one, other := all[int(choice)%len(all)], all[int(choice/8)%len(all)]
	units := []Unit{
		{Tables: one, At: 0, Step: 2},
		{Tables: one, At: 1, Step: 2},
		{Tables: other, At: 14, Step: 1, Comp: 1, Drop: drop&1 != 0},
	}
	type result struct {
		ok     bool
		coef   []Block
		dc     []int16
		offset int
		bit    uint
		pred   [3]int16
	}
	var want []result
	for i, plain := range []bool{true, false} {
		for _, first := range []bool{false, true} {
			r := &Reader{plain: plain}
			r.Open(src, 0)
			var s Strip
			s.Reset(units, 7, 21, first)
			for n := 0; ; n++ {
				got := result{ok: r.Read(&s, 0, 7)}
				if got.ok {
					got.coef, got.dc = append([]Block(nil), s.Coef...), append([]int16(nil), s.DC...)
					for n := range got.coef {
						if n >= 14 && drop&1 != 0 { // dropped: only DC is defined
							got.coef[n] = Block{got.coef[n][0]}
						}
					}
					got.offset, got.bit = r.Place()
					got.pred = r.Pred()
				}
				if i == 0 {
					want = append(want, got)
				} else if w := want[0]; w.ok != got.ok || !slices.Equal(w.coef, got.coef) || !slices.Equal(w.dc, got.dc) ||
					w.offset != got.offset || w.bit != got.bit || w.pred != got.pred {
					t.Fatalf("first %v, read %d:\n%+v\n%+v", first, n, w, got)
				} else {
					want = want[1:]
				}
				clear(s.Coef)
				clear(s.DC)
				if got.ok {
					continue
				}
				if !r.bad && !r.over() && r.last && r.Restart(0) {
					continue
				}
				break
			}
		}
	}
}

func TestAnyBytesGiveTheSameOnEveryPath(t *testing.T) {
	const seed = 11
	rnd := rand.New(rand.NewPCG(seed, seed))
	all := fixed(t)
	for n := range 400 {
		src := make([]byte, rnd.IntN(6000))
		for i := range src {
			if src[i] = byte(rnd.Uint32()); rnd.IntN(8) == 0 {
				src[i] = 0
			}
		}
		if n%2 == 0 {
			src = bytes.ReplaceAll(src, []byte{0xFF}, []byte{0xFF, 0})
		}
		sameOnEveryPath(t, all, src, uint8(n), uint8(n/7))
	}
}

func FuzzAnyBytesGiveTheSameOnEveryPath(f *testing.F) {
	f.Add([]byte{1, 2, 3, 0xFF, 0, 5, 0xFF, 0xD0, 3, 0xFF, 0xD9}, uint8(0), uint8(0))
	f.Add(bytes.Repeat([]byte{0xFE}, 300), uint8(2), uint8(1))
	all := fixed(f)
	f.Fuzz(func(t *testing.T, src []byte, choice, drop uint8) {
		if len(src) > 1<<12 {
			t.Skip("too long to be quick")
		}
		sameOnEveryPath(t, all, src, choice, drop)
	})
}

func TestTablesThatCannotBe(t *testing.T) {
	for name, ac := range map[string][]byte{
		"three codes of one bit": spec([]byte{3}, []byte{0, 1, 2}),
		"too many in the end":    spec([]byte{0, 2, 1, 3, 3, 2, 4, 3, 5, 5, 4, 4, 0, 0, 1, 0xff}, make([]byte, 300)),
		"fewer symbols":          spec([]byte{0, 3}, []byte{0, 1}),
	} {
		if _, ok := NewTables(lumaDC, ac); ok {
			t.Errorf("%s: AC table is taken", name)
		}
		if _, ok := NewTables(ac, lumaAC); ok {
			t.Errorf("%s: DC table is taken", name)
		}
	}
}
