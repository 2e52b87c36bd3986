//go:build linux && !arm64

package dct

import (
	"testing"

	"garner/testdata/testneed"
)

// The tests of this package that concern vector code, built for 64-bit Arm and
// run by an emulator of its instructions (QEMU's user mode): NEON gives the
// bits of plain Go too.
func TestNEONEmulated(t *testing.T) {
	testneed.Emulated(t, "GARNER_DCT_PATH=neon", "Path|Mean|Fuzz", "TestPath", "TestPathsGiveEqualBits", "TestPathsGiveEqualBitsForward", "FuzzEqualBits", "FuzzForward")
}
