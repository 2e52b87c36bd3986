package archive

import (
	"errors"
	"path/filepath"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// payload is the folder that holds what the bag is for.
const payload = "data/"

// local reports whether a path of a manifest stays in the bag: RFC 8493 section 5
// warns of "..", of absolute paths, of "~", of drives.
func local(path string) bool {
	if strings.HasPrefix(path, "~") || strings.ContainsRune(path, 0) {
		return false
	}
	for part := range strings.SplitSeq(path, "/") {
		if part == "" || part == "." || part == ".." {
			return false
		}
	}
	return filepath.IsLocal(filepath.FromSlash(path)) // knows drives and devices, where there are any
}

// isTagManifest reports whether a path is that of a list of tag files: those list
// themselves nowhere.
func isTagManifest(path string) bool { return strings.HasPrefix(path, "tagmanifest-") }

// isPayload reports whether a path is that of a payload file.
func isPayload(path string) bool { return strings.HasPrefix(path, payload) }

// escaper is how manifests write the characters that would end a line, and the one
// that begins an escape (RFC 8493 section 2.1.3). Everything else stands for itself.
var (
	escaper    = strings.NewReplacer("%", "%25", "\n", "%0A", "\r", "%0D")
	unescaper  = strings.NewReplacer("%25", "%", "%0A", "\n", "%0a", "\n", "%0D", "\r", "%0d", "\r")
	unescaper0 = strings.NewReplacer("%0A", "\n", "%0a", "\n", "%0D", "\r", "%0d", "\r")
)

// unescape reads a path as a version writes it: before 1.0 a percent sign stood for
// itself.
func unescape(path string, v version) string {
	if v.strict() {
		return unescaper.Replace(path)
	}
	return unescaper0.Replace(path)
}

// fold returns what two names have in common that some systems take for one: the
// same letters but for case or Unicode's normal form (RFC 8493 section 6).
func fold(path string) string { return strings.ToLower(norm.NFC.String(path)) }

var errPlain = errors.New("this name can't stand in a bag of garner: other programs would write it in another way")

// plain refuses names that BagIt, sha256sum and systems write in different ways.
func plain(path string) error {
	if !utf8.ValidString(path) || strings.ContainsAny(path, `%\`) || strings.ContainsFunc(path, unicode.IsControl) || !local(path) {
		return errPlain
	}
	return nil
}

// litter are files that systems put into every folder that somebody looks at.
func litter(path string) bool {
	switch strings.ToLower(base(path)) {
	case ".ds_store", "thumbs.db", "desktop.ini":
		return true
	}
	return false
}

// base is the last part of a path in a bag.
func base(path string) string { return path[strings.LastIndexByte(path, '/')+1:] }
