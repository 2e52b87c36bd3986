//go:build purego || !amd64

package finished

func blend(dst []int32, a, b []byte, near, far int32) { blendGo(dst, a, b, near, far) }

func double(dst, src []int32) { doubleGo(dst, src) }

func colour(dst []uint16, luma []byte, cb, cr []int32, k *coefficients) {
	colourGo(dst, luma, cb, cr, k)
}
