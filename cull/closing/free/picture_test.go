package free

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"testing"

	"garner/preview/small"
)

// A small picture shows its own original and no other, whether it is the camera's JPEG
// or was made smaller.
func TestShows(t *testing.T) {
	w := married(t)
	for _, edge := range []int{0, 1024, 300} {
		for i, p := range w.paths {
			data := w.was[p]
			inside, o, err := small.Of(context.Background(), bytes.NewReader(data), int64(len(data)))
			must(t, err)
			o.Frame, o.Path, o.Sum = fmt.Sprintf("%016x", i), p, sha256.Sum256(data)
			made, err := small.Shrink(inside, edge, o)
			must(t, err)
			o, err = small.Check(made)
			must(t, err)
			if o.LongEdge != edge {
				t.Fatalf("%d pixels, want %d", o.LongEdge, edge)
			}
			for k, q := range w.paths {
				other, _, err := small.Of(context.Background(), bytes.NewReader(w.was[q]), int64(len(w.was[q])))
				must(t, err)
				err = shows(other, made, o)
				if i == k && err != nil || i != k && !errors.Is(err, errPicture) {
					t.Errorf("%s at %d pixels, held against %s: %v", p, edge, q, err)
				}
			}
		}
	}
}
