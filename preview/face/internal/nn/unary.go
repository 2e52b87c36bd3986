package nn

// Activate applies an activation; slope is for PReLU, one for each channel or one
// for all. dst may be in.
func Activate(dst, in *Tensor, act Act, slope []float32) error {
	if err := in.check(); err != nil {
		return err
	}
	if act > PReLU || act == PReLU && len(slope) != in.C && len(slope) != 1 {
		return shapeError("%d slopes for activation %d of %d channels", len(slope), act, in.C)
	}
	src := in.Data
	if err := dst.Reset(in.H, in.W, in.C); err != nil {
		return err
	}
	if act != PReLU || len(slope) == 1 {
		s := float32(0)
		if act == PReLU {
			s = slope[0]
		}
		for i, v := range src {
			dst.Data[i] = act.apply(v, s)
		}
		return nil
	}
	for i := 0; i < len(src); i += in.C {
		d := dst.Data[i : i+in.C]
		for k, v := range src[i : i+in.C] {
			d[k] = PReLU.apply(v, slope[k])
		}
	}
	return nil
}
