//go:build linux && !arm64 && !purego

package lanes

import (
	"testing"

	"garner/testdata/testneed"
)

// The tests of this package, built for 64-bit Arm and run by an emulator of its
// instructions (QEMU's user mode): NEON gives what the definitions say, and stays
// inside of its slices.
func TestNEONEmulated(t *testing.T) {
	testneed.Emulated(t, "GARNER_LANES_PATH=neon", "", "TestPath", "TestGatherScatter", "TestAcrossAgainstDefinition", "TestDownAgainstDefinition", "TestInsideSlices", "TestPointersStay", "FuzzEqual")
}
