package closing

import (
	"fmt"
	"path"
	"strings"
	"unicode/utf8"

	"garner/cull"
	"garner/cull/intake/plan"
)

// maxName is how many bytes a name in a bag has at most: systems take 255, and the
// small picture of a file has four more than the file.
const maxName = 240

// portable is a name in a bag that every system takes and every checksum tool writes
// as it is.
func portable(name string) string {
	name = strings.ReplaceAll(cull.PortableName(name), "%", "_")
	if len(name) <= maxName {
		return name
	}
	ext := path.Ext(name)
	if len(ext) > 16 {
		ext = ""
	}
	stem := name[:maxName-len(ext)]
	for !utf8.ValidString(stem) {
		stem = stem[:len(stem)-1]
	}
	return stem + ext
}

// names gives the files of a job their names in the bag: the path that they have in
// the job, where every system takes it, and tells it from the others.
type names struct {
	given map[string]string // file of the job → name in the bag
	dirs  map[string]string // folder of the job → folder in the bag
	owner map[string]string // folded name in the bag → the path in the job that has it, "" = of an earlier run
	exact map[string]string // folded name in the bag → as it is written there
}

func newNames() *names {
	return &names{given: map[string]string{}, dirs: map[string]string{"": ""}, owner: map[string]string{}, exact: map[string]string{}}
}

// had takes in a path that a bag has already, and the folders above it. It is free
// only for what is written the same way.
func (n *names) had(p string) {
	for ; p != "." && p != ""; p = path.Dir(p) {
		key := plan.Fold(p)
		if _, ok := n.exact[key]; ok {
			return
		}
		n.exact[key] = p
	}
}

// sticky gives a file and its folders the names that they had in an earlier record.
func (n *names) sticky(file, bag string) {
	if _, ok := n.given[file]; ok || !n.claim(file, bag) {
		return
	}
	n.given[file] = bag
	for file != "." && bag != "." && n.claim(file, bag) {
		up, upBag := path.Dir(file), path.Dir(bag)
		if up != "." && upBag != "." {
			if was, ok := n.dirs[up]; ok && was != upBag {
				return
			}
			n.dirs[up] = upBag
		}
		file, bag = up, upBag
	}
}

// claim reports whether a name in the bag is the file's, and makes it so if it is
// nobody's.
func (n *names) claim(file, bag string) bool {
	key := plan.Fold(bag)
	if owner, ok := n.owner[key]; ok && owner != file {
		return false
	}
	if was, ok := n.exact[key]; ok && was != bag {
		return false
	}
	n.owner[key], n.exact[key] = file, bag
	return true
}

// of is the name of a file in the bag, below the folder of the job's files.
func (n *names) of(file string) string {
	if name, ok := n.given[file]; ok {
		return name
	}
	dir, base := path.Split(file)
	name := n.free(file, n.dir(strings.TrimSuffix(dir, "/")), portable(base))
	n.given[file] = name
	return name
}

// dir is the name of a folder.
func (n *names) dir(dir string) string {
	if name, ok := n.dirs[dir]; ok {
		return name
	}
	up, base := path.Split(dir)
	name := n.free(dir, n.dir(strings.TrimSuffix(up, "/")), portable(base))
	n.dirs[dir] = name
	return name
}

// free is the first name that is the file's or nobody's.
func (n *names) free(file, dir, base string) string {
	ext := path.Ext(base)
	stem := strings.TrimSuffix(base, ext)
	if stem == "" {
		stem, ext = base, ""
	}
	for k := 2; ; k++ {
		if name := path.Join(dir, base); n.claim(file, name) {
			return name
		}
		base = fmt.Sprintf("%s-%d%s", stem, k, ext)
	}
}
