package job

import (
	"strings"

	"garner/cull"
	"garner/store/catalog"
)

// A person may also say by hand which frames are what must_have asks for:
//
//	correct has "Rings" #0123456789abcdef …
//
// Of several lines for one name the last counts; without a frame it takes back what
// was said.

// Has is the entry that says that frames are what must_have calls by a name.
func Has(name string, frames ...cull.ID) cull.Entry {
	args := []string{cull.CorrectHas, name}
	for _, id := range frames {
		args = append(args, "#"+string(id))
	}
	return cull.Entry{Verb: cull.VerbCorrect, Args: args}
}

// IsHas reports whether an entry is one of [Has].
func IsHas(e cull.Entry) bool {
	return e.Verb == cull.VerbCorrect && len(e.Args) >= 2 && e.Args[0] == cull.CorrectHas
}

// Has returns the frames that were said by hand to be what must_have asks for, by
// its name in lower case.
func (j *Job) Has() (map[string][]cull.ID, error) {
	has := map[string][]cull.ID{}
	err := j.db.View(func(tx *catalog.Tx) error {
		entries, err := correctionsOf(tx)
		if err != nil {
			return err
		}
		for _, e := range entries {
			if !IsHas(e) {
				continue
			}
			var ids []cull.ID
			for _, a := range e.Args[2:] {
				former, ok := strings.CutPrefix(a, "#")
				if !ok {
					continue // of a later version
				}
				id, err := present(tx, cull.ID(former))
				if err != nil {
					return err
				}
				ids = append(ids, cull.ID(id))
			}
			name := strings.ToLower(e.Args[1])
			if delete(has, name); len(ids) > 0 {
				has[name] = ids
			}
		}
		return nil
	})
	return has, err
}
