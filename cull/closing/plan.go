package closing

import (
	"cmp"
	"fmt"
	"path"
	"slices"
	"strings"

	"garner/cull"
	"garner/cull/closing/record"
	"garner/cull/job"
	"garner/preview/raw"
	"garner/store"
)

// laterFolder holds files that changed since an earlier run: what is in a bag is
// never replaced.
const laterFolder = "data/later"

// sum is a SHA-256.
type sum = [32]byte

// listing is what a bag has: the sum of a payload file.
type listing interface {
	sum(path string) (sum, bool)
}

// item is a file of the job and where it goes.
type item struct {
	file
	bag     string // in the bag; "" = nowhere, and why says why not
	why     string
	sum     *sum   // of its bytes; nil = it is learned when it is copied
	altered bool   // its bytes are not those of the job's manifest
	head    string // SHA-256 of its first 64 KiB, before anything else was read of it; "" = it cannot be read

	frame *cull.Frame // of an original that a frame has
	of    cull.File
	drop  bool   // an original of a dropped frame: small stands for it
	small string // where its small picture lies in the bag
	had   bool   // that is there already, in one bag at least

	retired    bool   // the job has it no more: a keeper's original, which only the bags have
	outside    string // where it is to be had, if it lies outside of the job and settings name it
	lacked     bool   // some bag lacked it before this run
	unpictured string // why no small picture could be made of an original of a dropped frame
}

// planner works out where files go. It is pure: what has to be read of files and bags
// comes in as values.
type planner struct {
	bags     []listing
	prior    map[string]record.File // what the last record says, by path in the job
	manifest map[string]job.Sum
	run      int // number of the record that is going to be written
	names    *names
	making   map[string]bool // paths of small pictures that no bag has
}

// newPlanner begins with the names that bags and record have. paths are those of the
// payload of every bag.
func newPlanner(bags []listing, paths [][]string, prior map[string]record.File, manifest map[string]job.Sum, run int) *planner {
	p := &planner{bags: bags, prior: prior, manifest: manifest, run: run, names: newNames(), making: map[string]bool{}}
	const jobFiles = record.JobFolder + "/"
	for _, list := range paths {
		for _, path := range list {
			if rel, ok := strings.CutPrefix(path, jobFiles); ok {
				p.names.had(rel)
			}
		}
	}
	for _, row := range sortedRows(prior) {
		if rel, ok := strings.CutPrefix(row.bag, jobFiles); ok && strings.Count(rel, "/") == strings.Count(row.path, "/") && p.listed(row.bag) {
			p.names.sticky(row.path, rel)
		}
	}
	return p
}

type row struct{ path, bag string }

func sortedRows(prior map[string]record.File) []row {
	var rows []row
	for path, f := range prior {
		rows = append(rows, row{path, f.Bag})
	}
	slices.SortFunc(rows, func(a, b row) int { return cmp.Compare(a.path, b.path) })
	return rows
}

// listed reports whether any bag has a path.
func (p *planner) listed(path string) bool {
	return slices.ContainsFunc(p.bags, func(b listing) bool { _, ok := b.sum(path); return ok })
}

// fits reports whether a path of the bags is free for these bytes, or has them.
func (p *planner) fits(path string, s *sum) bool {
	if p.making[path] {
		return false
	}
	for _, b := range p.bags {
		if is, ok := b.sum(path); ok && (s == nil || is != *s) {
			return false
		}
	}
	return true
}

// items lists the files, each with its frame, what is known of its bytes, and its name.
func (p *planner) items(files []file, w job.Whole) []*item {
	frames := framesByPath(w)
	var all []*item
	for _, f := range files {
		x := &item{file: f}
		if of, ok := frames[f.path]; ok && of.file.Size == f.size && of.file.Mod.Equal(f.mod) {
			x.frame, x.of = of.frame, of.file
			x.drop = w.Dropped(of.frame.ID) && original(of.file)
		}
		if s, ok := p.known(f); ok {
			x.sum = &s
		}
		all = append(all, x)
	}
	slices.SortFunc(all, func(a, b *item) int { return cmp.Compare(a.path, b.path) })
	// Names that need no change come first, so that nobody takes theirs.
	for _, plain := range []bool{true, false} {
		for _, x := range all {
			if (portablePath(x.path) == x.path) == plain {
				p.names.of(x.named())
			}
		}
	}
	return all
}

// retired are the originals that the job let go of as the bags have them whole: the record
// says on where they lie, and a bag that lacks one gets it from another.
func (p *planner) retired(freed map[string]job.FreedFile, all []*item) (list []*item) {
	here := map[string]bool{}
	for _, x := range all {
		here[x.path] = true
	}
	for path, f := range freed {
		was := p.prior[path]
		s, err := store.ParseHex(was.SHA256)
		if here[path] || err != nil || s != sum(f.Sum) || was.Bag == "" || !p.listed(was.Bag) || !p.fits(was.Bag, &s) {
			continue
		}
		list = append(list, &item{file: file{path: path, size: was.Bytes, mod: record.Moment(was.Modified)}, bag: was.Bag, sum: &s, retired: true})
	}
	slices.SortFunc(list, func(a, b *item) int { return cmp.Compare(a.path, b.path) })
	return list
}

// known is what a file's bytes sum up to without reading them: as the last record says of
// a file that has not changed since, else as the manifest does.
func (p *planner) known(f file) (sum, bool) {
	if row, ok := p.prior[f.path]; ok {
		if row.Bytes == f.size && record.Moment(row.Modified).Equal(f.mod) {
			if s, err := store.ParseHex(row.SHA256); err == nil {
				return s, true
			}
		}
		return sum{}, false // it was changed: only its bytes say into what
	}
	s, ok := p.manifest[f.path]
	return s, ok
}

// unsure reports whether a file has to be read before it can be given a place: it was
// changed, or something is in its place already, or its sum goes into a small picture.
func (p *planner) unsure(x *item) bool {
	if x.sum != nil {
		return false
	}
	_, before := p.prior[x.path]
	return before || x.drop || p.listed(p.jobPath(x))
}

// place says where a file goes, once it is known what is in it.
func (p *planner) place(x *item) {
	if s, ok := p.manifest[x.path]; ok && x.sum != nil && sum(s) != *x.sum {
		x.altered = true
	}
	if x.drop {
		if x.small = p.smallPath(x); x.small != "" {
			p.making[x.small] = !p.listed(x.small)
			// An earlier run kept it whole.
			if was := p.prior[x.path].Bag; was != "" && x.sum != nil && p.everywhere(was, *x.sum) {
				x.bag = was
			}
			return
		}
	}
	p.whole(x)
}

// whole gives a file a place as it is.
func (p *planner) whole(x *item) {
	if was := p.prior[x.path].Bag; p.listed(was) && p.fits(was, x.sum) {
		x.bag = was
		return
	}
	if c := p.jobPath(x); p.fits(c, x.sum) {
		x.bag = c
		return
	}
	for n := p.run; ; n++ {
		if c := fmt.Sprintf("%s/%04d/%s", laterFolder, n, p.rel(x)); p.fits(c, x.sum) {
			x.bag = c
			return
		}
	}
}

// everywhere reports whether every bag has these bytes under a path.
func (p *planner) everywhere(path string, s sum) bool {
	return !slices.ContainsFunc(p.bags, func(b listing) bool {
		is, ok := b.sum(path)
		return !ok || is != s
	})
}

// smallPath is where the small picture of an original goes.
func (p *planner) smallPath(x *item) string {
	row := p.prior[x.path]
	if x.sum != nil && row.Small != "" && row.SHA256 == store.Hex(*x.sum) && p.listed(row.Small) {
		x.had = true
		return row.Small
	}
	name := p.names.of(x.path) + ".jpg"
	if c := record.SmallFolder + "/" + name; row.Small != c {
		return c
	}
	return p.later(x) // the bag has that of other bytes under this name
}

// later is where a small picture goes whose place has that of other bytes.
func (p *planner) later(x *item) string {
	return fmt.Sprintf("%s/%04d/%s/%s.jpg", laterFolder, p.run, path.Base(record.SmallFolder), p.names.of(x.path))
}

// jobPath is the place of a file as it is. The small picture of an original that was let
// go lies where it came from.
func (p *planner) jobPath(x *item) string {
	if x.freed() {
		return "data/" + p.rel(x)
	}
	return record.JobFolder + "/" + p.rel(x)
}

// rel is a file's name in the bag, below the folder that it goes into.
func (p *planner) rel(x *item) string {
	name := p.names.of(x.named())
	if x.freed() {
		name = path.Base(record.SmallFolder) + "/" + name + ".jpg"
	}
	return name
}

// named is the path that a file's name in the bag is made of: its own, or that of the
// original which a small picture stands for.
func (x *item) named() string {
	if x.freed() {
		return x.of.Of.Path
	}
	return x.path
}

// freed reports whether a file is the small picture of an original that was let go, or is
// about to be.
func (x *item) freed() bool {
	return x.frame != nil && x.of.Role == cull.RoleSmall && x.path == cull.SmallPath(x.of.Of.Path)
}

func portablePath(p string) string {
	parts := strings.Split(p, "/")
	for i := range parts {
		parts[i] = portable(parts[i])
	}
	return strings.Join(parts, "/")
}

// original reports whether a file is one that a small picture can stand for.
func original(f cull.File) bool {
	switch f.Role {
	case cull.RoleMain, cull.RoleTwin, cull.RoleVersion:
		return raw.Kind(f.Kind).Raw()
	}
	return false
}

type framed struct {
	frame *cull.Frame
	file  cull.File
}

func framesByPath(w job.Whole) map[string]framed {
	by := map[string]framed{}
	for _, f := range w.Frames {
		for _, file := range f.Files {
			by[file.Path] = framed{&f, file}
		}
	}
	return by
}
