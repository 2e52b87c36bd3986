package handoff

import (
	"encoding/json"
	"fmt"
	"maps"
	"path"
	"strings"

	"garner/cull"
)

// place is where a keeper went in a folder of copies. It is remembered, so that
// a keeper more, or a corrected clock, renames no file that the editor works on.
type place struct {
	Folder string   `json:"folder"`
	Stem   string   `json:"stem"`
	Files  []string `json:"files"` // names below Folder, one for each original
}

// Keys of what is remembered of a folder of copies; no path holds a NUL.
func (s *state) placeKey(id cull.ID) string { return s.placePrefix() + string(id) }
func (s *state) placePrefix() string        { return "place\x00" + s.o.To + "\x00" }
func (s *state) copyKey(p string) string    { return "copy\x00" + s.o.To + "\x00" + p }
func (s *state) noteKey() string            { return "note\x00" + s.o.To }

// readPlaces learns where earlier handoffs to this folder put their copies.
func (s *state) readPlaces() {
	for key, b := range s.mem.known {
		id, ok := strings.CutPrefix(key, s.placePrefix())
		var pl place
		if !ok || json.Unmarshal(b, &pl) != nil || pl.Stem == "" || len(pl.Files) == 0 {
			continue
		}
		s.places[s.mem.canon(cull.ID(id))] = pl
		s.taken[pl.key()] = true
	}
	s.earlier = maps.Clone(s.places)
}

// key tells places apart where letters' case does not count.
func (p place) key() string { return strings.ToLower(path.Join(p.Folder, p.Stem)) }

// placeOf gives a keeper its place: the one it had, else one by today's order
// that no other keeper has. Material for a merge goes beside its lead where that
// one has a place from an earlier handoff, with its number.
func (s *state) placeOf(k Keep) place {
	pl, known := s.places[k.Frame.ID]
	if !known {
		number, folder := fmt.Sprintf("%04d", k.Order+1), sceneFolder(k.Scene)
		if lead, ok := s.earlier[k.Lead]; ok && k.Answer == cull.Part {
			number, _, _ = strings.Cut(lead.Stem, "-")
			folder = lead.Folder
		}
		stem := copyStem(k, number)
		pl = place{Folder: folder, Stem: stem}
		for n := 2; s.taken[pl.key()]; n++ {
			pl.Stem = fmt.Sprintf("%s-%d", stem, n)
		}
		s.taken[pl.key()] = true
	}
	pl.Files = copyNames(pl.Stem, k.originals())
	return pl
}
