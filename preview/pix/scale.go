package pix

// scale brings planes of one size to another.
type scale struct {
	x, y axis
	fine bool // see axis.filter
}

// job is one plane to be brought to its size.
type job struct{ dst, src []byte }

// planes resizes planes of the same layout.
func (s scale) planes(dstStride, srcStride int, jobs ...job) {
	x, y := s.x, s.y
	kx, ky := x.box(), y.box()
	stride := srcStride
	if kx > 1 || ky > 1 {
		x.size, x.to = (x.size+kx-1)/kx, x.to*kx
		y.size, y.to = (y.size+ky-1)/ky, y.to*ky
		stride = x.size
	}
	across, down := weigh(x, s.fine, true), weigh(y, s.fine, false)
	row := make([]byte, x.size+room)
	for _, j := range jobs {
		src := j.src
		if kx > 1 || ky > 1 {
			src = make([]byte, x.size*y.size)
			boxes(src, j.src, srcStride, s.x.size, s.y.size, kx, ky)
		}
		for i := range y.n {
			from, weights := src[int(down.first[i])*stride:], down.of(i)
			to := j.dst[i*dstStride:][:x.n]
			if across.same {
				rows(to, from, stride, weights)
				continue
			}
			rows(row[:x.size], from, stride, weights)
			narrow(to, row, &across)
		}
	}
}

// rows mixes rows, or copies the one that alone counts.
func rows(dst, src []byte, stride int, weights []int16) {
	for k, w := range weights {
		if w == unity {
			copy(dst, src[k*stride:])
			return
		}
	}
	mix(dst, src, stride, weights)
}
