package output

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"garner/cull"
	"garner/preview/finished"
)

// This file reads names back from the files of a set: what a killed program did not
// come to note, and all of it where the ledger is lost. A file says in its XMP which
// document it is, and that is a sum of the picture and the set (imprint.Chain).

// folder is what lies in a set's folder.
type folder struct {
	dir   string
	sizes map[string]int64  // of the files, by name
	times map[string]int64  // when they were changed, in nanoseconds since 1970
	ids   map[string]string // name of the file of a document, of files that nothing is noted of
	names map[string]string // of all there is, also folders and links, by their folded names
}

// look lists a set's folder and reads those of its files that noted does not know.
func look(dir string, noted taken) folder {
	f := folder{dir, map[string]int64{}, map[string]int64{}, map[string]string{}, map[string]string{}}
	entries, err := os.ReadDir(dir)
	if err != nil {
		return f // it is made before the first file, and what is wrong is said then
	}
	for _, e := range entries {
		f.names[fold(e.Name())] = e.Name()
		if !e.Type().IsRegular() {
			continue
		}
		info, err := e.Info()
		if err != nil {
			continue
		}
		f.sizes[e.Name()], f.times[e.Name()] = info.Size(), info.ModTime().UnixNano()
		if noted[fold(e.Name())] == 0 && filepath.Ext(e.Name()) == extension && cull.PortableName(e.Name()) == e.Name() {
			if id := documentOf(filepath.Join(dir, e.Name()), info.Size()); id != "" {
				if _, twice := f.ids[id]; !twice {
					f.ids[id] = e.Name()
				}
			}
		}
	}
	return f
}

// name is what the folder calls a file of ours: some file systems give names back in
// another normal form, or in the letters of who wrote them first.
func (f folder) name(file string) string {
	if _, ok := f.sizes[file]; ok {
		return file
	}
	return f.names[fold(file)]
}

// strange reports whether something has a name that is not the file of that document.
func (f folder) strange(file, document string) bool {
	there, ok := f.names[fold(file)]
	return ok && f.ids[document] != there
}

func documentOf(path string, size int64) string {
	f, err := os.Open(path)
	if err != nil {
		return ""
	}
	defer f.Close()
	p, err := finished.Open(f, size)
	if err != nil {
		return ""
	}
	return p.Meta.DocumentID
}

// numberIn finds the number of a picture in the name of one of its files, where the
// pattern has put it; 0 = it has none.
func numberIn(file, pattern string, stemOf func(number int) string) int {
	if !strings.Contains(pattern, "{number}") {
		return 0
	}
	base := strings.TrimSuffix(file, extension)
	for i := 0; i < len(base); i++ {
		if !digit(base[i]) || i > 0 && digit(base[i-1]) {
			continue
		}
		n, err := strconv.Atoi(base[i:][:digits(base[i:])])
		if err != nil || n < 1 || n > maxPictures {
			continue
		}
		if s := stemOf(n); base == s || strings.HasPrefix(base, s+"-") {
			return n
		}
	}
	return 0
}
