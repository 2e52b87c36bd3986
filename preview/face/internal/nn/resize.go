package nn

// ResizeBilinear scales a picture to h x w. Place x of the result is where in the
// picture, TensorFlow Lite (RESIZE_BILINEAR) says by two flags, of which at most
// one may be set:
//
//	neither        x * in/out
//	half_pixel     (x + 1/2) * in/out - 1/2
//	align_corners  x * (in-1)/(out-1), or 0 where out is 1
//
// Beyond the first and the last place is that place. dst must not share memory
// with in.
func ResizeBilinear(dst, in *Tensor, h, w int, alignCorners, halfPixel bool) error {
	if err := in.check(); err != nil {
		return err
	}
	if alignCorners && halfPixel {
		return shapeError("a picture is resized by corners or by halves of pixels, not both")
	}
	if err := dst.Reset(h, w, in.C); err != nil {
		return err
	}
	rows := places(in.H, h, alignCorners, halfPixel)
	cols := places(in.W, w, alignCorners, halfPixel)
	for y, r := range rows {
		top, bottom := in.Row(r.a), in.Row(r.b)
		out := dst.Row(y)
		for x, c := range cols {
			d := out[x*in.C : (x+1)*in.C]
			tl, tr := top[c.a*in.C:][:in.C], top[c.b*in.C:][:in.C]
			bl, br := bottom[c.a*in.C:][:in.C], bottom[c.b*in.C:][:in.C]
			wtl, wtr := (1-r.f)*(1-c.f), (1-r.f)*c.f
			wbl, wbr := r.f*(1-c.f), r.f*c.f
			for i := range d {
				d[i] = tl[i]*wtl + tr[i]*wtr + bl[i]*wbl + br[i]*wbr
			}
		}
	}
	return nil
}

// between is a place between a and b, at the fraction f of the way.
type between struct {
	a, b int
	f    float32
}

func places(in, out int, alignCorners, halfPixel bool) []between {
	scale := float32(in) / float32(out)
	if alignCorners {
		scale = float32(in-1) / float32(max(out-1, 1))
	}
	list := make([]between, out)
	for i := range list {
		v := float32(i) * scale
		if halfPixel {
			v = max((float32(i)+0.5)*scale-0.5, 0)
		}
		a := min(int(v), in-1)
		list[i] = between{a, min(a+1, in-1), v - float32(a)}
	}
	return list
}
