package job

import (
	"strings"

	"garner/store"
)

// The names in a state folder that other packages give.
var stateNames = map[string]bool{
	journalName: true, manifestName: true, ownerName: true, cacheName: true,
	"archive.lock":        true, // cull/closing
	"offload":             true, // cull/intake
	"opening.txt":         true, // cull/closing/reopen
	"render.lock":         true, // cull/output
	"sets-seen.jsonl":     true, // cull/output
	"sidecars-sha256.txt": true, // cull/intake
}

// OwnState reports whether a name in a state folder is one that garner gives there, to what
// it can do without when the job is archived. Anything else in such a folder is somebody's,
// also a journal of another copy that was kept aside.
func OwnState(name string) bool {
	for _, db := range []string{catalogName, PeopleName} { // with locks, and what was set aside
		if name == db || strings.HasPrefix(name, db+".") {
			return true
		}
	}
	return stateNames[name] || store.IsPartial(name)
}
