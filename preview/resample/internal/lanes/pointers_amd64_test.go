//go:build !purego

package lanes

import "testing"

func TestMorePointersStay(t *testing.T) {
	if !hasVector {
		t.Skip("plain Go")
	}
	v, codes := make([]float32, 4096), make([]byte, 128)
	unmoved(t, curve8, curveArgs{&v[0], &v[1024], &v[2048], &v[2048], 1})
	unmoved(t, quantise8, quantiseArgs{&codes[0], &v[0], 2})
	unmoved(t, widen16, widenArgs{&codes[0], &codes[64], nil, 1})
	unmoved(t, widenBetween16, widenArgs{&codes[0], &codes[64], &codes[96], 1})
	unmoved(t, rgb16, rgbArgs{&codes[0], &codes[64], &codes[80], &codes[96], 1})
}
