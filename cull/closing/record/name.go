package record

import (
	"encoding/base64"
	"fmt"
	"path"
	"strings"
	"unicode/utf8"
)

// text gives a name as JSON can carry it, and its bytes in base64 where it cannot.
func text(name string) (s, raw string) {
	if utf8.ValidString(name) {
		return name, ""
	}
	return strings.ToValidUTF8(name, "\uFFFD"), base64.StdEncoding.EncodeToString([]byte(name))
}

// name is the opposite of text.
func name(s, raw string) (string, error) {
	if raw == "" {
		return s, nil
	}
	b, err := base64.StdEncoding.DecodeString(raw)
	return string(b), err
}

// maxPath is how many bytes a path has at most; systems take no more.
const maxPath = 4096

// local reports whether a path stays below the folder that it is relative to, on every
// system.
func local(p string) bool {
	if len(p) > maxPath || p == "" || p == "." || path.Clean(p) != p || path.IsAbs(p) || strings.HasPrefix(p, "~") || strings.ContainsAny(p, "\\\x00") {
		return false
	}
	if p == ".." || strings.HasPrefix(p, "../") {
		return false
	}
	return len(p) < 2 || p[1] != ':'
}

// jobPath is a path in the job as text and raw say it.
func jobPath(s, raw string) (string, error) {
	p, err := name(s, raw)
	if err == nil && !local(p) {
		err = fmt.Errorf("%.100q is no path in a job", p)
	}
	return p, err
}
