package scan

import (
	"path"
	"slices"
	"strings"

	"garner/cull"
)

// attach ties voice notes and sidecars to their frames. They say nothing about
// themselves, so the name has to do: same folder and name first, then the one
// frame of that name in a neighbouring folder (RAW/ and JPG/), then the one in
// the whole job. Where two frames could own it, nobody gets it and it is said;
// nor is it another body's, whose frame happens to have the name.
func attach(frames []cull.Frame, companions []entry) []Other {
	byPlace := map[string][]int{} // folder/stem and folder/full name
	byStem := map[string][]int{}
	home := map[string]map[string]bool{} // folder → bodies whose pictures lie there
	note := func(m map[string][]int, k string, i int) {
		if !slices.Contains(m[k], i) {
			m[k] = append(m[k], i)
		}
	}
	for i, f := range frames {
		for _, file := range f.Files {
			dir := path.Dir(file.Original())
			if home[dir] == nil {
				home[dir] = map[string]bool{}
			}
			home[dir][f.Body] = true
			full := strings.ToLower(path.Base(file.Original()))
			note(byPlace, dir+"/"+stemOf(file.Original()), i)
			note(byPlace, dir+"/"+full, i)
			note(byStem, stemOf(file.Original()), i)
			note(byStem, full, i)
		}
	}
	var others []Other
	for _, e := range companions {
		i, why := owner(frames, e, byPlace, byStem)
		if h := home[path.Dir(e.path)]; why == "" && len(h) > 0 && !h[frames[i].Body] {
			why = "the only frame of its name is another body's"
		}
		if why != "" {
			others = append(others, Other{e.path, why})
			continue
		}
		role, kind := cull.RoleVoice, "WAV"
		if e.ext() == ".xmp" {
			role, kind = cull.RoleSidecar, "XMP"
		}
		frames[i].Files = append(frames[i].Files, cull.File{Path: e.path, Role: role, Kind: kind, Size: e.size, Mod: e.mod})
	}
	for i := range frames {
		slices.SortStableFunc(frames[i].Files[1:], func(a, b cull.File) int { return strings.Compare(a.Path, b.Path) })
	}
	return others
}

func owner(frames []cull.Frame, e entry, byPlace, byStem map[string][]int) (int, string) {
	dir, stem := path.Dir(e.path), stemOf(e.path)
	if own := byPlace[dir+"/"+stem]; len(own) == 1 {
		return own[0], ""
	} else if len(own) > 1 {
		return 0, "its name fits more than one frame of this folder"
	}
	var near []int
	for _, i := range byStem[stem] {
		if slices.ContainsFunc(frames[i].Files, func(f cull.File) bool { return neighbours(path.Dir(f.Original()), dir) }) {
			near = append(near, i)
		}
	}
	switch {
	case len(near) == 1:
		return near[0], ""
	case len(near) == 0 && len(byStem[stem]) == 1:
		return byStem[stem][0], ""
	case len(byStem[stem]) > 1:
		return 0, "its name fits more than one frame"
	}
	return 0, "no frame has its name"
}

// neighbours reports whether two folders are one below the other or side by side.
func neighbours(a, b string) bool {
	return path.Dir(a) == path.Dir(b) || path.Dir(a) == b || path.Dir(b) == a
}
