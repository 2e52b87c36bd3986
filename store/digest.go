package store

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"hash"
	"io"
)

// EndLen is how much of an end of a file [HeadHash] and [EndsHash] read, in bytes.
const EndLen = 64 << 10

// Digest is SHA-256 (FIPS 180-4) of what is written to it, with a count. Use
// [NewDigest].
type Digest struct {
	h hash.Hash
	n int64
}

// NewDigest returns a digest of nothing yet.
func NewDigest() *Digest { return &Digest{h: sha256.New()} }

// Write adds p. It never fails.
func (d *Digest) Write(p []byte) (int, error) {
	d.n += int64(len(p))
	return d.h.Write(p)
}

// Sum returns the digest of everything written so far; writing may go on.
func (d *Digest) Sum() (sum [32]byte) {
	d.h.Sum(sum[:0])
	return sum
}

// Size returns how many bytes were written.
func (d *Digest) Size() int64 { return d.n }

// Hex returns a digest as 64 lower-case hexadecimal digits, as sha256sum(1) does.
func Hex(sum [32]byte) string { return hex.EncodeToString(sum[:]) }

// ParseHex reads 64 hexadecimal digits of either case.
func ParseHex(s string) (sum [32]byte, err error) {
	if len(s) != 64 {
		return sum, fmt.Errorf("a SHA-256 digest has 64 hexadecimal digits, not %d", len(s))
	}
	var b [32]byte
	if _, err := hex.Decode(b[:], []byte(s)); err != nil {
		return sum, fmt.Errorf("not a SHA-256 digest: %w", err)
	}
	return b, nil
}

// HeadHash returns SHA-256 of the first [EndLen] bytes of a file of the given
// size, or of all of it when it is shorter. Together with the size it tells
// camera files apart at the price of one read; it proves nothing about the rest.
func HeadHash(r io.ReaderAt, size int64) ([32]byte, error) {
	d := NewDigest()
	err := section(d, r, 0, min(size, EndLen))
	return result(d, err)
}

// EndsHash returns SHA-256 of the first [EndLen] bytes followed by the last
// EndLen ones. Where the two would overlap it is the digest of the whole file.
// It finds out what [HeadHash] can't: a file whose end was never written.
func EndsHash(r io.ReaderAt, size int64) ([32]byte, error) {
	d := NewDigest()
	if size <= 2*EndLen {
		return result(d, section(d, r, 0, size))
	}
	err := section(d, r, 0, EndLen)
	if err == nil {
		err = section(d, r, size-EndLen, EndLen)
	}
	return result(d, err)
}

// section feeds n bytes from off to d; fewer are an error.
func section(d *Digest, r io.ReaderAt, off, n int64) error {
	if n < 0 {
		return fmt.Errorf("a file can't have a negative size")
	}
	got, err := io.Copy(d, io.NewSectionReader(r, off, n))
	if err == nil && got < n {
		return ErrCutShort
	}
	return err
}

// result gives no digest beside an error.
func result(d *Digest, err error) (sum [32]byte, _ error) {
	if err != nil {
		return sum, err
	}
	return d.Sum(), nil
}
