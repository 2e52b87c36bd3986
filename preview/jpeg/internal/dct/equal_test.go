package dct

import (
	"bytes"
	"math/rand/v2"
	"testing"
)

// transform is one of the inverse transforms: as callers have it, as vector
// code if there is any, and in plain Go.
type transform struct {
	name string
	side int
	row  func(dst []byte, stride int, coef []Block, q *Table)
	one  func(dst []byte, stride int, coef *Block, q *Table)
	fast func(dst []byte, stride int, coef *Block, n int, q *Table) bool
	slow func(dst []byte, stride int, coef *Block, q *Table)
}

var transforms = []transform{
	{"8", 8, Inverse8Row, Inverse8, fastInverse8, inverse8Go},
	{"4", 4, Inverse4Row, Inverse4, fastInverse4, inverse4Go},
	{"2", 2, Inverse2Row, Inverse2, fastInverse2, inverse2Go},
}

// kinds are the blocks that the paths are held against each other on.
var kinds = []struct {
	name string
	make func(rng *rand.Rand) (coef Block, q Table)
}{
	{"photo", func(rng *rand.Rand) (coef Block, q Table) {
		for i := range q {
			q[i] = uint16(1 + rng.IntN(40))
		}
		return photo(rng, &q), q
	}},
	{"hostile", func(rng *rand.Rand) (coef Block, q Table) {
		for i := range coef {
			coef[i], q[i] = int16(rng.Uint32()), uint16(rng.Uint32())
		}
		return coef, q
	}},
	{"extremes", func(rng *rand.Rand) (coef Block, q Table) {
		for i := range coef {
			coef[i] = []int16{-32768, 32767, 0, -1}[rng.IntN(4)]
			q[i] = []uint16{1, 65535, 32768}[rng.IntN(3)]
		}
		return coef, q
	}},
	{"top left 4x4", func(rng *rand.Rand) (coef Block, q Table) {
		for i := range q {
			q[i] = uint16(1 + rng.IntN(40))
			if i%8 < 4 && i < 32 {
				coef[i] = int16(rng.IntN(101) - 50)
			}
		}
		return coef, q
	}},
	{"hostile 4x4", func(rng *rand.Rand) (coef Block, q Table) {
		for i := range q {
			q[i] = uint16(rng.Uint32())
			if i%8 < 4 && i < 32 {
				coef[i] = int16(rng.Uint32())
			}
		}
		return coef, q
	}},
	{"DC", func(rng *rand.Rand) (coef Block, q Table) {
		for i := range q {
			q[i] = uint16(rng.Uint32())
		}
		coef[0] = int16(rng.Uint32())
		return coef, q
	}},
	{"one coefficient", func(rng *rand.Rand) (coef Block, q Table) {
		for i := range q {
			q[i] = uint16(1 + rng.IntN(1<<rng.IntN(16)))
		}
		coef[rng.IntN(64)] = int16(rng.Uint32())
		return coef, q
	}},
	{"few", func(rng *rand.Rand) (coef Block, q Table) {
		for i := range q {
			q[i] = uint16(rng.Uint32())
		}
		for range rng.IntN(6) {
			coef[rng.IntN(64)] = int16(rng.Uint32())
		}
		return coef, q
	}},
}

// check holds a row of blocks as callers have it against plain Go, with a
// guard around every sample that may be written.
func (tr *transform) check(t *testing.T, coef []Block, q *Table, gap int) {
	t.Helper()
	n, stride := len(coef), tr.side*len(coef)+gap
	want, got, single := guarded(tr.side*stride), guarded(tr.side*stride), guarded(tr.side*stride)
	before := append([]Block(nil), coef...)
	for i := range coef {
		tr.slow(want[32+tr.side*i:], stride, &coef[i], q)
		end := 32 + tr.side*i + (tr.side-1)*stride + tr.side // dst need not reach further
		tr.one(single[32+tr.side*i:end:end], stride, &coef[i], q)
	}
	end := 32 + (tr.side-1)*stride + tr.side*n
	tr.row(got[32:end:end], stride, coef, q)
	if !bytes.Equal(got, want) {
		t.Fatalf("%s: %d blocks by %s differ from plain Go\n%v\n%v\ncoefficients %v\nsteps %v", tr.name, n, Path(), got, want, coef, q)
	}
	if !bytes.Equal(single, want) {
		t.Fatalf("%s: single blocks by %s differ from plain Go", tr.name, Path())
	}
	for i := range coef {
		if coef[i] != before[i] {
			t.Fatalf("%s: the coefficients were changed", tr.name)
		}
	}
}

func guarded(n int) []byte { return bytes.Repeat([]byte{0xA5}, n+64) }

func TestPathsGiveEqualBits(t *testing.T) {
	rounds := 3000
	if testing.Short() {
		rounds = 500
	}
	for _, tr := range transforms {
		for _, k := range kinds {
			t.Run(tr.name+"/"+k.name, func(t *testing.T) {
				const seed = 20
				rng := rand.New(rand.NewPCG(seed, uint64(tr.side)))
				for range rounds {
					coef := make([]Block, 1+rng.IntN(5))
					var q Table
					for i := range coef {
						coef[i], q = k.make(rng)
					}
					if len(coef) > 2 && rng.IntN(2) == 0 { // neighbours of another kind
						coef[1], _ = kinds[rng.IntN(len(kinds))].make(rng)
					}
					tr.check(t, coef, &q, rng.IntN(40))
				}
			})
		}
	}
}

// A block of nothing but a mean is that mean, at any size.
func TestMeanAlone(t *testing.T) {
	step := 1
	if testing.Short() {
		step = 7
	}
	for dc := -32768; dc <= 32767; dc += step {
		coef, q := Block{int16(dc)}, ones
		want := Inverse1(int16(dc), 1)
		for _, tr := range transforms {
			var fast, slow [64]byte
			tr.one(fast[:], 8, &coef, &q)
			tr.slow(slow[:], 8, &coef, &q)
			for y := range tr.side {
				for x := range tr.side {
					if fast[8*y+x] != want || slow[8*y+x] != want {
						t.Fatalf("%s: mean %d gives %d and %d, want %d", tr.name, dc, fast[8*y+x], slow[8*y+x], want)
					}
				}
			}
		}
	}
}
