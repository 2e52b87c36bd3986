package archive

import (
	"regexp"
	"strings"
)

// fetchName is the file that says where files can be had that are not in the bag.
// garner never fetches any.
const fetchName = "fetch.txt"

var fetchLine = regexp.MustCompile(`^(\S+)[ \t]+([0-9]+|-)[ \t]+(.+)$`)

// parseFetch returns the paths that fetch.txt lists (RFC 8493 section 2.2.3).
func parseFetch(text string, v version, f *findings) map[string]bool {
	paths := map[string]bool{}
	for n, line := range lines(text) {
		if line == "" {
			continue
		}
		m := fetchLine.FindStringSubmatch(line)
		if m == nil {
			f.fault(Form, fetchName, "has in line %d no address, length and path: %s", n, quoted(line))
			continue
		}
		path := strings.TrimPrefix(unescape(m[3], v), "./")
		if !local(path) || !isPayload(path) {
			f.fault(Form, fetchName, "lists in line %d a path that is not in data/: %s", n, quoted(m[3]))
			continue
		}
		paths[path] = true
	}
	return paths
}
