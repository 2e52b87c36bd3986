package jpeg

import (
	"encoding/binary"
	"errors"
	"runtime"
	"testing"
)

// sized returns src with another declared size, padded to length bytes.
func sized(t testing.TB, src []byte, w, h, length int) []byte {
	t.Helper()
	b := make([]byte, max(length, len(src)))
	copy(b, src)
	at := sofAt(t, b)
	binary.BigEndian.PutUint16(b[at+5:], uint16(h))
	binary.BigEndian.PutUint16(b[at+7:], uint16(w))
	return b
}

func TestSizesThatCannotBeAreRefusedBeforeAllocation(t *testing.T) {
	small := coded(t, scene(64, 64), 80)
	cases := []struct {
		name string
		src  []byte
		o    Options
	}{
		// 20000x14000 in 4:2:0 is 6.6 million blocks; 2 bits each are 1.6 MB.
		{"20000x14000 in 1 MB", sized(t, small, 20000, 14000, 1<<20), Options{MaxPixels: 1 << 30}},
		{"20000x14000 in 1 MB by the default", sized(t, small, 20000, 14000, 1<<20), Options{}},
		{"65535x65535", sized(t, small, 65535, 65535, 4<<20), Options{}},
		{"more than asked for", sized(t, small, 4000, 3000, 1<<20), Options{MaxPixels: 1 << 20}},
		{"progressive 12000x12000", sized(t, corpus(t, "video-001.progressive.jpeg"), 12000, 12000, 4<<20), Options{}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			m, err := Decode(c.src, c.o)
			runtime.ReadMemStats(&after)
			var size *SizeError
			if !errors.As(err, &size) || m != nil {
				t.Fatalf("image %v, error %v", m != nil, err)
			}
			if got := after.TotalAlloc - before.TotalAlloc; got > 64<<10 {
				t.Errorf("%d bytes were allocated before it was refused", got)
			}
		})
	}
}

// A flat picture is the densest honest one: 6 bits a luma block with the
// tables of T.81 Annex K.3. It must pass.
func TestFlatPicturesPass(t *testing.T) {
	flat := scene(2048, 1536)
	for i := range flat.Y {
		flat.Y[i] = 90
	}
	for i := range flat.Cb {
		flat.Cb[i], flat.Cr[i] = 100, 140
	}
	m, err := Decode(coded(t, flat, 50), Options{Scale: 8})
	if err != nil {
		t.Fatal(err)
	}
	if m.Truncated || m.Y[0] < 88 || m.Y[0] > 92 {
		t.Errorf("truncated %v, luma %d", m.Truncated, m.Y[0])
	}
}
