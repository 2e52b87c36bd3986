package sixel

// maxSpread keeps what noise has carried off inside of the table.
const maxSpread = 96

// noise is what is added to the pixels before their colours are looked up, so
// that what would become steps becomes a mixture: ordered dithering (B. E.
// Bayer, "An optimum method for two-level rendition of continuous-tone
// pictures", ICC 1973), eight by eight. Green gets the opposite of red and blue.
// The sum keeps its brightness that way, which the eye sees best: the squares
// of the errors in luma are a quarter of what one noise for all channels makes.
type noise struct {
	// rows hold two pixels in an element: first red and blue, in the places
	// that they have in the two pixels, then green.
	rows   [8][4][2]uint64
	spread int
}

// set makes it go from -spread to spread, counted from there.
func (n *noise) set(spread int) {
	n.spread = spread
	top := uint64(2 * spread)
	for y := range n.rows {
		for x := range 8 {
			v := bayer(x, y)
			up := (v*top + 31) / 63
			down := top - up
			pair, shift := &n.rows[y][x/2], x%2*32
			if x%2 == 0 {
				*pair = [2]uint64{}
			}
			pair[0] |= (up | up<<16) << shift
			pair[1] |= down << shift
		}
	}
}

// bayer is an element of the matrix: the bits of x ^ y and y, mirrored, in turns.
func bayer(x, y int) uint64 {
	v := 0
	for k := range 3 {
		v |= (x^y)>>k&1<<(5-2*k) | y>>k&1<<(4-2*k)
	}
	return uint64(v)
}
