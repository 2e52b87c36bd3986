//go:build !purego && (amd64 || arm64)

package lanes

import "testing"

// Vector code leaves the pointers it is given where they are: one that it had moved
// past the end of a slice would damage the heap when garbage is collected.
func TestPointersStay(t *testing.T) {
	if !hasVector {
		t.Skip("plain Go")
	}
	v, first, at := make([]float32, 4096), make([]int32, 8), make([]int, 8)
	unmoved(t, transpose8, transposeArgs{&v[0], &v[1024], 32, 256, 32, 256, 2})
	unmoved(t, across8, acrossArgs{&v[0], &v[1024], &first[0], &v[2048], 2, 0, 3})
	unmoved(t, down8, downArgs{&v[0], &v[1024], &at[0], &v[2048], 3, 1, 2})
}

func unmoved[A comparable](t *testing.T, kernel func(*A), a A) {
	t.Helper()
	before := a
	kernel(&a)
	if a != before {
		t.Errorf("%+v, before %+v", a, before)
	}
}
