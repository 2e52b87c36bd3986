package archive

import (
	"encoding/hex"
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"garner/store"
	"garner/store/vfs"
)

// growingName is the tag file that stands in a bag while it grows.
const growingName = "growing.txt"

// growingText is its first line, for whoever finds it.
const growingText = "Files are being added to this bag, or that was interrupted. Archiving the job again completes it."

// growing is what growing.txt says. Before the first payload file is written it
// lists all that are going to be; once they are whole, and before the first
// manifest is exchanged, it gives their checksums, and those of the tag files as
// they are going to be.
type growing struct {
	there  bool
	adding map[string]bool   // payload that may lie in data/ in any state
	listed map[string]sums   // payload that is whole, and that the manifests are going to list
	tags   map[string][]sums // what tag files may be, beside what the tag manifests say
}

// format writes it, sorted.
func (g growing) format() []byte {
	var all []string
	for path := range g.adding {
		all = append(all, "adding "+escaper.Replace(path))
	}
	line := func(path string, s sums) {
		all = append(all, fmt.Sprintf("listing %x %x %s", s.s256, s.s512, escaper.Replace(path)))
	}
	for path, s := range g.listed {
		line(path, s)
	}
	for path, list := range g.tags {
		for _, s := range list {
			line(path, s)
		}
	}
	slices.Sort(all)
	return []byte(growingText + "\n" + strings.Join(slices.Compact(all), "\n") + "\n")
}

var errGrowing = errors.New("is not as garner wrote it")

// parseGrowing reads what format wrote; it is replaced whole, so anything else was
// made by somebody else, and nothing that it says is done.
func parseGrowing(b []byte) (growing, error) {
	g := growing{there: true, adding: map[string]bool{}, listed: map[string]sums{}, tags: map[string][]sums{}}
	for n, line := range lines(string(b)) {
		if n == 1 && line != growingText {
			return growing{}, errGrowing
		}
		if n == 1 || line == "" {
			continue
		}
		word, rest, _ := strings.Cut(line, " ")
		var s sums
		if word == "listing" {
			d256, more, _ := strings.Cut(rest, " ")
			d512, path, _ := strings.Cut(more, " ")
			if !digits(s.s256[:], d256) || !digits(s.s512[:], d512) {
				return growing{}, errGrowing
			}
			rest = path
		}
		path := unescaper.Replace(rest)
		switch {
		case !local(path) || !utf8.ValidString(path):
			return growing{}, errGrowing
		case word == "adding" && isPayload(path):
			g.adding[path] = true
		case word == "listing" && isPayload(path):
			g.listed[path] = s
		case word == "listing":
			g.tags[path] = append(g.tags[path], s)
		default:
			return growing{}, errGrowing
		}
	}
	if len(b) == 0 {
		return growing{}, errGrowing
	}
	return g, nil
}

// digits reads exactly as many hexadecimal digits as fill sum.
func digits(sum []byte, s string) bool {
	if len(s) != 2*len(sum) {
		return false
	}
	_, err := hex.Decode(sum, []byte(s))
	return err == nil
}

// readGrowing looks whether a bag is growing.
func readGrowing(fsys vfs.FS, dir string) (growing, error) {
	path := join(dir, growingName)
	b, err := readTag(fsys, path, 2*maxList)
	if missing(err) {
		return growing{}, nil
	}
	if err != nil {
		return growing{}, err
	}
	g, err := parseGrowing(b)
	return g, store.Wrap("read", path, err)
}

// explains reports whether a tag file with that SHA-256 is one that growing makes.
func (g growing) explains(path string, sum [32]byte) bool {
	return slices.ContainsFunc(g.tags[path], func(s sums) bool { return s.s256 == sum })
}

// knows reports whether growing accounts for a payload file that no manifest lists,
// or not every one.
func (g growing) knows(path string) bool {
	_, whole := g.listed[path]
	return whole || g.adding[path]
}
