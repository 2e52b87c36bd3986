//go:build !purego && (amd64 || arm64)

package lanes

// The arguments of vector code, which leaves the pointers where they are. Steps are
// in bytes.

type transposeArgs struct {
	dst, src        *float32
	dstRow, dstStep int
	srcRow, srcStep int
	blocks          int
}

type acrossArgs struct {
	dst, src *float32
	first    *int32
	weight   *float32
	pairs    int // of taps
	origin   int
	n        int
}

type downArgs struct {
	dst, src *float32
	at       *int
	weight   *float32
	rows     int
	wide     int // eights of vectors
	rest     int // vectors after them
}

//go:noescape
func transpose8(a *transposeArgs)

//go:noescape
func across8(a *acrossArgs)

//go:noescape
func down8(a *downArgs)

// The functions below report whether, or how far, vector code did the work. Bounds
// have been checked by who calls them.

func fastTranspose(j *transposeJob) bool {
	if !hasVector {
		return false
	}
	transpose8(&transposeArgs{&j.dst[0], &j.src[0], 4 * j.dstRow, 4 * j.dstStep, 4 * j.srcRow, 4 * j.srcStep, j.blocks})
	return true
}

func fastAcross(dst, src []float32, first []int32, weight []float32, n, origin int) bool {
	if !hasVector || n == 0 || n%2 != 0 {
		return false
	}
	across8(&acrossArgs{&dst[0], &src[0], &first[0], &weight[0], n / 2, origin, len(first)})
	return true
}

func fastDown(dst, src []float32, at []int, weight []float32) int {
	n := len(dst) / Width
	if !hasVector || n == 0 || len(at) == 0 {
		return 0
	}
	down8(&downArgs{&dst[0], &src[0], &at[0], &weight[0], len(at), n / 8, n % 8})
	return n * Width
}
