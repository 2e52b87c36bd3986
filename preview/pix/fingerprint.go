package pix

import (
	"math/bits"

	"garner/preview/jpeg"
)

// Flat is the fingerprint of a picture without content, such as a frame shot
// with the lens cap on: the hash of it would be rounding noise.
const Flat uint64 = 1 << 63

// Fingerprint returns the DCT hash of the luma of an upright picture, brought to the
// size of a thumbnail: pictures that look alike differ in few bits. Half of its bits
// are set. It tells "same
// scene", never "same picture".
func Fingerprint(m *jpeg.Image) (uint64, error) {
	if !m.Valid() {
		return 0, jpeg.FormatError("no picture to take a fingerprint of")
	}
	var s square
	p := windows{m: Fit(m, ThumbEdge)}
	p.fill(&s, 0, 0, 1, 1)
	return s.hash(), nil
}

// Distance returns in how many of their 64 bits two fingerprints differ.
func Distance(a, b uint64) int { return bits.OnesCount64(a ^ b) }
