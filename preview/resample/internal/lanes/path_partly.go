//go:build purego || !amd64

package lanes

// What has vector code for AVX2 alone: here it does nothing of the work.

func fastCurve(dst, src []float32, c *Curve) int { return 0 }

func fastQuantise(dst []byte, src []float32) int { return 0 }

func fastWiden(dst, src []byte) int { return 0 }

func fastWidenBetween(dst, near, far []byte) int { return 0 }

func fastRGB(dst, luma, cb, cr []byte) int { return 0 }
