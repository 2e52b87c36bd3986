package archive

import (
	"encoding/hex"
	"regexp"
	"slices"
	"strings"
)

// manifest is one list of checksums.
type manifest struct {
	file      string            // manifest-sha256.txt
	algorithm string            // sha256
	sums      map[string]string // path: digest, as bytes
}

var manifestName = regexp.MustCompile(`^(tag)?manifest-([A-Za-z0-9-]+)\.txt$`)

// isManifest takes the name of a manifest apart.
func isManifest(name string) (algorithm string, tags, ok bool) {
	m := manifestName.FindStringSubmatch(name)
	if m == nil {
		return "", false, false
	}
	return strings.ToLower(m[2]), m[1] != "", true
}

// parseManifest reads a manifest of the payload, or of tag files (RFC 8493
// sections 2.1.3, 2.2.1). Lines that can't be believed are found faulty, and give
// nothing.
func parseManifest(text, file, algorithm string, v version, f *findings) map[string]string {
	size := algorithms[algorithm]().Size()
	tags := strings.HasPrefix(file, "tag")
	list := map[string]string{}
	for n, line := range lines(text) {
		if line == "" {
			continue
		}
		digits, path, ok := cutBlank(line)
		sum, err := hex.DecodeString(digits)
		if !ok || err != nil || len(sum) != size {
			f.fault(Form, file, "has in line %d no %s and path: %s", n, algorithm, quoted(line))
			continue
		}
		written := path
		path = unescape(path, v)
		if path, ok = strings.CutPrefix(path, "*"); ok {
			f.warn(Form, file, "has an asterisk before a path, as %ssum writes", algorithm)
		}
		if dotted := strings.HasPrefix(path, "./"); dotted {
			path = path[2:]
			f.warn(Form, file, `has "./" before a path`)
		}
		switch {
		case !local(path):
			f.fault(Form, file, "lists in line %d a path that leads out of the bag: %s", n, quoted(written))
			continue
		case !tags && !isPayload(path):
			f.fault(Form, file, "lists in line %d a file that is not in data/: %s", n, quoted(written))
			continue
		case tags && (isPayload(path) || isTagManifest(path)):
			f.since(v, file, "lists %s, which is not for it", quoted(path))
			if isPayload(path) {
				continue
			}
		}
		if old, twice := list[path]; twice && old != string(sum) {
			f.fault(Form, file, "gives two checksums to %s", quoted(path))
		} else if twice {
			f.since(v, file, "lists %s twice", quoted(path))
		}
		list[path] = string(sum)
	}
	return list
}

// cutBlank parts a line at its first blanks or tabs.
func cutBlank(line string) (before, after string, ok bool) {
	i := strings.IndexAny(line, " \t")
	if i < 0 {
		return line, "", false
	}
	after = strings.TrimLeft(line[i:], " \t")
	return line[:i], after, after != ""
}

// formatManifest writes the list sorted by path, so that equal contents are equal
// bytes, in the form that sha256sum -c and its like read too.
func formatManifest(list map[string]string) []byte {
	paths := make([]string, 0, len(list))
	size := 0
	for path, sum := range list {
		paths = append(paths, path)
		size += len(path) + 2*len(sum) + 3
	}
	slices.Sort(paths)
	b := make([]byte, 0, size)
	for _, path := range paths {
		b = hex.AppendEncode(b, []byte(list[path]))
		b = append(b, "  "...)
		b = append(b, escaper.Replace(path)...)
		b = append(b, '\n')
	}
	return b
}
