package closing

import (
	"fmt"
	"path"
	"strings"

	"garner/cull/job"
	"garner/cull/output"
)

// alone lists the files of sets that are left out and that render could not cut again:
// it did not make them, or the pictures that they were cut from are gone.
func alone(root string, f folder) ([]string, error) {
	given, err := output.AllGiven(root)
	if err != nil {
		return nil, err
	}
	have, again := map[string]bool{}, map[string]bool{}
	for _, x := range f.files {
		have[x.path] = true
	}
	for picture, g := range given {
		for _, s := range g.Files {
			again[path.Join(output.SetsFolder, s.Set, s.File)] = have[path.Join(output.FinishedFolder, picture)]
		}
	}
	var list []string
	for _, x := range f.sets {
		if !again[x.path] && !page(x.path) {
			list = append(list, x.path)
		}
	}
	return list, nil
}

// page reports whether a file is one of the pages of proofs, which are made of the
// pictures beside them.
func page(p string) bool {
	dir, name := path.Split(p)
	return dir == output.SetsFolder+"/"+job.ProofsSet+"/" && (name == "index.html" || strings.HasPrefix(name, "contact-") && strings.HasSuffix(name, ".pdf"))
}

func aloneText(list []string) string {
	return fmt.Sprintf("%s of sets that could not be cut again, and that no bag has (--sets takes them along): %s", count(len(list), "file"), list[0])
}
