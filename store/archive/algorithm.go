package archive

import (
	"crypto/md5"
	"crypto/sha1"
	"crypto/sha256"
	"crypto/sha512"
	"hash"
)

// algorithms by the names that stand in those of manifests (RFC 8493 section 2.4).
// New bags have SHA-256 and SHA-512; the others are for bags of old.
var algorithms = map[string]func() hash.Hash{
	"md5":    md5.New,
	"sha1":   sha1.New,
	"sha224": sha256.New224,
	"sha256": sha256.New,
	"sha384": sha512.New384,
	"sha512": sha512.New,
}

// ours are the algorithms of the bags that [Grow] makes, in the order in which
// their manifests are exchanged.
var ours = [...]string{"sha256", "sha512"}

// sums are the digests of a file by those two.
type sums struct {
	s256 [sha256.Size]byte
	s512 [sha512.Size]byte
}

func sumsOf(b []byte) sums { return sums{sha256.Sum256(b), sha512.Sum512(b)} }

// of returns the digest by an algorithm of ours.
func (s sums) of(algorithm string) string {
	if algorithm == "sha256" {
		return string(s.s256[:])
	}
	return string(s.s512[:])
}

// set puts a digest by one of them in its place.
func (s *sums) set(algorithm, digest string) {
	if algorithm == "sha256" {
		copy(s.s256[:], digest)
	} else {
		copy(s.s512[:], digest)
	}
}
