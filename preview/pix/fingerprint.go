package pix

import (
	"image"
	"math/bits"

	"github.com/corona10/goimagehash"

	"garner/preview/jpeg"
)

// fingerEdge is the size of the square that is hashed. The hash's library
// resizes to it by itself, slowly and by sampling single pixels; brought there
// by area before, every preview of a frame gives nearly the same square.
const fingerEdge = 64

// flat is the difference between the darkest and the brightest sample of the
// square up to which a picture has no content to tell apart.
const flat = 2

// Flat is the fingerprint of a picture without content, such as a frame shot
// with the lens cap on: the hash of it would be rounding noise.
const Flat uint64 = 1 << 63

// Fingerprint returns the DCT hash of an upright picture's luma: pictures that
// look alike differ in few bits. Half of its bits are set. It tells "same
// scene", never "same picture".
func Fingerprint(m *jpeg.Image) (uint64, error) {
	if !m.Valid() {
		return 0, jpeg.FormatError("no picture to take a fingerprint of")
	}
	square := image.NewGray(image.Rect(0, 0, fingerEdge, fingerEdge))
	shrink(square.Pix, square.Stride, m.Y, m.YStride,
		spans(fingerEdge, m.Width, m.Width, fingerEdge), spans(fingerEdge, m.Height, m.Height, fingerEdge))
	lo, hi := square.Pix[0], square.Pix[0]
	for _, v := range square.Pix {
		lo, hi = min(lo, v), max(hi, v)
	}
	if hi-lo <= flat {
		return Flat, nil
	}
	h, err := goimagehash.PerceptionHash(square)
	if err != nil {
		return 0, err
	}
	return h.GetHash(), nil
}

// Distance returns in how many of their 64 bits two fingerprints differ.
func Distance(a, b uint64) int { return bits.OnesCount64(a ^ b) }
