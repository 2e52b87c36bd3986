package handoff

import (
	"fmt"
	"path"
	"strings"
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
	base := path.Base(k.main().Original())
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

// portable is cull.PortableName.
func portable(name string) string { return cull.PortableName(name) }
