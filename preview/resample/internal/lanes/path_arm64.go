//go:build !purego

package lanes

// hasVector: every 64-bit Arm processor that Go runs on has NEON.
const hasVector = true

// Path names the code that runs here: "avx2", "neon" or "go".
func Path() string { return "neon" }
