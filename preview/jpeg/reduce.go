package jpeg

// reduce makes dst the box mean of src: one sample for n by n. Each plane is
// reduced by itself, so the subsampling stays.
func reduce(dst, src *Image, n int) {
	dst.Reset(ceilDiv(src.Width, n), ceilDiv(src.Height, n), src.SubX, src.SubY, src.Grey())
	acc := make([]uint32, dst.Width)
	reducePlane(dst.Y, dst.YStride, src.Y, src.YStride, src.Width, src.Height, n, acc)
	if src.Grey() {
		return
	}
	// A chroma plane that is odd in samples rounds up once more than the
	// picture does; what lies beyond the picture is left out.
	sw, sh := src.ChromaSize()
	dw, dh := dst.ChromaSize()
	sw, sh = min(sw, dw*n), min(sh, dh*n)
	reducePlane(dst.Cb, dst.CStride, src.Cb, src.CStride, sw, sh, n, acc)
	reducePlane(dst.Cr, dst.CStride, src.Cr, src.CStride, sw, sh, n, acc)
}

func reducePlane(dst []byte, dstStride int, src []byte, srcStride, w, h, n int, acc []uint32) {
	cols := ceilDiv(w, n)
	whole := w / n
	for y := 0; y*n < h; y++ {
		rows := min(n, h-y*n)
		acc := acc[:cols]
		clear(acc)
		for r := range rows {
			row := src[(y*n+r)*srcStride:][:w]
			for x := range whole {
				s := uint32(0)
				for _, v := range row[x*n : x*n+n] {
					s += uint32(v)
				}
				acc[x] += s
			}
			for _, v := range row[whole*n:] { // the narrow last column
				acc[whole] += uint32(v)
			}
		}
		out := dst[y*dstStride:][:cols]
		count := uint32(rows * n)
		for x := range whole {
			out[x] = uint8((acc[x] + count/2) / count)
		}
		if whole < cols {
			count = uint32(rows * (w - whole*n))
			out[whole] = uint8((acc[whole] + count/2) / count)
		}
	}
}
