//go:build purego || !(amd64 || arm64)

package nn

// Path names the code that runs here: "avx2", "neon" or "go".
func Path() string { return "go" }

// The functions of vector code report whether there is any: here there is none.

func fastPanel(j *panelJob) bool      { return false }
func fastDepthwise(j *placesJob) bool { return false }
func fastMax(j *placesJob) bool       { return false }
