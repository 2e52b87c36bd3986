package jpeg

import (
	"bytes"
	"math/rand/v2"
	"strconv"
	"testing"

	"garner/preview/jpeg/internal/dct"
)

// plainScan codes blocks as T.81 F.1.2 tells it, a bit at a time as letters.
func plainScan(blocks []dct.Block, dc, ac *huffmanCode) (out []byte) {
	code := func(h *huffmanCode, symbol byte) string {
		c, k := 0, 0
		for i, n := range h.count {
			for range n {
				if h.symbols[k] == symbol {
					s := strconv.FormatInt(int64(c), 2)
					for len(s) < i+1 {
						s = "0" + s
					}
					return s
				}
				c, k = c+1, k+1
			}
			c <<= 1
		}
		panic("no code for this symbol")
	}
	number := func(v int) (size int, s string) { // F.1.2.1.1
		if v == 0 {
			return 0, ""
		}
		low := v
		s = strconv.FormatInt(int64(max(v, -v)), 2)
		if low < 0 {
			flipped := []byte(s)
			for i := range flipped {
				flipped[i] ^= 1
			}
			s = string(flipped)
		}
		return len(s), s
	}
	var all []byte
	last := 0
	for _, b := range blocks {
		size, s := number(int(b[0]) - last)
		last = int(b[0])
		all = append(append(all, code(dc, byte(size))...), s...)
		run := 0
		for k := 1; k < 64; k++ {
			v := int(b[dct.Place[k]])
			if v == 0 {
				run++
				continue
			}
			for ; run > 15; run -= 16 {
				all = append(all, code(ac, 0xF0)...)
			}
			size, s := number(v)
			all = append(append(all, code(ac, byte(run<<4|size))...), s...)
			run = 0
		}
		if run > 0 {
			all = append(all, code(ac, 0)...)
		}
	}
	for len(all)%8 != 0 {
		all = append(all, '1')
	}
	for ; len(all) > 0; all = all[8:] {
		v, _ := strconv.ParseUint(string(all[:8]), 2, 8)
		out = append(out, byte(v))
		if v == 0xFF {
			out = append(out, 0)
		}
	}
	return out
}

// checkScan holds the sink to the bytes of plainScan.
func checkScan(t *testing.T, blocks []dct.Block, luma bool) {
	t.Helper()
	dc, ac, codes := &annexK3, &annexK5, lumaCodes()
	if !luma {
		dc, ac, codes = &annexK4, &annexK6, chromaCodes()
	}
	s := bitSink{free: 64, buf: make([]byte, len(blocks)*chunkBytes/chunkBlocks+16)}
	last := 0
	for i := range blocks {
		nonzero := uint64(0)
		for k, p := range dct.Place {
			if blocks[i][p] != 0 {
				nonzero |= 1 << k
			}
		}
		s.block(&blocks[i], nonzero, int(blocks[i][0])-last, codes)
		last = int(blocks[i][0])
	}
	got := s.finish(s.buf[:s.n:s.n])
	if want := plainScan(blocks, dc, ac); !bytes.Equal(got, want) {
		t.Fatalf("%x, want %x, of %v", got, want, blocks)
	}
}

func TestScanIsWhatTheStandardTells(t *testing.T) {
	const seed = 81
	rng := rand.New(rand.NewPCG(seed, 81))
	for round := range 2000 {
		blocks := make([]dct.Block, 1+rng.IntN(6))
		for i := range blocks {
			b := &blocks[i]
			b[0] = int16(rng.IntN(2049) - 1024)
			for range rng.IntN(1 + 64>>rng.IntN(7)) {
				reach := 1 << rng.IntN(11)
				b[rng.IntN(63)+1] = int16(rng.IntN(2*reach) - reach + 1>>uint(rng.IntN(2)))
			}
			for k := range b {
				b[k] = min(max(b[k], -1023), 1023)
			}
		}
		checkScan(t, blocks, round%2 == 0)
	}
	// The longest of everything, and bytes of ones.
	for _, v := range []int16{1023, -1023, 1, -1, 31, 32, -32, -33} {
		var full, end dct.Block
		for k := range full {
			full[k] = v
		}
		end[63], end[0] = v, -v
		checkScan(t, []dct.Block{full, {}, end, full, end}, true)
		checkScan(t, []dct.Block{end, end, full, {}}, false)
	}
}

func TestFinishFillsUpWithOnes(t *testing.T) {
	for n := range 65 {
		s := bitSink{free: 64 - n, acc: ^uint64(7)} // the last three are zeros
		got := s.finish(nil)
		var want []byte
		for at := 0; at < n; at += 8 {
			b := byte(0)
			for i := at; i < at+8; i++ {
				b <<= 1
				if i >= n || i < n-3 {
					b |= 1
				}
			}
			want = append(want, b)
			if b == 0xFF {
				want = append(want, 0)
			}
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%d bits: %x, want %x", n, got, want)
		}
	}
}
