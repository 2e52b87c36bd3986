package lanes

// This file makes colours of the planes of a JPEG, in whole numbers: vector code gives
// the same bits.

// Widen makes two samples of each by the triangle filter of libjpeg for chroma of
// half the width: three quarters of the nearer sample and one of the farther, halves
// up and down in turn. Both ends are kept. dst takes twice as many as src has.
func Widen(dst, src []byte) {
	n := len(src)
	dst = dst[: 2*n : 2*n]
	dst[0], dst[2*n-1] = src[0], src[n-1]
	done := fastWiden(dst, src)
	widenGo(dst[2*done:], src[done:])
}

// widenGo makes what lies between samples.
func widenGo(dst, src []byte) {
	for i, b := range src[1:] {
		a, b := uint16(src[i]), uint16(b)
		d := dst[2*i+1 : 2*i+3 : 2*i+3]
		d[0], d[1] = byte((3*a+b+2)>>2), byte((3*b+a+1)>>2)
	}
}

// WidenBetween is Widen for chroma of half the width and half the height: of two rows
// three quarters of the nearer one.
func WidenBetween(dst, near, far []byte) {
	n := len(near)
	dst, far = dst[:2*n:2*n], far[:n]
	first, last := 3*uint16(near[0])+uint16(far[0]), 3*uint16(near[n-1])+uint16(far[n-1])
	dst[0], dst[2*n-1] = byte((4*first+8)>>4), byte((4*last+7)>>4)
	done := fastWidenBetween(dst, near, far)
	widenBetweenGo(dst[2*done:], near[done:], far[done:])
}

func widenBetweenGo(dst, near, far []byte) {
	far = far[:len(near)]
	a := 3*uint16(near[0]) + uint16(far[0])
	for i := 1; i < len(near); i++ {
		b := 3*uint16(near[i]) + uint16(far[i])
		d := dst[2*i-1 : 2*i+1 : 2*i+1]
		d[0], d[1] = byte((3*a+b+7)>>4), byte((3*b+a+8)>>4)
		a = b
	}
}

// The matrix of JFIF 1.02, p. 4, times 65536.
const (
	crToR, cbToB = 91881, 116130
	crToG, cbToG = -46802, -22554
	half         = 1 << 15
)

// RGB writes three bytes for each sample of luma to dst.
func RGB(dst, luma, cb, cr []byte) {
	n := len(luma)
	dst, cb, cr = dst[:3*n], cb[:n], cr[:n]
	done := fastRGB(dst, luma, cb, cr)
	rgbGo(dst[3*done:], luma[done:], cb[done:], cr[done:])
}

func rgbGo(dst, luma, cb, cr []byte) {
	cb, cr = cb[:len(luma)], cr[:len(luma)]
	for i, v := range luma {
		y, b, r := int32(v), int32(cb[i])-128, int32(cr[i])-128
		d := dst[3*i : 3*i+3 : 3*i+3]
		d[0] = clamp(y + (crToR*r+half)>>16)
		d[1] = clamp(y + (cbToG*b+crToG*r+half)>>16)
		d[2] = clamp(y + (cbToB*b+half)>>16)
	}
}

func clamp(v int32) byte {
	if uint32(v) > 255 {
		return byte(^(v >> 31)) // 0 below, 255 above
	}
	return byte(v)
}
