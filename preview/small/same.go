package small

import "bytes"

// SameScans reports whether two JPEGs have the same coded data, from the first scan to
// the end of image, byte for byte: that one is the camera's and the other the small
// picture that was made of it.
func SameScans(a, b []byte) bool {
	x, err := scans(a)
	if err != nil {
		return false
	}
	y, err := scans(b)
	return err == nil && bytes.Equal(x, y)
}

func scans(b []byte) ([]byte, error) {
	b, err := tidy(b)
	if err != nil {
		return nil, err
	}
	c, err := apart(b)
	return b[c.from:c.end], err
}
