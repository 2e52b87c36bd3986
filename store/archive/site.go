package archive

import (
	"context"
	"crypto/sha512"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"sync"

	"garner/store"
	"garner/store/copy"
	"garner/store/vfs"
)

// site is one bag while it grows.
type site struct {
	fsys  vfs.FS
	place *Place
	there *content
	is    growing         // what an interrupted growing has left
	tags  map[string]sums // tag files that are listed
	old   map[string]bool // payload that both manifests list
	whole bool            // it is a bag, and was not interrupted

	mu   sync.Mutex       // of what follows, and of place
	list map[string]sums  // the payload: what the manifests list, or are about to
	size map[string]int64 // of those, in bytes
}

var (
	errForeign = errors.New("is no bag of garner: those are of BagIt 1.0, in UTF-8, with SHA-256 and SHA-512 of every file; it is left as it is")
	errOther   = errors.New("is a folder with something else in it, and not a bag")
	errDamaged = errors.New("is damaged: look at it with garner archive --check before anything is added")
)

// fail keeps the first failure; a place that has one is worked on no more.
func (s *site) fail(err error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.place.Err == nil {
		s.place.Err = err
	}
}

// alive reports whether the place has not failed.
func (s *site) alive() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.place.Err == nil
}

// open looks at what is there: nothing, a bag, or one that was interrupted. It
// changes nothing.
func (s *site) open(ctx context.Context) error {
	dir := s.place.Dir
	s.list, s.tags, s.size = map[string]sums{}, map[string]sums{}, map[string]int64{}
	if _, err := s.fsys.Lstat(dir); missing(err) {
		s.there = nothing()
		return nil
	}
	var f findings
	b, err := read(s.fsys, dir, &f)
	if err != nil && !errors.Is(err, ErrNoBag) {
		return err
	}
	if s.there, err = walk(s.fsys, dir); err != nil {
		return err
	}
	if links := slices.Sorted(maps.Keys(s.there.irregular)); len(links) > 0 {
		return store.Wrap("archive to", join(dir, links[0]), store.ErrNotRegular)
	}
	if b == nil {
		for path := range s.there.files {
			if !litter(path) && !store.IsPartial(base(path)) {
				return store.Wrap("archive to", dir, errOther)
			}
		}
		return nil
	}
	s.is = b.growing
	if len(f.faults) > 0 {
		return store.Wrap("archive to", dir, fmt.Errorf("%w (%s)", errDamaged, f.sorted()[0]))
	}
	return s.adopt(ctx, b)
}

// adopt takes over what the bag lists, if that can be believed: the tag files are
// those of the tag manifests, and every payload file is there.
func (s *site) adopt(ctx context.Context, b *Bag) error {
	if !b.ours() {
		return store.Wrap("archive to", b.Dir, errForeign)
	}
	damaged := func(path, what string) error {
		return store.Wrap("archive to", b.Dir, fmt.Errorf("%w (%s %s)", errDamaged, path, what))
	}
	half := map[string]sums{} // in the one manifest and not in the other
	merge(b.manifests, s.list, half)
	s.old = map[string]bool{}
	for path := range s.list {
		s.old[path] = true
	}
	for path, is := range s.is.listed {
		s.list[path] = is
		delete(half, path)
	}
	for path := range half {
		return damaged(path, "is not in every manifest")
	}
	merge(b.tagLists, s.tags, half)
	if !s.is.there {
		for path := range half {
			return damaged(path, "is not in every tag manifest")
		}
		for _, name := range []string{declarationName, infoName, b.manifests[0].file, b.manifests[1].file} {
			if _, ok := s.tags[name]; !ok {
				return damaged(name, "is not in the tag manifests")
			}
		}
	}
	if err := s.readTags(ctx, half, damaged); err != nil {
		return err
	}
	var bytes int64
	for path := range s.list {
		size, ok := s.there.files[path]
		if !ok {
			return damaged(path, "is missing")
		}
		s.size[path] = size
		bytes += size
	}
	if want, _ := field(b.Info, oxumLabel); !s.is.there && want != oxum(bytes, len(s.list)) {
		return damaged(infoName, "says another "+oxumLabel)
	}
	s.whole = !s.is.there
	return nil
}

// readTags makes sure that the tag files are those of the tag manifests, so that
// what somebody changed does not get new checksums that fit. Where the growing was
// interrupted they may also be what that was about to make.
func (s *site) readTags(ctx context.Context, half map[string]sums, damaged func(path, what string) error) error {
	known := maps.Clone(s.tags)
	maps.Copy(known, half)
	for path := range s.is.tags {
		_, there := s.there.files[path]
		if _, listed := known[path]; there && !listed && !isTagManifest(path) {
			known[path] = sums{} // to be explained, then
		}
	}
	for path, want := range known {
		if _, ok := s.there.files[path]; !ok {
			return damaged(path, "is missing")
		}
		second := sha512.New()
		c, err := copy.ReadBackTo(ctx, s.fsys, join(s.place.Dir, path), second)
		if err != nil {
			return err
		}
		is := sums{s256: c.Sum, s512: [sha512.Size]byte(second.Sum(nil))}
		if c.Sum != want.s256 && !s.is.explains(path, c.Sum) {
			return damaged(path, "was changed")
		}
		if s.is.there {
			s.tags[path] = is
		}
	}
	return nil
}

// ours reports whether the bag is of the form that Grow makes, or on its way there.
func (b *Bag) ours() bool {
	if !b.version.strict() || strings.ToUpper(b.Encoding) != "UTF-8" || len(b.fetch) > 0 {
		return false
	}
	for _, lists := range [][]manifest{b.manifests, b.tagLists} {
		for _, m := range lists {
			if !slices.Contains(ours[:], m.algorithm) || !strings.HasSuffix(m.file, "manifest-"+m.algorithm+".txt") {
				return false
			}
		}
		if len(lists) < len(ours) && !b.Growing {
			return false
		}
	}
	return true
}

// merge brings the digests of both manifests together: in both those that both
// list, in half those of one alone.
func merge(lists []manifest, both, half map[string]sums) {
	n := map[string]int{}
	for _, m := range lists {
		for path, digest := range m.sums {
			s := half[path]
			s.set(m.algorithm, digest)
			half[path] = s
			n[path]++
		}
	}
	for path, times := range n {
		if times == len(ours) {
			both[path] = half[path]
			delete(half, path)
		}
	}
}
