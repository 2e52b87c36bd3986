//go:build !purego

package nn

import "golang.org/x/sys/cpu"

// hasVector says whether there is vector code for this processor. The package cpu
// reports AVX2 only where the operating system keeps its registers too.
var hasVector = cpu.X86.HasAVX2 && cpu.X86.HasFMA

// Path names the code that runs here: "avx2", "neon" or "go".
func Path() string {
	if hasVector {
		return "avx2"
	}
	return "go"
}

//go:noescape
func panel16(a *panelArgs)

//go:noescape
func panel8(a *panelArgs)

//go:noescape
func depthwise8(a *placesArgs)

//go:noescape
func max8(a *placesArgs)
