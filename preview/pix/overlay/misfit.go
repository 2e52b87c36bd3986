package overlay

// Misfit is how a picture differs from what it lies on.
type Misfit struct {
	squares []float32 // mean squares of the differences, by rows; -1 = the frame has nothing there
	relief  []float32 // what those would be if the two had nothing in common
	at      place     // where it lies
}

func misfit(picture plane, frame []plane, at place) Misfit {
	under, has := at.under(frame, picture.w, picture.h)
	a, b := picture.relief(around), under.relief(around)
	m := Misfit{at: at}
	for y := 0; y+square <= picture.h; y += square {
		for x := 0; x+square <= picture.w; x += square {
			var sum, own float32
			n := 0
			for row := y; row < y+square; row++ {
				for i := row*picture.w + x; i < row*picture.w+x+square; i++ {
					if has[i] {
						d := a.v[i] - b.v[i]
						sum += d * d
						own += a.v[i]*a.v[i] + b.v[i]*b.v[i]
						n++
					}
				}
			}
			v, r := float32(-1), float32(0)
			if n >= square*square/2 {
				v, r = sum/float32(n), own/float32(n)
			}
			m.squares, m.relief = append(m.squares, v), append(m.relief, r)
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

// other is how much of what a square could differ by it differs by at least to be another
// one.
const other = 0.25

// Agree is the share of the picture that the frame has in the same places: 1 where it is
// the same, 0 where it has nothing in common with what it lies on. Squares count by what
// there is in them, an empty sky for nothing, and none for more than that it is another:
// a stamp costs what it covers.
func (m Misfit) Agree() float64 {
	var differ, all float64
	n := 0
	for i, v := range m.squares {
		if v < 0 {
			continue
		}
		r := float64(m.relief[i])
		differ += min(float64(v)/other, r)
		all += r
		n++
	}
	if 2*n < len(m.squares) || all == 0 {
		return 0
	}
	return 1 - differ/all
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
