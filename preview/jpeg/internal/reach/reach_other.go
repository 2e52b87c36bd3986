//go:build !amd64 || purego

package reach

// Path names the code that runs here: "go".
func Path() string { return "go" }

func wildFast([]byte, []Block, *[64]uint16) bool { return false }
