package plan

import (
	"path"
	"strings"
	"unicode"
	"unicode/utf8"
)

// maxElement is the longest name in bytes that every file system takes: ext4 and
// most others of Unix count 255 bytes, exFAT, NTFS and APFS 255 characters or
// UTF-16 units, of which there are never more than bytes.
const maxElement = 255

// maxExt is the longest extension in bytes that is kept when a name is shortened.
const maxExt = 32

// refused are the characters that Windows and exFAT take in no name (Microsoft,
// Naming Files, Paths, and Namespaces; exFAT specification, table 35), and the
// separator of everybody else.
const refused = `<>:"|?*\/`

// Portable is a name, one element of a path, as every file system takes it, and
// whether anything had to be changed. It says nothing of other names: two that
// differ may become equal.
func Portable(element string) (string, bool) {
	name := element
	if !plain(name) {
		name = takenCharacters(name)
	}
	name = shortened(name)
	name = endReplaced(name)
	if reservedDevice(name) {
		stem, rest := name, ""
		if i := strings.IndexByte(name, '.'); i >= 0 {
			stem, rest = name[:i], name[i:]
		}
		name = endReplaced(shortened(stem + "_" + rest))
	}
	return name, name != element
}

// plain reports a name of unsuspicious ASCII, which is what cameras write.
func plain(name string) bool {
	for i := range len(name) {
		if c := name[i]; c < ' ' || c >= 0x7f || strings.IndexByte(refused, c) >= 0 {
			return false
		}
	}
	return name != ""
}

func takenCharacters(name string) string {
	var b strings.Builder
	for i := 0; i < len(name); {
		r, n := utf8.DecodeRuneInString(name[i:])
		if r == utf8.RuneError && n == 1 || unicode.IsControl(r) || strings.ContainsRune(refused, r) {
			r = '_'
		}
		b.WriteRune(r)
		i += n
	}
	if b.Len() == 0 {
		return "_"
	}
	return b.String()
}

// endReplaced writes the dots and blanks at the end, which Windows drops, as
// underscores: dropped they would make another name equal.
func endReplaced(name string) string {
	kept := strings.TrimRight(name, ". ")
	return kept + strings.Repeat("_", len(name)-len(kept))
}

// shortened cuts a name that is too long, before its extension and never inside
// a character.
func shortened(name string) string {
	if len(name) <= maxElement {
		return name
	}
	ext := path.Ext(name)
	if len(ext) > maxExt {
		ext = ""
	}
	n := maxElement - len(ext)
	for n > 0 && !utf8.RuneStart(name[n]) {
		n--
	}
	return name[:n] + ext
}

// reservedDevice reports a name that means a device on Windows, whatever its
// extension (Microsoft, Naming Files, Paths, and Namespaces).
func reservedDevice(name string) bool {
	stem, _, _ := strings.Cut(name, ".")
	stem = strings.ToUpper(strings.TrimRight(stem, " "))
	switch stem {
	case "CON", "PRN", "AUX", "NUL", "CONIN$", "CONOUT$":
		return true
	}
	number, port := strings.CutPrefix(stem, "COM")
	if !port {
		number, port = strings.CutPrefix(stem, "LPT")
	}
	return port && (len(number) == 1 && number[0] >= '0' && number[0] <= '9' || number == "¹" || number == "²" || number == "³")
}

// portablePath makes each element of a path portable.
func portablePath(p string) (string, bool) {
	if p == "" {
		return "", false
	}
	elements := strings.Split(p, "/")
	changed := false
	for i, e := range elements {
		name, c := Portable(e)
		elements[i], changed = name, changed || c
	}
	if !changed {
		return p, false
	}
	return strings.Join(elements, "/"), true
}
