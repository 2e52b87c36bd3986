package main

import (
	"fmt"

	"garner/cull"
	"garner/cull/closing"
)

type jsonBag struct {
	Path   string  `json:"path"`
	Raw    string  `json:"raw,omitempty"`
	There  bool    `json:"there"`  // can be reached now, and has all its files
	Proven bool    `json:"proven"` // was read back when the job was archived last
	Why    *string `json:"why"`
}

// jsonArchived is how it stands with the bags of a job; null = there is none.
type jsonArchived struct {
	At      *string   `json:"at"` // UTC; null = it is not known any more
	Record  *int      `json:"record"`
	Bags    []jsonBag `json:"bags"`
	Small   int       `json:"small_pictures"` // originals in the folder of which the bags hold small pictures
	Files   int       `json:"new_files"`      // that are new or changed since
	Touched int       `json:"touched_files"`  // that somebody may have written to, as long and as old as they were
	Entries int       `json:"new_entries"`    // of the journal
	Safe    bool      `json:"safe_to_delete"`
	Why     []string  `json:"why"`
}

func archivedObject(s closing.Standing) *jsonArchived {
	if len(s.Bags) == 0 {
		return nil
	}
	o := &jsonArchived{Record: known(s.Run), Bags: []jsonBag{}, Small: s.Small, Files: s.Changed, Touched: s.Touched, Entries: s.Entries, Safe: s.Safe, Why: orEmpty(s.Why)}
	if !s.At.IsZero() {
		o.At = known(s.At.UTC().Format("2006-01-02T15:04:05.000Z"))
	}
	for _, b := range s.Bags {
		o.Bags = append(o.Bags, jsonBag{b.Dir, rawName(b.Dir), b.There, b.Proven, known(b.Why)})
	}
	return o
}

// showArchived says where the job's bags are, and whether its folder may be deleted.
func (d desk) showArchived(s closing.Standing) {
	if len(s.Bags) == 0 {
		return
	}
	for _, b := range s.Bags {
		text := ""
		switch {
		case b.Why != "":
			text = ": " + b.Why
		case b.Proven:
			text = fmt.Sprintf(", record %d of %s, read back", s.Run, s.At.Local().Format("2006-01-02 15:04"))
		}
		d.sayf("  archived: %s%s", cull.Plain(b.Dir), cull.Plain(text))
	}
	if s.Safe {
		small := ""
		if s.Small > 0 {
			small = fmt.Sprintf(", of %s of dropped frames as small pictures", count(s.Small, "original"))
		}
		d.sayf("  safe to delete this folder: every byte that was to be kept was read back from every bag%s", small)
		return
	}
	for _, why := range s.Why {
		d.sayf("  this folder must not be deleted: %s", cull.Plain(why))
	}
}
