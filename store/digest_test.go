package store

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"io"
	"strings"
	"testing"
	"testing/iotest"
)

// Example values of FIPS 180-4 (NIST, "Secure Hash Standard", SHA-256 examples).
var fips = []struct{ in, want string }{
	{"", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"},
	{"abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"},
	{"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq", "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1"},
	{strings.Repeat("a", 1_000_000), "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0"},
}

func TestDigestVectors(t *testing.T) {
	for _, c := range fips {
		d := NewDigest()
		if _, err := io.Copy(d, iotest.HalfReader(strings.NewReader(c.in))); err != nil {
			t.Fatal(err)
		}
		if got := Hex(d.Sum()); got != c.want {
			t.Errorf("%d bytes: %s, want %s", len(c.in), got, c.want)
		}
		if d.Size() != int64(len(c.in)) {
			t.Errorf("size %d, want %d", d.Size(), len(c.in))
		}
		back, err := ParseHex(strings.ToUpper(c.want))
		if err != nil || back != d.Sum() {
			t.Errorf("reading %s back: %x, %v", c.want, back, err)
		}
	}
}

func TestEndHashes(t *testing.T) {
	long := make([]byte, 5*EndLen+17)
	for i := range long {
		long[i] = byte(i * 7 >> 3)
	}
	for _, n := range []int{0, 1, EndLen - 1, EndLen, EndLen + 1, 2 * EndLen, 2*EndLen + 1, len(long)} {
		b := long[:n]
		head, err := HeadHash(bytes.NewReader(b), int64(n))
		if err != nil || head != sha256.Sum256(b[:min(n, EndLen)]) {
			t.Errorf("head of %d bytes: %x, %v", n, head, err)
		}
		ends := b
		if n > 2*EndLen {
			ends = append(append([]byte{}, b[:EndLen]...), b[n-EndLen:]...)
		}
		got, err := EndsHash(bytes.NewReader(b), int64(n))
		if err != nil || got != sha256.Sum256(ends) {
			t.Errorf("ends of %d bytes: %x, %v", n, got, err)
		}
	}
}

func TestEndHashesOfShortFiles(t *testing.T) {
	zero := [32]byte{}
	for _, f := range []func(io.ReaderAt, int64) ([32]byte, error){HeadHash, EndsHash} {
		if sum, err := f(strings.NewReader("short"), 6); !errors.Is(err, ErrCutShort) || sum != zero {
			t.Errorf("a file one byte short gave %x, %v", sum, err)
		}
		if sum, err := f(strings.NewReader("short"), -1); err == nil || sum != zero {
			t.Errorf("a negative size gave %x, %v", sum, err)
		}
	}
}

// FuzzParseHex holds: on error the digest is nil; otherwise printing gives the
// input in lower case.
func FuzzParseHex(f *testing.F) {
	f.Add("")
	f.Add(fips[1].want)
	f.Add(strings.ToUpper(fips[1].want))
	f.Add(strings.Repeat("g", 64))
	f.Add(strings.Repeat("é", 32))
	f.Fuzz(func(t *testing.T, s string) {
		sum, err := ParseHex(s)
		if err != nil {
			if sum != ([32]byte{}) {
				t.Errorf("error and digest for %q", s)
			}
			return
		}
		if Hex(sum) != strings.ToLower(s) {
			t.Errorf("%q became %s", s, Hex(sum))
		}
	})
}
