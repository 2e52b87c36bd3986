//go:build !purego

package lanes

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

// More arguments, as in path_vector.go.

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
func curve8(a *curveArgs)

//go:noescape
func quantise8(a *quantiseArgs)

//go:noescape
func widen16(a *widenArgs)

//go:noescape
func widenBetween16(a *widenArgs)

//go:noescape
func rgb16(a *rgbArgs)

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
