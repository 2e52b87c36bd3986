package overlay

// Misfit is how a picture differs from what it lies on.
type Misfit struct {
	squares []float32 // mean squares of the differences, by rows; -1 = the frame has nothing there
}

func misfit(picture plane, frame []plane, at place) Misfit {
	under, has := at.under(frame, picture.w, picture.h)
	a, b := picture.relief(around), under.relief(around)
	var m Misfit
	for y := 0; y+square <= picture.h; y += square {
		for x := 0; x+square <= picture.w; x += square {
			var sum float32
			n := 0
			for row := y; row < y+square; row++ {
				for i := row*picture.w + x; i < row*picture.w+x+square; i++ {
					if has[i] {
						d := a.v[i] - b.v[i]
						sum += d * d
						n++
					}
				}
			}
			v := float32(-1)
			if n >= square*square/2 {
				v = sum / float32(n)
			}
			m.squares = append(m.squares, v)
		}
	}
	return m
}

// Unlike is the mean of a misfit that nothing was found to be measured in.
const Unlike = 2

// Mean is the misfit of the whole picture: 2 where it has nothing in common with what
// it lies on, 0 where it is the same.
func (m Misfit) Mean() float64 {
	sum, n := 0.0, 0
	for _, v := range m.squares {
		if v >= 0 {
			sum += float64(v)
			n++
		}
	}
	if 2*n < len(m.squares) || n == 0 {
		return Unlike
	}
	return sum / float64(n)
}

// Against compares with the misfit on another frame: how much there is in all squares
// that fit better on this one, and in those that fit better on the other.
func (m Misfit) Against(other Misfit) (better, worse float64) {
	for i, v := range m.squares {
		if i >= len(other.squares) || v < 0 || other.squares[i] < 0 {
			continue
		}
		if d := float64(other.squares[i] - v); d > 0 {
			better += d
		} else {
			worse -= d
		}
	}
	return better, worse
}
