package finished

import (
	"bytes"
	"io"
	"testing"
	"testing/iotest"

	"golang.org/x/image/tiff/lzw"
)

// packed is data as LZW codes, by the packer of TIFF 6.0 §13: the table is cleared
// when entry 4094 is made.
func packed(data []byte) []byte {
	var out []byte
	var acc, bits uint
	put := func(code, width int) {
		acc, bits = acc<<width|uint(code), bits+uint(width)
		for bits >= 8 {
			bits -= 8
			out = append(out, byte(acc>>bits))
		}
	}
	table, next, width := map[[2]int]int{}, 258, 9 // by the string before and the byte
	put(256, width)
	last := -1
	for _, c := range data {
		if last < 0 {
			last = int(c)
			continue
		}
		key := [2]int{last, int(c)}
		if code, known := table[key]; known {
			last = code
			continue
		}
		put(last, width)
		table[key] = next
		switch next++; {
		case next == 4095:
			put(256, width)
			clear(table)
			next, width = 258, 9
		case next == 1<<width:
			width++
		}
		last = int(c)
	}
	if last >= 0 {
		put(last, width)
	}
	put(257, width)
	put(0, 7)
	return out
}

func unpacked(codes []byte) ([]byte, error) {
	z := &lzwReader{}
	z.reset(bytes.NewReader(codes))
	return io.ReadAll(z)
}

// Strings as long as they get, a table that is cleared, and reading a byte at a time
// all give what was packed, and what the Go project's reader makes of it.
func TestLZW(t *testing.T) {
	long := make([]byte, 2<<20)
	noise := make([]byte, 200_000)
	seed := uint32(7)
	for i := range noise {
		seed = seed*1664525 + 1013904223
		noise[i] = byte(seed >> 28)
	}
	for name, data := range map[string][]byte{"nothing": {}, "one": {9}, "run": long, "noise": noise, "both": append(bytes.Clone(noise), long[:1000]...)} {
		codes := packed(data)
		got, err := unpacked(codes)
		if err != nil || !bytes.Equal(got, data) {
			t.Errorf("%s: %d bytes of %d, %v", name, len(got), len(data), err)
		}
		theirs, err := io.ReadAll(lzw.NewReader(bytes.NewReader(codes), lzw.MSB, 8))
		if err != nil || !bytes.Equal(theirs, data) {
			t.Errorf("%s: the reader it is held against gives %d bytes, %v", name, len(theirs), err)
		}
		z := &lzwReader{}
		z.reset(iotest.OneByteReader(bytes.NewReader(codes)))
		if got, err = io.ReadAll(iotest.OneByteReader(z)); err != nil || !bytes.Equal(got, data) {
			t.Errorf("%s a byte at a time: %d bytes, %v", name, len(got), err)
		}
	}
}

// FuzzLZW: what the Go project's reader takes is read alike.
func FuzzLZW(f *testing.F) {
	f.Add(packed([]byte("of photographs of photographs of photographs")))
	f.Add(packed(make([]byte, 5000)))
	f.Add([]byte{0x80, 0x00, 0x00})
	f.Fuzz(func(t *testing.T, codes []byte) {
		got, err := unpacked(codes)
		want, theirs := io.ReadAll(lzw.NewReader(bytes.NewReader(codes), lzw.MSB, 8))
		if theirs == nil && (err != nil || !bytes.Equal(got, want)) {
			t.Fatalf("%d bytes, %v; want %d", len(got), err, len(want))
		}
		if n := min(len(got), len(want)); !bytes.Equal(got[:n], want[:n]) {
			t.Fatal("other bytes")
		}
	})
}
