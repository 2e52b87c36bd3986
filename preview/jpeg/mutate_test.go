package jpeg

import (
	"bytes"
	"errors"
	"math/rand/v2"
	"runtime"
	"testing"
	"time"
)

// mutated returns a copy of src that was damaged in one of the ways in which
// cards, cables and recovery programs do it.
func mutated(src, other []byte, rnd *rand.Rand) []byte {
	b := bytes.Clone(src)
	switch rnd.IntN(6) {
	case 0: // flipped bits anywhere, the headers too
		for range 1 + rnd.IntN(4) {
			b[rnd.IntN(len(b))] ^= 1 << rnd.IntN(8)
		}
	case 1: // in the headers
		for range 1 + rnd.IntN(3) {
			b[rnd.IntN(min(len(b), 700))] = byte(rnd.Uint32())
		}
	case 2: // cut off
		b = b[:rnd.IntN(len(b))]
	case 3: // a stretch of one value
		at := rnd.IntN(len(b))
		n := min(len(b)-at, 1+rnd.IntN(5000))
		v := []byte{0, 0xFF, 0xAA, 0xD0}[rnd.IntN(4)]
		for i := range n {
			b[at+i] = v
		}
	case 4: // a stretch of another file
		at, from := rnd.IntN(len(b)), rnd.IntN(len(other))
		copy(b[at:], other[from:min(len(other), from+rnd.IntN(5000))])
	default: // a stretch lost or doubled
		at := rnd.IntN(len(b))
		n := min(len(b)-at, rnd.IntN(3000))
		if rnd.IntN(2) == 0 {
			b = append(b[:at], b[at+n:]...)
		} else {
			b = append(b[:at+n:at+n], b[at:]...)
		}
	}
	return b
}

// Whatever is done to real previews: no panic, an Image or an error, planes as
// large as they say, and no more time and memory than the size explains.
func TestMutationsOfRealPreviews(t *testing.T) {
	const seed = 23
	count := 20000
	if testing.Short() {
		count = 2000
	}
	var sources [][]byte
	for _, r := range reals(t) {
		if r.width*r.height >= 5000 && r.width*r.height <= 80000 {
			sources = append(sources, r.src[:min(len(r.src), 40<<10)])
		}
	}
	sources = append(sources, corpus(t, "video-001.q50.420.progressive.jpeg"), corpus(t, "video-001.cmyk.jpeg"))
	for _, name := range codings[:7] {
		sources = append(sources, corpus(t, name))
	}
	rnd := rand.New(rand.NewPCG(seed, seed))
	d, into := NewDecoder(), &Image{}
	var worst time.Duration
	var most uint64
	pictures := 0
	for n := range count {
		src := mutated(sources[n%len(sources)], sources[rnd.IntN(len(sources))], rnd)
		info, _ := Config(bytes.NewReader(src), 0, int64(len(src)))
		o := Options{Scale: 1 << rnd.IntN(4), Into: into, MaxPixels: 4 << 20, Luma: rnd.IntN(4) == 0}
		if rnd.IntN(8) == 0 {
			o.Workers = 2
		}
		if rnd.IntN(8) == 0 {
			o.Index = &Index{}
		}
		var before, after runtime.MemStats
		if n%20 == 0 {
			runtime.ReadMemStats(&before)
		}
		start := time.Now()
		m, err := d.Decode(src, o)
		worst = max(worst, time.Since(start))
		if n%20 == 0 {
			runtime.ReadMemStats(&after)
			// Planes of three bytes a pixel and what fills up their blocks, and the
			// buffers; for what is left to the standard library several decodes, of
			// progressive ones with all their coefficients.
			limit := uint64(info.Width+64)*uint64(info.Height+64)*6 + 2<<20
			if h, err := headerOf(src); err == nil && !new(layout).sequential(h) {
				limit *= 12
			}
			if got := after.TotalAlloc - before.TotalAlloc; got > limit {
				t.Fatalf("seed %d, %d: %d bytes were allocated for %dx%d", seed, n, got, info.Width, info.Height)
			} else {
				most = max(most, got)
			}
		}
		if (m == nil) == (err == nil) {
			t.Fatalf("seed %d, %d: image %v, error %v", seed, n, m != nil, err)
		}
		if err != nil {
			var f FormatError
			var u UnsupportedError
			var s *SizeError
			if !errors.As(err, &f) && !errors.As(err, &u) && !errors.As(err, &s) {
				t.Fatalf("seed %d, %d: %T %v", seed, n, err, err)
			}
			continue
		}
		pictures++
		if n%16 == 0 && !info.Progressive {
			sameBothWays(t, d, src, uint8(n/16%ways), partOf(info, rnd.IntN(info.Width), rnd.IntN(info.Height), rnd.IntN(info.Width), rnd.IntN(info.Height)))
		}
		if !m.Valid() || m.Width != ceilDiv(info.Width, o.Scale) || m.Height != ceilDiv(info.Height, o.Scale) || m.Rows < 1 || m.Rows < m.Height && !m.Truncated {
			t.Fatalf("seed %d, %d: %dx%d of %+v at 1/%d, rows %d, truncated %v", seed, n, m.Width, m.Height, info, o.Scale, m.Rows, m.Truncated)
		}
	}
	t.Logf("%d of %d gave a picture; at most %v and %d bytes for one", pictures, count, worst, most)
	if worst > 5*time.Second {
		t.Errorf("one took %v", worst)
	}
	if pictures < count/2 {
		t.Errorf("only %d of %d gave a picture", pictures, count)
	}
}
