package resample

// table is the light of 8-bit codes, of red, green and blue.
type table [channels][256]float32

// newTable is the table of a function that takes codes, 0..1, to light.
func newTable(decode func(code float64) float64) *table {
	t := &table{}
	for i := range 256 {
		v := float32(decode(float64(i) / 255))
		t[0][i], t[1][i], t[2][i] = v, v, v
	}
	return t
}

// linear writes the light of codes to dst.
func (t *table) linear(dst []float32, rgb []byte) {
	r, g, b := &t[0], &t[1], &t[2]
	dst = dst[:len(rgb)]
	for i := 0; i+2 < len(rgb) && i+2 < len(dst); i += 3 {
		dst[i], dst[i+1], dst[i+2] = r[rgb[i]], g[rgb[i+1]], b[rgb[i+2]]
	}
}
