package bin_test

import (
	"bytes"
	"errors"
	"math"
	"testing"

	"garner/preview/internal/bin"
	"garner/preview/internal/craft"
)

// numbered is a file whose byte at i is i mod 251, so that a wrong place shows.
func numbered(n int) []byte {
	b := make([]byte, n)
	for i := range b {
		b[i] = byte(i % 251)
	}
	return b
}

func TestAtGivesTheBytesThatWereAskedFor(t *testing.T) {
	data := numbered(200_000)
	src := bin.NewSource(bytes.NewReader(data), int64(len(data)), 100, 1<<20)
	// Overlapping, adjacent, backward, spanning: every way to meet the cache.
	for _, r := range []struct{ off, n int }{
		{0, 8}, {100, 40_000}, {39_000, 5_000}, {150_000, 4}, {149_990, 20}, {149_000, 2_000},
		{199_999, 1}, {199_000, 1_000}, {0, 200_000}, {60_000, 0}, {200_000, 0},
	} {
		got, err := src.At(int64(r.off), r.n)
		if err != nil {
			t.Fatalf("At(%d, %d): %v", r.off, r.n, err)
		}
		if !bytes.Equal(got, data[r.off:r.off+r.n]) {
			t.Fatalf("At(%d, %d) gave other bytes", r.off, r.n)
		}
	}
}

func TestAtRefusesWhatLiesOutside(t *testing.T) {
	src := bin.NewSource(bytes.NewReader(numbered(100)), 100, 10, 1000)
	for _, r := range []struct {
		off int64
		n   int
	}{
		{-1, 1}, {100, 1}, {99, 2}, {0, 101}, {0, -1},
		{math.MaxInt64, 1}, {math.MaxInt64, math.MaxInt}, {1, math.MaxInt}, {math.MinInt64, 4},
	} {
		if b, err := src.At(r.off, r.n); !errors.Is(err, bin.ErrEnd) || b != nil {
			t.Errorf("At(%d, %d) = %d bytes, %v; want ErrEnd", r.off, r.n, len(b), err)
		}
	}
	if src.Reads() != 0 {
		t.Errorf("%d reads for ranges outside the file", src.Reads())
	}
}

func TestUpToStopsAtTheEnd(t *testing.T) {
	src := bin.NewSource(bytes.NewReader(numbered(100)), 100, 10, 1000)
	for _, c := range []struct {
		off  int64
		n    int
		want int
	}{{0, 64, 64}, {90, 64, 10}, {100, 5, 0}} {
		if b, err := src.UpTo(c.off, c.n); err != nil || len(b) != c.want {
			t.Errorf("UpTo(%d, %d) = %d bytes, %v; want %d", c.off, c.n, len(b), err, c.want)
		}
	}
	if _, err := src.UpTo(101, 1); !errors.Is(err, bin.ErrEnd) {
		t.Errorf("UpTo past the end: %v", err)
	}
}

func TestReadsAreGrouped(t *testing.T) {
	data := numbered(1 << 20)
	c := &craft.Counter{R: bytes.NewReader(data)}
	src := bin.NewSource(c, int64(len(data)), 16, 128<<10)
	for off := int64(0); off < 30_000; off += 12 {
		if _, err := src.At(off, 12); err != nil {
			t.Fatal(err)
		}
	}
	if c.Reads != 1 {
		t.Errorf("the head took %d reads, want 1", c.Reads)
	}
	for off := int64(500_000); off < 502_000; off += 40 {
		if _, err := src.At(off, 4); err != nil {
			t.Fatal(err)
		}
	}
	if c.Reads != 2 {
		t.Errorf("a place further on took %d more reads, want 1", c.Reads-1)
	}
	if src.Reads() != c.Reads || src.BytesRead() != c.Bytes {
		t.Errorf("counted %d/%d, the reader saw %d/%d", src.Reads(), src.BytesRead(), c.Reads, c.Bytes)
	}
}

func TestLimitsHold(t *testing.T) {
	data := numbered(1 << 20)
	c := &craft.Counter{R: bytes.NewReader(data)}
	src := bin.NewSource(c, int64(len(data)), 16, 128<<10)
	good := 0
	for off := int64(len(data)) - 8; off >= 0; off -= 20_000 {
		if _, err := src.At(off, 8); err == nil {
			good++
		} else if !errors.Is(err, bin.ErrBudget) {
			t.Fatal(err)
		}
	}
	if c.Reads > 16 || c.Bytes > 128<<10 {
		t.Errorf("%d reads and %d bytes", c.Reads, c.Bytes)
	}
	// The last of the allowed reads still work: none before took their share.
	if good != 16 {
		t.Errorf("%d of 16 allowed reads worked", good)
	}
	if _, err := src.At(len64(data)-8, 8); err != nil {
		t.Errorf("what is cached must still be had: %v", err)
	}
	big := bin.NewSource(bytes.NewReader(data), len64(data), 16, 1000)
	if _, err := big.At(0, 1001); !errors.Is(err, bin.ErrBudget) {
		t.Errorf("more bytes than allowed: %v", err)
	}
	if b, err := big.At(0, 1000); err != nil || len(b) != 1000 {
		t.Errorf("exactly the allowed bytes: %d, %v", len(b), err)
	}
}

func len64(b []byte) int64 { return int64(len(b)) }

func TestDeviceErrorKeepsWhatCameBefore(t *testing.T) {
	data := numbered(100_000)
	src := bin.NewSource(&craft.Broken{R: bytes.NewReader(data), From: 10_000}, len64(data), 16, 128<<10)
	b, err := src.At(0, 10_000)
	if err != nil || !bytes.Equal(b, data[:10_000]) {
		t.Fatalf("the good part: %d bytes, %v", len(b), err)
	}
	if src.Failed() != nil {
		t.Errorf("Failed() = %v although everything asked for was there", src.Failed())
	}
	if _, err := src.At(9_999, 2); !errors.Is(err, craft.ErrDevice) {
		t.Errorf("across the broken place: %v", err)
	}
	if !errors.Is(src.Failed(), craft.ErrDevice) {
		t.Errorf("Failed() = %v", src.Failed())
	}
}

func TestShortFileIsAnError(t *testing.T) {
	src := bin.NewSource(bytes.NewReader(numbered(50)), 100, 16, 1000)
	if b, err := src.At(0, 50); err != nil || len(b) != 50 {
		t.Errorf("what is there: %d bytes, %v", len(b), err)
	}
	if _, err := src.At(40, 20); err == nil || errors.Is(err, bin.ErrEnd) {
		t.Errorf("a file shorter than it said: %v", err)
	}
}

// FuzzSource runs a program of requests against a plain slice as the model.
func FuzzSource(f *testing.F) {
	f.Add([]byte{0, 0, 1, 9, 9, 9, 200, 200, 200}, uint16(70))
	f.Add([]byte{255, 255, 255, 0, 0, 0}, uint16(1))
	f.Fuzz(func(t *testing.T, program []byte, kib uint16) {
		data := numbered(int(kib%300) * 1024)
		c := &craft.Counter{R: bytes.NewReader(data)}
		src := bin.NewSource(c, len64(data), 16, 64<<10)
		for len(program) >= 3 {
			off := int64(program[0])<<10 + int64(program[1])
			n := int(program[2]) * 7
			program = program[3:]
			b, err := src.At(off, n)
			if err != nil {
				if inside := off+int64(n) <= len64(data); inside != errors.Is(err, bin.ErrBudget) {
					t.Fatalf("At(%d, %d) of %d: %v", off, n, len(data), err)
				}
				continue
			}
			if !bytes.Equal(b, data[off:off+int64(n)]) {
				t.Fatalf("At(%d, %d) gave other bytes", off, n)
			}
		}
		if c.Reads > 16 || c.Bytes > 64<<10 {
			t.Fatalf("%d reads, %d bytes", c.Reads, c.Bytes)
		}
	})
}
