package proofs

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"hash"
	"io"
	"strconv"
	"strings"
)

// objects writes the body of a PDF file, object by object, and what ends it (ISO
// 32000-1, 7.5). The first error stays.
type objects struct {
	w      io.Writer
	sum    hash.Hash // of all that was written: the file's identifier
	at     int64
	places []int64 // by number of the object, 0 = not written
	err    error
}

// maxPlace is what the ten digits of an entry of the table hold.
const maxPlace = 9_999_999_999

func begin(w io.Writer) *objects {
	o := &objects{w: w, sum: sha256.New(), places: make([]int64, 1)}
	o.write([]byte("%PDF-1.4\n%\xE2\xE3\xCF\xD3\n")) // 7.5.2: bytes above 127 say that it is not text
	return o
}

// reserve returns the number of an object that is yet to come.
func (o *objects) reserve() int {
	o.places = append(o.places, 0)
	return len(o.places) - 1
}

func (o *objects) write(b []byte) {
	if o.err != nil {
		return
	}
	n, err := o.w.Write(b)
	if err == nil && n < len(b) {
		err = io.ErrShortWrite
	}
	o.sum.Write(b)
	o.at, o.err = o.at+int64(n), err
	if o.err == nil && o.at > maxPlace {
		o.err = errors.New("proofs: the contact sheets are larger than a file of this kind can be")
	}
}

func (o *objects) printf(format string, args ...any) { o.write(fmt.Appendf(nil, format, args...)) }

// object writes an object that was reserved.
func (o *objects) object(n int, format string, args ...any) {
	o.places[n] = o.at
	o.printf("%d 0 obj\n%s\nendobj\n", n, fmt.Sprintf(format, args...))
}

// stream writes a stream that was reserved, as it is; dict is its dictionary
// without brackets and length.
func (o *objects) stream(n int, dict string, b []byte) {
	o.places[n] = o.at
	o.printf("%d 0 obj\n<< %s /Length %d >>\nstream\n", n, dict, len(b))
	o.write(b)
	o.printf("\nendstream\nendobj\n")
}

// end writes the table of objects and the trailer.
func (o *objects) end(root, info int) error {
	id, start := identifier(o.sum), o.at
	var b strings.Builder
	fmt.Fprintf(&b, "xref\n0 %d\n0000000000 65535 f \n", len(o.places))
	for _, at := range o.places[1:] {
		fmt.Fprintf(&b, "%010d 00000 n \n", at)
	}
	fmt.Fprintf(&b, "trailer\n<< /Size %d /Root %d 0 R /Info %d 0 R ", len(o.places), root, info)
	b.Write(ending(id, start))
	o.write([]byte(b.String()))
	return o.err
}

// num is a length in points, at most two digits after the point.
func num(v float64) string {
	s := strconv.FormatFloat(v, 'f', 2, 64)
	return strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
}
