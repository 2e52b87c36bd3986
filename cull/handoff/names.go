package handoff

import (
	"fmt"
	"path"
	"strings"
	"unicode"
	"unicode/utf8"

	"garner/cull"
)

// sceneFolder is the folder of one scene in a handoff: its number, so that
// folders sort as the day went, and its name where it has one.
func sceneFolder(s cull.Scene) string {
	number := fmt.Sprintf("%02d", s.ID+1)
	if s.Name == "" || s.Name == number {
		return number
	}
	return portable(short(number+" "+s.Name, maxStem))
}

// copyStem is a keeper's name in a handoff: its place in the order of the day,
// its body and its camera name, so that two bodies' pictures of one name stay
// apart and sort by time ("0412-A-IMG_0001").
func copyStem(k Keep, number string) string {
	base := path.Base(k.main().Path)
	stem := strings.TrimSuffix(base, path.Ext(base))
	prefix := number + "-"
	if k.Letter != "" {
		prefix += k.Letter + "-"
	}
	return portable(short(prefix+stem, maxStem))
}

// maxStem leaves room for a number, an extension and ".xmp" within the 255
// bytes that file systems allow.
const maxStem = 220

// short cuts a name to at most n bytes, never inside a character.
func short(name string, n int) string {
	if len(name) <= n {
		return name
	}
	for n > 0 && !utf8.RuneStart(name[n]) {
		n--
	}
	return name[:n]
}

// copyNames gives each original of a keeper its name in the handoff: the stem
// and the file's own extension, numbered where two files would be equal on a
// file system that ignores case.
func copyNames(stem string, files []cull.File) []string {
	used := map[string]bool{}
	names := make([]string, len(files))
	for i, f := range files {
		ext := portable(path.Ext(f.Path))
		name := stem + ext
		for n := 2; used[strings.ToLower(name)]; n++ {
			name = fmt.Sprintf("%s-%d%s", stem, n, ext)
		}
		used[strings.ToLower(name)] = true
		names[i] = name
	}
	return names
}

// portable makes a name that every destination takes: no control characters,
// no bytes that are not UTF-8, none of the characters that Windows and exFAT
// refuse, no blank or dot at the end, none of the reserved device names (RFC
// 8493 section 6 lists them).
func portable(name string) string {
	var b strings.Builder
	for i := 0; i < len(name); {
		r, n := utf8.DecodeRuneInString(name[i:])
		if r == utf8.RuneError && n <= 1 || unicode.IsControl(r) || unicode.In(r, unicode.Cf, unicode.Co, unicode.Zl, unicode.Zp) || strings.ContainsRune(`<>:"/\|?*`, r) {
			r = '_'
		}
		b.WriteRune(r)
		i += max(n, 1)
	}
	s := strings.TrimRight(b.String(), " .")
	stem, _, _ := strings.Cut(strings.ToUpper(s), ".")
	switch {
	case s == "" && name != "":
		return "_"
	case reserved[stem]:
		return "_" + s
	}
	return s
}

var reserved = map[string]bool{
	"CON": true, "PRN": true, "AUX": true, "NUL": true,
	"COM1": true, "COM2": true, "COM3": true, "COM4": true, "COM5": true, "COM6": true, "COM7": true, "COM8": true, "COM9": true,
	"LPT1": true, "LPT2": true, "LPT3": true, "LPT4": true, "LPT5": true, "LPT6": true, "LPT7": true, "LPT8": true, "LPT9": true,
}
