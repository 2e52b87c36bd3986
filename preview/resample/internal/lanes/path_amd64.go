//go:build !purego

package lanes

import "golang.org/x/sys/cpu"

// hasVector says whether there is vector code for this processor. The package cpu
// reports AVX2 only where the operating system keeps its registers too.
var hasVector = cpu.X86.HasAVX2 && cpu.X86.HasFMA

// Path names the code that runs here: "avx2" or "go".
func Path() string {
	if hasVector {
		return "avx2"
	}
	return "go"
}

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

type curveArgs struct {
	dst, src    *float32
	base, slope *float32
	vectors     int
}

type quantiseArgs struct {
	dst     *byte
	src     *float32
	vectors int
}

type widenArgs struct {
	dst, near, far *byte
	blocks         int // of 16 samples
}

type rgbArgs struct {
	dst, luma, cb, cr *byte
	blocks            int // of 16 pixels
}

//go:noescape
func transpose8(a *transposeArgs)

//go:noescape
func across8(a *acrossArgs)

//go:noescape
func down8(a *downArgs)

//go:noescape
func curve8(a *curveArgs)

//go:noescape
func quantise8(a *quantiseArgs)

//go:noescape
func widen16(a *widenArgs)

//go:noescape
func widenBetween16(a *widenArgs)

//go:noescape
func rgb16(a *rgbArgs)

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

func fastCurve(dst, src []float32, c *Curve) int {
	n := len(src) / Width
	if !hasVector || n == 0 {
		return 0
	}
	curve8(&curveArgs{&dst[0], &src[0], &c.base[0], &c.slope[0], n})
	return n * Width
}

func fastQuantise(dst []byte, src []float32) int {
	n := len(src) / Width
	if !hasVector || n == 0 {
		return 0
	}
	quantise8(&quantiseArgs{&dst[0], &src[0], n})
	return n * Width
}

// Between the n samples of a row there are n-1 pairs.

func fastWiden(dst, src []byte) int {
	n := (len(src) - 1) / 16
	if !hasVector || n == 0 {
		return 0
	}
	widen16(&widenArgs{&dst[1], &src[0], nil, n})
	return 16 * n
}

func fastWidenBetween(dst, near, far []byte) int {
	n := (len(near) - 1) / 16
	if !hasVector || n == 0 {
		return 0
	}
	widenBetween16(&widenArgs{&dst[1], &near[0], &far[0], n})
	return 16 * n
}

func fastRGB(dst, luma, cb, cr []byte) int {
	n := len(luma) / 16
	if !hasVector || n == 0 {
		return 0
	}
	rgb16(&rgbArgs{&dst[0], &luma[0], &cb[0], &cr[0], n})
	return 16 * n
}
