package archive

import (
	"errors"

	"io/fs"
	"iter"
	"maps"
	"path/filepath"
	"slices"
	"syscall"

	"garner/store"
	"garner/store/vfs"
)

// ErrNoBag is returned for a folder that is not a bag: it has no bagit.txt.
var ErrNoBag = errors.New("is not a bag: it has no " + declarationName)

// Bag is what the tag files of a bag say.
type Bag struct {
	Dir      string
	Version  string
	Encoding string  // of the tag files
	Info     []Field // of bag-info.txt, in its order

	// Growing tells that files are being added, or that this was interrupted: what
	// the manifests list may be less than what lies there.
	Growing bool

	version   version
	manifests []manifest // of the payload, by name
	tagLists  []manifest // of tag files, by name
	fetch     map[string]bool
	growing   growing
}

// Open reads the tag files of the bag at dir, and nothing of its payload. A tag
// file that is not written as BagIt says is an error; Check says all that is wrong.
func Open(fsys vfs.FS, dir string) (*Bag, error) {
	var f findings
	b, err := read(fsys, dir, &f)
	if err == nil && len(f.faults) > 0 {
		err = store.Wrap("read", dir, errors.New(f.sorted()[0].String()))
	}
	if err != nil {
		return nil, err
	}
	return b, nil
}

// Salvage is Open for a bag of which files are to be had: what is wrong with the tag
// files that list no files (bagit.txt, bag-info.txt) is returned beside it.
func Salvage(fsys vfs.FS, dir string) (*Bag, []Finding, error) {
	var f findings
	b, err := read(fsys, dir, &f)
	if err != nil {
		return nil, nil, err
	}
	f.sorted()
	for _, x := range f.faults {
		switch x.Path {
		case declarationName, infoName, oldInfoName:
		default:
			return nil, nil, store.Wrap("read", dir, errors.New(x.String()))
		}
	}
	return b, f.faults, nil
}

// Sum returns the SHA-256 that the bag has for a payload file.
func (b *Bag) Sum(path string) (sum [32]byte, ok bool) {
	for _, m := range b.manifests {
		if s, found := m.sums[path]; found && m.algorithm == "sha256" {
			return [32]byte([]byte(s)), true
		}
	}
	return sum, false
}

// Files returns the paths of the payload that the manifests list, sorted.
func (b *Bag) Files() []string { return slices.Sorted(b.paths()) }

// paths are the payload files that any manifest lists, each once.
func (b *Bag) paths() iter.Seq[string] {
	if len(b.manifests) == 1 {
		return maps.Keys(b.manifests[0].sums)
	}
	all := map[string]bool{}
	for _, m := range b.manifests {
		for path := range m.sums {
			all[path] = true
		}
	}
	return maps.Keys(all)
}

// lists reports whether any manifest of the payload has the path, and whether all
// of them have.
func (b *Bag) lists(path string) (one, all bool) {
	all = len(b.manifests) > 0
	for _, m := range b.manifests {
		_, ok := m.sums[path]
		one, all = one || ok, all && ok
	}
	return one, all
}

// read reads all tag files. It fails only where nothing can be said of the bag; a
// folder without bagit.txt is [ErrNoBag], unless a bag is being made of it.
func read(fsys vfs.FS, dir string, f *findings) (*Bag, error) {
	info, err := fsys.Stat(dir)
	if err == nil && !info.IsDir() {
		err = syscall.ENOTDIR
	}
	if err != nil {
		return nil, store.Wrap("read", dir, err)
	}
	b := &Bag{Dir: dir}
	if b.growing, err = readGrowing(fsys, dir); errors.Is(err, errGrowing) {
		f.fault(Form, growingName, "%v", errGrowing)
	} else if err != nil {
		return nil, err
	}
	b.Growing = b.growing.there
	names, err := fsys.ReadDir(dir)
	if err != nil {
		return nil, store.Wrap("read", dir, err)
	}
	d, err := readDeclaration(fsys, dir, f)
	if missing(err) && !b.Growing {
		if !slices.ContainsFunc(names, func(e fs.DirEntry) bool { _, _, ok := isManifest(e.Name()); return ok }) {
			return nil, store.Wrap("read", dir, ErrNoBag)
		}
		f.fault(Missing, declarationName, "is missing")
	} else if refused(err) {
		f.fault(Form, declarationName, "%v", errors.Unwrap(err))
	} else if err != nil && !missing(err) {
		return nil, err
	}
	b.version, b.Version, b.Encoding = d.version, string(d.version), d.encoding
	for _, e := range names {
		if err := b.readTag(fsys, e.Name(), f); err != nil {
			return nil, err
		}
	}
	if len(b.manifests) == 0 && !b.Growing {
		f.fault(Missing, "", "has no manifest that garner can read")
	}
	return b, nil
}

// has reports whether a manifest of the kind was read.
func (b *Bag) has(algorithm string, tags bool) bool {
	lists := b.manifests
	if tags {
		lists = b.tagLists
	}
	return slices.ContainsFunc(lists, func(m manifest) bool { return m.algorithm == algorithm })
}

func readDeclaration(fsys vfs.FS, dir string, f *findings) (declaration, error) {
	text, err := readTag(fsys, join(dir, declarationName), maxSmall)
	if err != nil {
		return declaration{version: "1.0", encoding: "UTF-8"}, err
	}
	return parseDeclaration(text, f), nil
}

// readTag takes in the tag file of that name, if it is one with a meaning.
func (b *Bag) readTag(fsys vfs.FS, name string, f *findings) error {
	algorithm, tags, list := isManifest(name)
	most := int64(maxList)
	switch {
	case list && algorithms[algorithm] == nil:
		f.warn(Form, name, "has checksums of a kind that garner can't compute")
		return nil
	case list && b.has(algorithm, tags): // in other letters
		f.fault(Form, name, "is a second list of checksums of one kind")
		return nil
	case name == infoName, name == oldInfoName:
		most = maxSmall
	case !list && name != fetchName:
		return nil
	}
	raw, err := readTag(fsys, join(b.Dir, name), most)
	if refused(err) {
		f.fault(Form, name, "%v", errors.Unwrap(err))
		return nil
	}
	if err != nil {
		return err
	}
	text := decode(raw, b.Encoding, name, f)
	switch {
	case list:
		m := manifest{name, algorithm, parseManifest(text, name, algorithm, b.version, f)}
		if tags {
			b.tagLists = append(b.tagLists, m)
		} else {
			b.manifests = append(b.manifests, m)
		}
	case name == fetchName:
		b.fetch = parseFetch(text, b.version, f)
	default:
		b.Info = append(b.Info, parseInfo(text, name, b.version, f)...)
	}
	return nil
}

// refused reports whether a tag file was not read because of what it is.
func refused(err error) bool {
	return errors.Is(err, errLarge) || errors.Is(err, store.ErrNotRegular)
}

// join makes a path of the system of one in the bag.
func join(dir, path string) string { return filepath.Join(dir, filepath.FromSlash(path)) }

// missing reports whether an error says that there is no such file.
func missing(err error) bool { return errors.Is(err, fs.ErrNotExist) }
