//go:build !purego

package nn

// hasVector: every 64-bit Arm processor that Go runs on has NEON.
const hasVector = true

// Path names the code that runs here: "avx2", "neon" or "go".
func Path() string { return "neon" }

//go:noescape
func panel16(a *panelArgs)

//go:noescape
func panel8(a *panelArgs)

//go:noescape
func depthwise8(a *placesArgs)

//go:noescape
func max8(a *placesArgs)
