package nn

// Act is what is done to a value before it leaves a layer.
type Act uint8

const (
	None  Act = iota
	ReLU      // max(x, 0)
	ReLU6     // min(max(x, 0), 6)
	PReLU     // x, or below zero x times the slope of its channel
)

// apply is the activation of one value, whose channel has the slope given.
func (a Act) apply(x, slope float32) float32 {
	switch a {
	case ReLU:
		return max(x, 0)
	case ReLU6:
		return min(max(x, 0), 6)
	case PReLU:
		if x < 0 {
			return x * slope
		}
	}
	return x
}

// perChannel checks a list that has one value for each of c channels, or one for
// all, or none where none are needed, and copies it out to n >= c values.
func perChannel(what string, v []float32, c, n int, optional bool) ([]float32, error) {
	out := make([]float32, n)
	switch {
	case len(v) == c:
		copy(out, v)
	case len(v) == 1:
		for i := range c {
			out[i] = v[0]
		}
	case len(v) != 0 || !optional:
		return nil, shapeError("%d %s for %d channels", len(v), what, c)
	}
	return out, nil
}

// slopes is perChannel for an activation; only PReLU has any.
func (a Act) slopes(v []float32, c, n int) ([]float32, error) {
	if a > PReLU {
		return nil, shapeError("no activation %d", a)
	}
	if a != PReLU {
		v = nil
	}
	return perChannel("slopes", v, c, n, a != PReLU)
}
