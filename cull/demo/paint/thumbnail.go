package paint

import "image"

// Thumbnail fits a 4:2:0 picture into w×h with black bars, by averaging: DCF
// thumbnails are 160×120 whatever the picture's shape.
func Thumbnail(src *image.YCbCr, w, h int) *image.YCbCr {
	img := image.NewYCbCr(image.Rect(0, 0, w, h), image.YCbCrSubsampleRatio420)
	for i := range img.Cb {
		img.Cb[i], img.Cr[i] = 128, 128
	}
	sw, sh := src.Rect.Dx(), src.Rect.Dy()
	tw, th := w, sh*w/sw&^1
	if th > h {
		tw, th = sw*h/sh&^1, h
	}
	x0, y0 := (w-tw)/2&^1, (h-th)/2&^1
	average(src.Y, src.YStride, sw, sh, img.Y[y0*img.YStride+x0:], img.YStride, tw, th)
	at := y0/2*img.CStride + x0/2
	average(src.Cb, src.CStride, sw/2, sh/2, img.Cb[at:], img.CStride, tw/2, th/2)
	average(src.Cr, src.CStride, sw/2, sh/2, img.Cr[at:], img.CStride, tw/2, th/2)
	return img
}

// average shrinks one plane; each output value is the mean of the input values
// it covers.
func average(src []uint8, stride, sw, sh int, dst []uint8, dstStride, w, h int) {
	for y := range h {
		ya, yb := y*sh/h, max((y+1)*sh/h, y*sh/h+1)
		for x := range w {
			xa, xb := x*sw/w, max((x+1)*sw/w, x*sw/w+1)
			sum := 0
			for j := ya; j < yb; j++ {
				for _, v := range src[j*stride+xa : j*stride+xb] {
					sum += int(v)
				}
			}
			dst[y*dstStride+x] = uint8(sum / ((yb - ya) * (xb - xa)))
		}
	}
}
