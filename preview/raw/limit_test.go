package raw_test

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"runtime"
	"testing"

	"garner/preview/internal/craft"
	"garner/preview/raw"
)

// What real files cost. The promise is 16 reads and 128 KiB; this holds what is
// reached, so that a change for the worse shows.
func TestRealFilesNeedFewReads(t *testing.T) {
	for _, r := range realFiles(t) {
		c := &craft.Counter{R: bytes.NewReader(r.data)}
		f, err := raw.Locate(c, int64(len(r.data)))
		if err != nil {
			t.Errorf("%s: %v", filepath.Base(r.path), err)
			continue
		}
		if has(f, raw.ProblemReadLimit) {
			t.Errorf("%s: the limit was reached", filepath.Base(r.path))
		}
		if c.Reads > 8 || c.Bytes > 80<<10 {
			t.Errorf("%s: %d reads, %d bytes", filepath.Base(r.path), c.Reads, c.Bytes)
		}
	}
}

// mutate changes some 32-bit words in the first part of a copy: shifted by a
// little or a lot, or set to what offsets and counts must never be.
func mutate(data []byte, rng *rand.Rand) []byte {
	m := bytes.Clone(data)
	head := min(len(m), 48<<10)
	if head < 16 {
		return m
	}
	for range 1 + rng.IntN(6) {
		at := rng.IntN(head - 4)
		if rng.IntN(4) > 0 {
			at = 2 + at/12*12 // where entries of a directory at 8 have their values
		}
		at = min(at, head-4)
		var order binary.ByteOrder = binary.LittleEndian
		if rng.IntN(2) == 0 {
			order = binary.BigEndian
		}
		v := order.Uint32(m[at:])
		switch rng.IntN(7) {
		case 0:
			v += uint32(1 + rng.IntN(64))
		case 1:
			v -= uint32(1 + rng.IntN(64))
		case 2:
			v += 1 << (10 + rng.IntN(21))
		case 3:
			v = 0xFFFFFFFF
		case 4:
			v = uint32(at)
		case 5:
			v = 0
		case 6:
			v = uint32(rng.IntN(head))
		}
		order.PutUint32(m[at:], v)
	}
	return m
}

// Mutants of every real file, with shifted offsets and counts, hold every promise;
// so do their beginnings.
func TestMutantsHoldTheLimits(t *testing.T) {
	const seed = 20260613
	for i, r := range realFiles(t) {
		name, data := filepath.Base(r.path), r.data
		rng := rand.New(rand.NewPCG(seed, uint64(i)))
		for n := range 60 {
			t.Run(fmt.Sprint(name, n), func(t *testing.T) {
				m := mutate(data, rng)
				if n%4 == 0 {
					m = m[:rng.IntN(min(len(m), 64<<10)+1)]
				}
				located(t, m)
			})
		}
	}
}

// No length that a file declares decides an allocation: a hostile file costs no
// more memory than a good one.
func TestBoundedMemory(t *testing.T) {
	b := craft.NewTIFF(binary.LittleEndian)
	big := craft.Field{Tag: 0x014A, Type: 4, Count: 0x3FFFFFFF, Data: []byte{8, 0, 0, 0}}
	name := craft.Field{Tag: 0x010F, Type: 2, Count: 0x7FFFFFFF, Data: []byte{8, 0, 0, 0}}
	b.Blob(make([]byte, 1<<20))
	data := b.Bytes(b.IFD(0, name, big, b.Long(0x0201, 8), b.Long(0x0202, 0x7FFFFFFF)))
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	if _, err := raw.Locate(bytes.NewReader(data), int64(len(data))); err != nil {
		t.Fatal(err)
	}
	runtime.ReadMemStats(&after)
	bytesPerRun := after.TotalAlloc - before.TotalAlloc
	if bytesPerRun > 512<<10 {
		t.Errorf("%d bytes allocated", bytesPerRun)
	}
}
