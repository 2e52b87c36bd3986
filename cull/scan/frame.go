package scan

import (
	"cmp"
	"maps"
	"path"
	"slices"
	"strings"

	"garner/cull"
)

// frame makes the frame of a draft's files. taken holds the ids in use, damaged
// the files known to be damaged.
func (d *draft) frame(taken map[cull.ID]bool, damaged map[string]bool) cull.Frame {
	for i := range d.items {
		d.items[i].damaged = damaged[d.items[i].file.Path]
	}
	slices.SortStableFunc(d.items, leads)
	main := d.items[0]
	f := cull.Frame{Kind: main.fact.kind}
	f.ID, f.Aliases = d.ids(taken)
	for i := range d.items {
		it := &d.items[i]
		it.file.Role = roleOf(main, *it, i)
		f.Files = append(f.Files, it.file)
		if it.bad != nil {
			f.Problems = append(f.Problems, *it.bad)
		}
		if it.loc == nil {
			continue
		}
		if i == 0 || it.of == nil { // beside its original a small picture shows nothing more
			f.Previews = append(f.Previews, previewsOf(it.file.Path, it.loc)...)
		}
		for _, p := range it.loc.Problems {
			f.Problems = append(f.Problems, cull.Problem{Code: p.Code, Text: p.Text})
		}
		s, st := shotOf(it.loc.Meta), stampOf(it.loc.Meta.Taken)
		if i == 0 || f.Shot.Model == "" && s.Model != "" {
			f.Shot = s
		}
		if !f.Taken.Known() || f.Taken.ZoneIs == cull.ZoneUnknown && st.ZoneIs == cull.ZoneKnown && sameWall(f.Taken, st) {
			f.Taken = st
		}
		if it.file.Role == cull.RoleTwin && it.file.Head != main.file.Head {
			text := "the other slot's file has the same size but other bytes: one of the two is damaged"
			switch {
			case it.damaged && !main.damaged:
				text = "the other slot's file has the same size but other bytes: it is damaged, and the whole one is used"
			case it.damaged:
				text = "the other slot's file has the same size but other bytes: both are damaged"
			}
			f.Problems = append(f.Problems, cull.Problem{Code: "twin-differs", Text: text})
		}
	}
	slices.SortStableFunc(f.Previews, largestWholeFirst)
	f.Body = bodyKey(f.Shot)
	if d.known != nil {
		f.Fingerprint, f.HasFingerprint, f.Luma = d.known.Fingerprint, d.known.HasFingerprint, d.known.Luma
	}
	return f
}

// ids gives the frame its id and the other ids it may be met under. An id once
// given stays; a new frame takes the strongest identity that is still free.
func (d *draft) ids(taken map[cull.ID]bool) (cull.ID, []cull.ID) {
	all := map[cull.ID]bool{}
	var mine []cull.ID
	for _, it := range d.items {
		if it.of != nil { // it knows under which id decisions were made
			mine = append(mine, cull.ID(it.of.Frame))
			for _, id := range append(it.of.Aliases, it.of.Frame) {
				all[cull.ID(id)] = true
			}
		}
	}
	for i, it := range d.items {
		for _, identity := range it.fact.identities() {
			id := idOf(identity)
			all[id] = true
			if i == 0 {
				mine = append(mine, id)
			}
		}
	}
	var id cull.ID
	if d.known != nil {
		id = d.known.ID
		for _, a := range d.known.Aliases {
			all[a] = true
		}
	} else {
		for _, c := range mine {
			if id = c; !taken[c] {
				break
			}
		}
		if taken[id] {
			id = idOf("path|" + d.items[0].file.Path)
		}
	}
	taken[id] = true
	delete(all, id)
	return id, slices.Sorted(maps.Keys(all))
}

// clearAliases takes away names that do not tell one frame: those that are
// another frame's id, and those that several frames would answer to. Two
// exposures of one second by a body without a counter are such. A name that a
// frame has had stays with it.
func clearAliases(frames []cull.Frame, known map[cull.ID]cull.Frame) {
	claims := map[cull.ID]int{}
	for _, f := range frames {
		claims[f.ID]++
		for _, a := range f.Aliases {
			claims[a]++
		}
	}
	for i, f := range frames {
		had := known[f.ID].Aliases
		frames[i].Aliases = slices.DeleteFunc(slices.Clone(f.Aliases), func(a cull.ID) bool {
			return claims[a] > 1 && !slices.Contains(had, a)
		})
	}
}

// leads orders the files of a frame: readable before unreadable, raw before HEIF
// before JPEG, an original before the small picture of one, whole before damaged, then
// by path. A damaged raw without a whole
// twin still leads its JPEG: most of it can be used.
func leads(a, b item) int {
	return cmp.Or(rank(a.loc == nil, b.loc == nil), cmp.Compare(a.fact.class, b.fact.class), rank(a.of != nil, b.of != nil), rank(a.damaged, b.damaged),
		strings.Compare(a.file.Original(), b.file.Original()), strings.Compare(a.file.Path, b.file.Path))
}

// rank puts what has a fault behind what has not.
func rank(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}

func roleOf(main, it item, i int) cull.FileRole {
	switch {
	case it.of != nil:
		return cull.RoleSmall
	case i == 0:
		return cull.RoleMain
	case it.fact.class == main.fact.class && it.fact.size == main.fact.size && it.fact.kind == main.fact.kind && it.fact.soft == main.fact.soft:
		return cull.RoleTwin
	case it.fact.class == main.fact.class, it.fact.soft != "" && main.fact.soft != "" && it.fact.soft != main.fact.soft:
		return cull.RoleVersion
	case it.fact.class == classJPEG:
		return cull.RoleJPEG
	case it.fact.class == classHEIF:
		return cull.RoleHEIF
	}
	return cull.RoleOther // a raw that cannot be read, led by its JPEG
}

func sameWall(a, b cull.Stamp) bool { return a.Wall.Unix() == b.Wall.Unix() }

func largestWholeFirst(a, b cull.Preview) int {
	whole := func(p cull.Preview) int {
		if p.Whole {
			return 0
		}
		return 1
	}
	return cmp.Or(cmp.Compare(whole(a), whole(b)), cmp.Compare(b.Width*b.Height, a.Width*a.Height))
}

// nameFrames names each frame by its main file, or by the original that it stands
// for: without extension, or with it
// where two frames would be called the same.
func nameFrames(frames []cull.Frame) {
	short := func(p string) string { return strings.TrimSuffix(p, path.Ext(p)) }
	count := map[string]int{}
	for _, f := range frames {
		count[short(f.Files[0].Original())]++
	}
	for i := range frames {
		p := frames[i].Files[0].Original()
		if frames[i].Name = short(p); count[short(p)] > 1 {
			frames[i].Name = p
		}
	}
}

// bodies lists the cameras of the frames, by key.
func bodies(frames []cull.Frame) []cull.Body {
	seen := map[string]cull.Body{}
	for _, f := range frames {
		if _, ok := seen[f.Body]; !ok && f.Body != "" {
			seen[f.Body] = cull.Body{Key: f.Body, Make: f.Shot.Make, Model: f.Shot.Model, Serial: f.Shot.Serial}
		}
	}
	var out []cull.Body
	for _, k := range slices.Sorted(maps.Keys(seen)) {
		out = append(out, seen[k])
	}
	return out
}
