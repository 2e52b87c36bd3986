package scan

import (
	"cmp"
	"maps"
	"slices"
	"strings"

	"garner/cull"
)

// draft is a frame being put together: either one that the catalogue knows and
// of which nothing changed, or a heap of files just read.
type draft struct {
	known *cull.Frame // set when the catalogue knows the frame
	whole bool        // all of known's picture files are as they were; items is empty
	shut  bool        // some of them lie where nothing could be read, and count as they were
	items []item
}

// matcher finds the draft to which a file belongs. Drafts are looked up by
// content, by capture second and by folder and name, so that a job of many
// thousands of frames costs no more than a few comparisons a file.
type matcher struct {
	dir     string
	list    listing
	damaged map[string]bool
	drafts  []*draft
	by      map[string][]*draft
}

func newMatcher(dir string, known map[cull.ID]cull.Frame) *matcher {
	m := &matcher{dir: dir, by: map[string][]*draft{}}
	for _, id := range slices.Sorted(maps.Keys(known)) {
		if f := known[id]; len(f.Files) > 0 {
			d := &draft{known: &f}
			m.add(d, factsOfFrame(f))
			for _, file := range f.Files[1:] {
				if _, head := file.Content(); head != "" {
					m.shelve("head "+head, d)
				}
			}
		}
	}
	return m
}

func (m *matcher) add(d *draft, f facts) {
	m.drafts = append(m.drafts, d)
	m.index(d, f)
}

func (m *matcher) index(d *draft, f facts) {
	for _, k := range f.shelves() {
		m.shelve(k, d)
	}
}

func (m *matcher) shelve(k string, d *draft) {
	if !slices.Contains(m.by[k], d) {
		m.by[k] = append(m.by[k], d)
	}
}

// shelves are the look-up keys under which two files of one exposure meet.
func (f facts) shelves() []string {
	ks := []string{"name " + f.dir + "/" + f.stem}
	if f.head != "" {
		ks = append(ks, "head "+f.head)
	}
	if f.taken.Known() {
		ks = append(ks, "time "+f.taken.Wall.Format("20060102150405"))
	}
	return ks
}

// keepUntouched settles known frames of which every picture file is as it was,
// and returns the files that have to be looked at.
func (m *matcher) keepUntouched(list listing) []entry {
	m.list = list
	at := make(map[string]entry, len(list.files))
	for _, e := range list.files {
		at[e.path] = e
	}
	settled := map[string]bool{}
	for _, d := range m.drafts {
		d.whole = !m.misled(*d.known) && seen(*d.known)
		for _, f := range d.known.Files {
			if f.Role == cull.RoleVoice || f.Role == cull.RoleSidecar {
				continue
			}
			e, ok := at[f.Path]
			if !ok && list.unread(f.Path) {
				d.shut = true
				continue
			}
			d.whole = d.whole && ok && e.size == f.Size && e.mod.Equal(f.Mod)
		}
		for _, f := range d.known.Files {
			if d.whole && f.Role != cull.RoleVoice && f.Role != cull.RoleSidecar {
				settled[f.Path] = true
			}
		}
	}
	return slices.DeleteFunc(slices.Clone(list.files), func(e entry) bool { return settled[e.path] })
}

// seen reports whether a frame was looked at as it is: a small picture that was put in
// the place of its original need not have been.
func seen(f cull.Frame) bool {
	return !f.Freed() || slices.ContainsFunc(f.Previews, func(p cull.Preview) bool { return p.File == f.Files[0].Path })
}

// misled reports whether a known frame is led by a file that has been found to be
// damaged since, while another of its kind is whole.
func (m *matcher) misled(f cull.Frame) bool {
	main := f.Files[0]
	return m.damaged[main.Path] && slices.ContainsFunc(f.Files[1:], func(o cull.File) bool {
		return o.Kind == main.Kind && !m.damaged[o.Path]
	})
}

// untouched reports whether every known frame is as it was.
func (m *matcher) untouched() bool {
	return !slices.ContainsFunc(m.drafts, func(d *draft) bool { return !d.whole })
}

// unseen lists the known frames with files that could not be looked at.
func (m *matcher) unseen() []cull.ID {
	var ids []cull.ID
	for _, d := range m.drafts {
		if d.known != nil && d.shut {
			ids = append(ids, d.known.ID)
		}
	}
	return ids
}

// place puts a picture file to its exposure, or begins a new one.
func (m *matcher) place(it item) {
	if d := m.find(it.fact); d != nil {
		m.open(d)
		d.items = append(d.items, it)
		m.index(d, it.fact)
		return
	}
	d := &draft{items: []item{it}}
	m.add(d, it.fact)
}

// find gives the draft to which a file belongs, nil for a new exposure. By the
// time alone several of a burst may do: then the one of its name is meant, and
// where none or more than one has it, the file stays by itself.
func (m *matcher) find(f facts) *draft {
	for _, k := range f.shelves() {
		var fit []*draft
		for _, d := range m.by[k] {
			if d.takes(f) {
				fit = append(fit, d)
			}
		}
		if len(fit) > 1 && strings.HasPrefix(k, "time ") {
			fit = slices.DeleteFunc(fit, func(d *draft) bool { return !d.named(f.stem) })
			if len(fit) > 1 {
				return nil
			}
		}
		if len(fit) > 0 {
			return fit[0]
		}
	}
	return nil
}

// named reports whether a picture file of the draft has this name.
func (d *draft) named(stem string) bool {
	if len(d.items) == 0 {
		return d.known != nil && stemOf(d.known.Files[0].Original()) == stem
	}
	return slices.ContainsFunc(d.items, func(it item) bool { return it.fact.stem == stem })
}

// takes reports whether a file belongs to the draft: it must have the bytes of
// one of its files, or match one and contradict none.
func (d *draft) takes(f facts) bool {
	if d.known != nil && len(d.items) == 0 {
		k := factsOfFrame(*d.known)
		return sameExposure(k, f) || d.hadFile(f)
	}
	match := false
	for _, it := range d.items {
		if it.fact.sameContent(f) {
			return true
		}
		if sameExposure(it.fact, f) {
			match = true
		} else if contradict(it.fact, f) {
			return false
		}
	}
	return match
}

// hadFile reports whether the known frame held this very content in any of its
// files: a lone JPEG of a pair whose raw was moved away.
func (d *draft) hadFile(f facts) bool {
	if f.head == "" || f.kind == "" && d.whole {
		return false // filler equals filler; only a file that is missing can have moved
	}
	return slices.ContainsFunc(d.known.Files, func(k cull.File) bool {
		size, head := k.Content()
		return head == f.head && size == f.size
	})
}

// contradict reports facts that cannot belong to one exposure, or two files of
// one class that nothing ties: the JPEGs of a burst must not share a raw.
func contradict(a, b facts) bool {
	return a.taken.Known() && b.taken.Known() && (differ(a, b) || a.class == b.class && !sameExposure(a, b))
}

// open makes a settled frame take files again: its own are read once more, so
// that every part of the frame comes from the files as they are now.
func (m *matcher) open(d *draft) {
	if !d.whole || len(d.items) > 0 {
		return
	}
	d.whole = false
	for _, f := range d.known.Files {
		if f.Role == cull.RoleVoice || f.Role == cull.RoleSidecar || m.list.unread(f.Path) {
			continue
		}
		if it, why := read(m.dir, entry{f.Path, f.Size, f.Mod}, make([]byte, headSize)); why == "" {
			d.items = append(d.items, it)
		}
	}
}

// frames closes all drafts that have files.
func (m *matcher) frames() []cull.Frame {
	var out []cull.Frame
	taken := map[cull.ID]bool{}
	for _, d := range m.drafts {
		if d.known != nil && (d.whole || len(d.items) > 0) {
			taken[d.known.ID] = true
			for _, a := range d.known.Aliases {
				taken[a] = true
			}
		}
	}
	// A frame of which a small picture says the id has it before others could.
	drafts := slices.Clone(m.drafts)
	slices.SortStableFunc(drafts, func(a, b *draft) int { return rank(!a.told(), !b.told()) })
	for _, d := range drafts {
		switch {
		case d.whole:
			f := *d.known
			f.Files = slices.DeleteFunc(slices.Clone(f.Files), func(f cull.File) bool {
				return f.Role == cull.RoleVoice || f.Role == cull.RoleSidecar
			})
			out = append(out, f)
		case len(d.items) > 0:
			out = append(out, d.frame(taken, m.damaged))
		}
	}
	return out
}

// told reports whether a small picture says which frame this is.
func (d *draft) told() bool {
	return slices.ContainsFunc(d.items, func(it item) bool { return it.of != nil })
}

// byClassThenPath lets raws come first, so that a JPEG meets its raw.
func byClassThenPath(a, b item) int {
	return cmp.Or(cmp.Compare(a.fact.class, b.fact.class), strings.Compare(a.file.Path, b.file.Path))
}
