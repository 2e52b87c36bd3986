package archive

import (
	"regexp"
	"strings"
)

// declarationName is the file that makes a folder a bag.
const declarationName = "bagit.txt"

// declarationText is bagit.txt of the bags that Grow makes.
const declarationText = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"

// version is a version of BagIt.
type version string

// strict reports whether the rules are those of RFC 8493.
func (v version) strict() bool { return v == "1.0" }

// known are the versions that there are rules for.
var known = map[version]bool{"0.93": true, "0.94": true, "0.95": true, "0.96": true, "0.97": true, "1.0": true}

// declaration is what bagit.txt says.
type declaration struct {
	version  version
	encoding string
}

var declarationLine = regexp.MustCompile(`(?i)^\s*(BagIt-Version|Tag-File-Character-Encoding)\s*:\s*(.*?)\s*$`)

// parseDeclaration reads bagit.txt (RFC 8493 section 2.1.1). What it does not say
// is taken as in a bag of today, so that the payload can be looked at all the same.
func parseDeclaration(b []byte, f *findings) declaration {
	d := declaration{version: "1.0", encoding: "UTF-8"}
	text, marked := strings.CutPrefix(string(b), bom)
	if marked {
		f.fault(Form, declarationName, "begins with a byte-order mark")
	}
	labels := [...]string{"BagIt-Version", "Tag-File-Character-Encoding"}
	loose, n, seen := 0, 0, [len(labels)]bool{}
	for at, line := range lines(text) {
		n = at
		m := declarationLine.FindStringSubmatch(line)
		if m == nil || at > len(labels) || !strings.EqualFold(m[1], labels[at-1]) {
			if strings.TrimSpace(line) != "" || at <= len(labels) {
				f.fault(Form, declarationName, "says %s in line %d", quoted(line), at)
			}
			continue
		}
		seen[at-1] = true
		if at == 1 {
			d.version = version(m[2])
		} else {
			d.encoding = m[2]
		}
		if loose == 0 && line != labels[at-1]+": "+m[2] {
			loose = at
		}
	}
	for i, ok := range seen {
		if !ok && n <= i {
			f.fault(Form, declarationName, "does not say %s", labels[i])
		}
	}
	if seen[0] && !known[d.version] {
		f.fault(Form, declarationName, "is of BagIt version %s, which garner does not know", quoted(string(d.version)))
		d.version = "1.0"
	}
	if loose > 0 {
		f.since(d.version, declarationName, "has blanks in line %d where none may be, or other letters", loose)
	}
	return d
}
