package copy

import (
	"bytes"
	"context"
	"errors"
	"math/rand/v2"
	"testing"

	"garner/store"
	"garner/store/vfs/vfstest"
)

// The running digest of both ends is EndsHash, whatever the pieces.
func TestEnds(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for _, size := range []int{0, 1, store.EndLen - 1, store.EndLen, store.EndLen + 1, 2 * store.EndLen, 2*store.EndLen + 1, 5*store.EndLen + 17} {
		data := make([]byte, size)
		for i := range data {
			data[i] = byte(rng.Uint32())
		}
		want, err := store.EndsHash(bytes.NewReader(data), int64(size))
		if err != nil {
			t.Fatal(err)
		}
		for range 20 {
			e := newEnds(int64(size))
			for rest := data; len(rest) > 0; {
				n := min(len(rest), 1+rng.IntN(2*store.EndLen))
				e.write(rest[:n])
				rest = rest[n:]
			}
			if e.sum() != want {
				t.Errorf("%d bytes: another digest", size)
			}
		}
	}
}

// A source whose ends are not those that were seen gets no name anywhere; one that
// is read right the second time does.
func TestEndsOfAnEarlierLook(t *testing.T) {
	m := vfstest.New(vfstest.Options{})
	data := bytes.Repeat([]byte("garner"), 50_000)
	m.Put("/card/a", data)
	ends, err := store.EndsHash(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	job := Job{Source: "/card/a", Dests: []string{"/job/a"}, Ends: &ends, Again: 2}
	other := ends
	other[0]++
	job.Ends = &other
	if _, err := File(context.Background(), m, job); !errors.Is(err, store.ErrChanged) {
		t.Errorf("other ends: %v", err)
	}
	if names := m.Names("/job"); len(names) != 0 {
		t.Errorf("left behind: %v", names)
	}
	job.Ends = &ends
	if _, err := File(context.Background(), m, job); err != nil {
		t.Error(err)
	}
}
