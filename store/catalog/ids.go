package catalog

import "encoding/hex"

// putID writes a frame id. Sixteen lower-case hex digits, which is what frame
// ids are, take nine bytes instead of seventeen.
func putID(b []byte, id string) []byte {
	if raw, ok := packID(id); ok {
		return append(append(b, 0), raw...)
	}
	return append(putUint(b, uint64(len(id))+1), id...)
}

func packID(id string) ([]byte, bool) {
	if len(id) != 16 {
		return nil, false
	}
	for i := range len(id) {
		if c := id[i]; (c < '0' || c > '9') && (c < 'a' || c > 'f') {
			return nil, false
		}
	}
	raw, err := hex.DecodeString(id)
	return raw, err == nil
}

func (c *cursor) id() string {
	n := c.uint()
	if n == 0 {
		if len(c.b) < 8 {
			c.fail(errShort)
			return ""
		}
		var digits [16]byte
		hex.Encode(digits[:], c.b[:8])
		c.b = c.b[8:]
		return string(digits[:])
	}
	n--
	if n > uint64(len(c.b)) {
		c.fail(errShort)
		return ""
	}
	s := string(c.b[:n])
	c.b = c.b[n:]
	if _, ok := packID(s); ok {
		c.fail(errCanonical)
		return ""
	}
	return s
}
