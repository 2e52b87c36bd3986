//go:build linux && !arm64 && !purego

package nn

import (
	"testing"

	"garner/testdata/testneed"
)

// The tests of this package, built for 64-bit Arm and run by an emulator of its
// instructions (QEMU's user mode): NEON gives what the definitions say, and stays
// inside of its slices.
func TestNEONEmulated(t *testing.T) {
	testneed.Emulated(t, "GARNER_NN_PATH=neon", "", "TestPath", "TestConvAgainstDefinition", "TestDepthwiseAgainstDefinition", "TestPoolsAgainstDefinition", "TestPathsAgree", "TestInsideSlices", "TestPointersStay", "FuzzEqual")
}
