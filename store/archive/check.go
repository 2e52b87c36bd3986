package archive

import (
	"context"
	"slices"

	"garner/store"
	"garner/store/vfs"
)

// Report is what [Check] found.
type Report struct {
	Bag      *Bag
	Findings []Finding // faults first, each part by path
	More     int       // findings that are not listed, there were so many

	Files    int   // of the payload, whole by every checksum
	Bytes    int64 // of those
	ToFetch  int   // files that fetch.txt says are elsewhere; nothing is ever fetched
	Bypassed bool  // all was read from the device, not from the system's cache
}

// Valid reports whether there is no fault: every payload file is there, listed, and
// has its checksums.
func (r Report) Valid() bool { return len(r.Findings) == 0 || !r.Findings[0].Fault }

// Complete reports whether all that is listed is there and the other way round,
// whatever the bytes are.
func (r Report) Complete() bool {
	return !slices.ContainsFunc(r.Findings, func(f Finding) bool { return f.Fault && f.Kind != Differs && f.Kind != Unread })
}

// Progress tells how far a work has got.
type Progress struct {
	Path           string // the file that was read last
	Files, OfFiles int
	Bytes, OfBytes int64
}

// Check reads every byte of the bag at dir, past the system's cache where that can
// be done, and says all that is wrong with it. An error means that there is nothing
// to judge: no such folder, no bag, cancelled. progress may be nil; it is called by
// one goroutine at a time.
func Check(ctx context.Context, fsys vfs.FS, dir string, progress func(Progress)) (Report, error) {
	var f findings
	b, err := read(fsys, dir, &f)
	if err != nil {
		return Report{}, err
	}
	there, err := walk(fsys, dir)
	if err != nil {
		return Report{}, err
	}
	c := &checking{findings: &f, bag: b, there: there}
	c.look()
	if err := c.readAll(ctx, fsys, progress); err != nil {
		return Report{}, err
	}
	c.Bag, c.Findings, c.More = b, f.sorted(), f.more
	return c.Report, nil
}

// checking is the work of Check.
type checking struct {
	Report
	*findings
	bag   *Bag
	there *content
	files []*file             // to be read
	folds map[string][]string // names on the disk that some systems take for one
	also  map[string]bool     // on the disk under another spelling than listed
}

// look compares what is listed with what is there, and notes what has to be read.
func (c *checking) look() {
	c.also = map[string]bool{}
	c.folds = map[string][]string{}
	for path := range c.there.files {
		c.folds[fold(path)] = append(c.folds[fold(path)], path)
	}
	if c.bag.Growing {
		c.fault(Growing, "", "is being added to, or that was interrupted; archiving the job again completes it")
	}
	if !c.there.data && !c.bag.Growing && !c.there.irregular["data"] {
		c.fault(Missing, "data", "is missing")
	}
	for path := range c.there.irregular {
		c.fault(Irregular, path, "is a link, pipe or device: a bag holds files")
	}
	for path := range c.bag.paths() {
		c.listed(path)
	}
	c.unlisted()
	c.spellings()
	c.fetched()
	c.tags()
	c.oxum()
}

// listed looks for a payload file of a manifest.
func (c *checking) listed(path string) {
	if litter(path) {
		c.warn(Form, path, "is a file that systems make and remove by themselves")
	}
	if _, all := c.bag.lists(path); !all && !c.bag.growing.knows(path) {
		if c.bag.version.strict() {
			c.fault(Unlisted, path, "is not in every manifest")
		} else {
			c.warn(Unlisted, path, "is not in every manifest")
		}
	}
	if _, ok := c.there.files[path]; ok {
		c.want(path, path, c.bag.manifests)
		return
	}
	if c.bag.fetch[path] {
		c.ToFetch++
		return
	}
	if c.there.irregular[path] {
		return
	}
	twin := c.twin(path)
	if twin == "" {
		c.fault(Missing, path, "is missing")
		return
	}
	c.warn(Form, path, "is there under the name %s, which differs in case or normal form alone", quoted(twin))
	if !c.also[twin] {
		c.also[twin] = true
		c.want(twin, path, c.bag.manifests)
	}
}

// twin returns the one file that some systems take for a path: one that no
// manifest lists, or that they list with the same checksums.
func (c *checking) twin(path string) string {
	twins := c.folds[fold(path)]
	if len(twins) != 1 {
		return ""
	}
	for _, m := range c.bag.manifests {
		if other, ok := m.sums[twins[0]]; ok && other != m.sums[path] {
			return ""
		}
	}
	return twins[0]
}

// unlisted looks for payload files that no manifest lists.
func (c *checking) unlisted() {
	for path := range c.there.files {
		one, _ := c.bag.lists(path)
		switch {
		case !isPayload(path) || one || c.also[path] || c.bag.growing.knows(path):
		case c.bag.Growing && store.IsPartial(base(path)):
		case litter(path):
			c.fault(Unlisted, path, "is in no manifest: the system put it there; delete it")
		default:
			c.fault(Unlisted, path, "is in no manifest")
		}
	}
}

// spellings looks for files that can't lie side by side everywhere.
func (c *checking) spellings() {
	for _, same := range c.folds {
		slices.Sort(same)
		for _, path := range same[1:] {
			c.warn(Form, path, "has the name of %s but for case or normal form: not every system keeps both", quoted(same[0]))
		}
	}
}

// fetched judges what fetch.txt lists.
func (c *checking) fetched() {
	for path := range c.bag.fetch {
		if _, all := c.bag.lists(path); !all {
			c.fault(Form, fetchName, "lists %s, which is not in every manifest", quoted(path))
		}
	}
	switch {
	case c.ToFetch == 1:
		c.fault(Unfetched, "", "is incomplete: 1 file is to be fetched")
	case c.ToFetch > 1:
		c.fault(Unfetched, "", "is incomplete: %d files are to be fetched", c.ToFetch)
	}
}

// tags looks for the tag files that tag manifests list.
func (c *checking) tags() {
	seen := map[string]bool{}
	for _, m := range c.bag.tagLists {
		for path := range m.sums {
			if seen[path] {
				continue
			}
			seen[path] = true
			if _, ok := c.there.files[path]; ok {
				c.want(path, path, c.bag.tagLists)
			} else if !c.there.irregular[path] {
				c.fault(Missing, path, "is missing")
			}
		}
		for _, of := range c.bag.manifests {
			if _, ok := m.sums[of.file]; !ok && !c.bag.Growing {
				c.since(c.bag.version, m.file, "does not list %s", of.file)
			}
		}
	}
	if len(c.bag.tagLists) == 0 || c.bag.Growing {
		return
	}
	for path := range c.there.files {
		if !isPayload(path) && !seen[path] && !isTagManifest(path) {
			c.warn(Unlisted, path, "is in no tag manifest")
		}
	}
}

// oxum compares the payload with the two numbers of bag-info.txt.
func (c *checking) oxum() {
	want, ok := field(c.bag.Info, oxumLabel)
	if !ok || c.bag.Growing || c.ToFetch > 0 {
		return
	}
	var bytes int64
	files := 0
	for path, size := range c.there.files {
		if isPayload(path) {
			bytes, files = bytes+size, files+1
		}
	}
	if is := oxum(bytes, files); is != want {
		c.fault(Form, infoName, "says %s %s, and there are %s (bytes, files)", oxumLabel, quoted(want), is)
	}
}
