package proofs

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
	"strings"
)

// opening is how every page begins; what follows it is the sum of the page, for which
// zeros stand while it is taken.
const opening = "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\"/>\n<meta name=\"generator\" content=\"garner sha256 "

var noSum = strings.Repeat("0", 2*sha256.Size)

// sign puts the sum of a page into it.
func sign(page []byte) []byte {
	sum := sha256.Sum256(page)
	hex.Encode(page[len(opening):], sum[:])
	return page
}

// Made reports whether a file is a page or contact sheets of this package, as it wrote
// them: both hold a sum of themselves (sheets: of all before their table of objects). Who
// replaces nothing else destroys nothing that somebody wrote or changed. The error is that of r.
func Made(r io.ReaderAt, size int64) (bool, error) {
	const most = 200 // a trailer has fewer bytes
	head, tail := make([]byte, min(size, int64(len(opening)+len(noSum)))), make([]byte, min(size, most))
	if _, err := r.ReadAt(head, 0); err != nil && !errors.Is(err, io.EOF) {
		return false, err
	}
	if _, err := r.ReadAt(tail, size-int64(len(tail))); err != nil && !errors.Is(err, io.EOF) {
		return false, err
	}
	h := sha256.New()
	if sum, ok := bytes.CutPrefix(head, []byte(opening)); ok && len(sum) == len(noSum) {
		io.WriteString(h, opening+noSum)
		_, err := io.Copy(h, io.NewSectionReader(r, int64(len(head)), size-int64(len(head))))
		return hex.EncodeToString(h.Sum(nil)) == string(sum), err
	}
	var start int64
	at := bytes.LastIndex(tail, []byte(startMark))
	if at < 0 {
		return false, nil
	}
	if _, err := fmt.Sscanf(string(tail[at+len(startMark):]), "%d\n", &start); err != nil || start < 0 || start > size {
		return false, nil
	}
	_, err := io.Copy(h, io.NewSectionReader(r, 0, start))
	return bytes.HasSuffix(tail, ending(identifier(h), start)), err
}

const startMark = "startxref\n"

// identifier is that of a file whose objects have the sum h.
func identifier(h hash.Hash) string { return fmt.Sprintf("%X", h.Sum(nil)[:16]) }

// ending is the end of a file whose table of objects begins at start.
func ending(id string, start int64) []byte {
	return fmt.Appendf(nil, "/ID [<%s> <%[1]s>] >>\n%s%d\n%%%%EOF\n", id, startMark, start)
}
