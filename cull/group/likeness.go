package group

import (
	"math/bits"

	"garner/cull"
)

// Distance is the number of bits in which two fingerprints differ, 0 to 64.
func Distance(a, b uint64) int { return bits.OnesCount64(a ^ b) }

// Unknown is what Unlike returns of frames that cannot be compared.
const Unknown = 64

// Unlike says how far two frames look apart, in bits of a fingerprint: 0 is the
// same picture, about 32 two that have nothing in common, Unknown that one of them
// was never measured. A view that moved a little is no other picture: where the
// frames have looks, what both of them hold is compared.
func Unlike(a, b Frame) int {
	if !a.HasFingerprint || !b.HasFingerprint {
		if a.Look == nil || b.Look == nil || !a.Look.Known() || !b.Look.Known() {
			return Unknown
		}
		return unlikeLooks(a.Look, b.Look, Distance(a.Look.Parts[0], b.Look.Parts[0]))
	}
	whole := Distance(a.Fingerprint, b.Fingerprint)
	if whole == 0 || !looked(a, b) {
		return whole
	}
	return unlikeLooks(a.Look, b.Look, whole)
}

// looked reports whether both frames have looks measured in the same way.
func looked(a, b Frame) bool {
	return a.Look != nil && b.Look != nil && a.Look.Known() && a.Look.Method == b.Look.Method
}

// unlikeLooks takes for the distance of two looks that of their whole pictures.
func unlikeLooks(a, b *cull.Look, whole int) int { return whole }
