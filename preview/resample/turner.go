package resample

// Turner turns a picture of encoded rows upright. It keeps the picture, in 8-bit
// codes, until the last row is there.
type Turner struct {
	w, h, orientation int
	sink              Sink
	taken             int
	codes             []byte    // of one row
	whole             []byte    // upright
	row               []float32 // of the upright picture
	err               error
}

// NewTurner returns what turns a stored picture of w by h pixels. Its rows come out
// as values of whole codes, but for the orientation 1, which changes nothing.
func NewTurner(w, h, orientation int, sink Sink) (*Turner, error) {
	if err := checkSize(w, h); err != nil {
		return nil, err
	}
	t := &Turner{w: w, h: h, orientation: orientation, sink: sink}
	if t.idle() {
		return t, nil
	}
	t.codes = make([]byte, w*channels)
	t.whole = make([]byte, w*h*channels)
	upright, _ := UprightSize(w, h, orientation)
	t.row = make([]float32, upright*channels)
	return t, nil
}

func (t *Turner) idle() bool { return t.orientation < 2 || t.orientation > 8 }

// Push takes the next row of the stored picture.
func (t *Turner) Push(row []float32) error {
	if t.err == nil && (t.taken == t.h || len(row) != t.w*channels) {
		t.err = ErrRows
	}
	if t.err != nil {
		return t.err
	}
	t.taken++
	if t.idle() {
		t.err = t.sink(t.taken-1, row)
		return t.err
	}
	Quantise(t.codes, row)
	Place(t.whole, t.w, t.h, t.orientation, t.taken-1, t.codes)
	if t.taken == t.h {
		t.give()
	}
	return t.err
}

func (t *Turner) give() {
	for y := range len(t.whole) / len(t.row) {
		for i, v := range t.whole[y*len(t.row):][:len(t.row)] {
			t.row[i] = float32(v) / 255
		}
		if t.err = t.sink(y, t.row); t.err != nil {
			return
		}
	}
}

// Close reports whether all rows came.
func (t *Turner) Close() error {
	if t.err == nil && t.taken != t.h {
		t.err = ErrRows
	}
	return t.err
}
