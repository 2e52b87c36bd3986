//go:build purego || !(amd64 || arm64)

package lanes

// Path names the code that runs here: "avx2", "neon" or "go".
func Path() string { return "go" }

// The functions of vector code report how far it did the work: here there is none.

func fastTranspose(j *transposeJob) bool { return false }

func fastAcross(dst, src []float32, first []int32, weight []float32, n, origin int) bool {
	return false
}

func fastDown(dst, src []float32, at []int, weight []float32) int { return 0 }
