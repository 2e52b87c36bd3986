package catalog

import (
	"encoding/binary"
	"errors"
	"hash/crc32"
	"math"
	"time"
)

// sealSize is what a record has around its payload: version and checksum.
const sealSize = 1 + 4

// The reasons why bytes are not a record.
var (
	errShort     = errors.New("the record is cut short")
	errChecksum  = errors.New("the record's checksum is wrong")
	errVersion   = errors.New("the record has an unknown version")
	errCanonical = errors.New("the record is not in the form that garner writes")
)

// castagnoli is the polynomial of CRC-32C; MakeTable caches it.
func castagnoli() *crc32.Table { return crc32.MakeTable(crc32.Castagnoli) }

// seal makes a value of a payload. The place is part of the checksum.
func seal(bucket string, key []byte, version byte, payload []byte) []byte {
	out := make([]byte, 0, len(payload)+sealSize)
	out = append(out, version)
	out = append(out, payload...)
	return binary.LittleEndian.AppendUint32(out, checksum(bucket, key, out))
}

// unseal returns version and payload of a value; the payload points into it.
func unseal(bucket string, key, value []byte) (version byte, payload []byte, err error) {
	if len(value) < sealSize {
		return 0, nil, errShort
	}
	body, sum := value[:len(value)-4], binary.LittleEndian.Uint32(value[len(value)-4:])
	if checksum(bucket, key, body) != sum {
		return 0, nil, errChecksum
	}
	return body[0], body[1:], nil
}

func checksum(bucket string, key, body []byte) uint32 {
	// The lengths keep "ab"+"c" apart from "a"+"bc".
	var head [64]byte
	place := binary.AppendUvarint(head[:0], uint64(len(bucket)))
	place = append(place, bucket...)
	place = binary.AppendUvarint(place, uint64(len(key)))
	sum := crc32.Update(0, castagnoli(), place)
	sum = crc32.Update(sum, castagnoli(), key)
	return crc32.Update(sum, castagnoli(), body)
}

func putUint(b []byte, v uint64) []byte { return binary.AppendUvarint(b, v) }

func putInt(b []byte, v int64) []byte { return binary.AppendVarint(b, v) }

func putString(b []byte, s string) []byte {
	return append(putUint(b, uint64(len(s))), s...)
}

func putFloat(b []byte, f float64) []byte {
	return binary.LittleEndian.AppendUint64(b, math.Float64bits(f))
}

// maxSeconds bounds instants to some thirty thousand years around 1970, far
// from where time.Time overflows.
const maxSeconds = 1 << 40

// putTime writes an instant to the nanosecond; the zone is not kept. Instants
// that only a broken file system gives are cut to the bounds.
func putTime(b []byte, t time.Time) []byte {
	if t.IsZero() {
		return append(b, 0)
	}
	b = putInt(append(b, 1), min(max(t.Unix(), -maxSeconds), maxSeconds))
	return putUint(b, uint64(t.Nanosecond()))
}

// putFlags packs up to eight booleans, the first into the lowest bit.
func putFlags(b []byte, flags ...bool) []byte {
	var v byte
	for i, f := range flags {
		if f {
			v |= 1 << i
		}
	}
	return append(b, v)
}

// cursor reads a payload. The first error stays; reads after it give zeros, so
// that a decoder checks once at its end.
type cursor struct {
	b       []byte
	version byte // of the record
	err     error
	words   words
}

// words are the texts that were read before, so that those that nearly every
// record of a table has (a camera's name, a kind of file) are in memory once.
type words map[string]string

// maxWords bounds them: texts that are all different are not worth remembering.
const maxWords = 1024

func (c *cursor) fail(err error) {
	if c.err == nil {
		c.err = err
	}
	c.b = nil
}

// end reports the first error, or bytes that are left over.
func (c *cursor) end() error {
	if c.err == nil && len(c.b) != 0 {
		c.fail(errCanonical)
	}
	return c.err
}

func (c *cursor) byte() byte {
	if len(c.b) == 0 {
		c.fail(errShort)
		return 0
	}
	v := c.b[0]
	c.b = c.b[1:]
	return v
}

func (c *cursor) uint() uint64 {
	v, n := binary.Uvarint(c.b)
	if n <= 0 {
		c.fail(errShort)
		return 0
	}
	// A last byte of zero adds nothing: a longer spelling of the same number.
	if n > 1 && c.b[n-1] == 0 {
		c.fail(errCanonical)
		return 0
	}
	c.b = c.b[n:]
	return v
}

func (c *cursor) int() int64 {
	u := c.uint()
	v := int64(u >> 1)
	if u&1 != 0 {
		v = ^v
	}
	return v
}

// small reads a number that must fit the machine's int.
func (c *cursor) small() int {
	v := c.int()
	if int64(int(v)) != v {
		c.fail(errCanonical)
		return 0
	}
	return int(v)
}

// count reads how many elements follow, each at least size bytes long; it can't
// be more than the bytes left allow.
func (c *cursor) count(size int) int {
	n := c.uint()
	if n > uint64(len(c.b)/size) {
		c.fail(errShort)
		return 0
	}
	return int(n)
}

func (c *cursor) string() string {
	n := c.uint()
	if n > uint64(len(c.b)) {
		c.fail(errShort)
		return ""
	}
	s := string(c.b[:n])
	c.b = c.b[n:]
	return s
}

// word reads a string that other records are likely to have too.
func (c *cursor) word() string {
	n := c.uint()
	if n > uint64(len(c.b)) {
		c.fail(errShort)
		return ""
	}
	b := c.b[:n]
	c.b = c.b[n:]
	if w, ok := c.words[string(b)]; ok {
		return w
	}
	w := string(b)
	if c.words != nil && len(c.words) < maxWords {
		c.words[w] = w
	}
	return w
}

func (c *cursor) float() float64 {
	if len(c.b) < 8 {
		c.fail(errShort)
		return 0
	}
	v := math.Float64frombits(binary.LittleEndian.Uint64(c.b))
	c.b = c.b[8:]
	return v
}

func (c *cursor) time() time.Time {
	switch c.byte() {
	case 0:
		return time.Time{}
	case 1:
		sec, nsec := c.int(), c.uint()
		if sec > maxSeconds || sec < -maxSeconds || nsec >= 1e9 {
			c.fail(errCanonical)
			return time.Time{}
		}
		t := time.Unix(sec, int64(nsec)).UTC()
		if t.IsZero() {
			c.fail(errCanonical)
		}
		return t
	default:
		c.fail(errCanonical)
		return time.Time{}
	}
}

// flags reads n booleans; a set bit beyond them is an error.
func (c *cursor) flags(n int) [8]bool {
	var out [8]bool
	v := c.byte()
	if n < 8 && v>>n != 0 {
		c.fail(errCanonical)
		return out
	}
	for i := range n {
		out[i] = v&(1<<i) != 0
	}
	return out
}
