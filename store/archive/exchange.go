package archive

import (
	"context"
	"maps"
	"slices"

	"garner/store"
	"garner/store/atomicfile"
	"garner/store/copy"
	"garner/store/vfs"
)

// begin sweeps what an interrupted growing left and nobody wants any more, and says
// in growing.txt what is going to be added. Where nothing is, nothing is written.
func (s *site) begin(g Growth) error {
	for _, t := range g.Tags {
		_, there := s.there.files[t.Path]
		if _, listed := s.tags[t.Path]; there && !listed {
			return differs(s.place.Dir, t.Path)
		}
	}
	absent := s.absent(g.Puts)
	if len(absent) == 0 && s.whole {
		return nil
	}
	if err := vfs.MkdirAll(s.fsys, s.place.Dir, 0o777); err != nil {
		return err
	}
	wanted := map[string]bool{}
	for _, path := range absent {
		wanted[path] = true
	}
	if err := s.clear(wanted); err != nil {
		return err
	}
	// What the manifests were about to list stays said, until they do.
	next := growing{adding: maps.Clone(s.is.adding), listed: s.is.listed, tags: s.is.tags}
	if next.adding == nil {
		next.adding = map[string]bool{}
	}
	maps.Copy(next.adding, wanted)
	return s.write(growingName, next.format())
}

// clear removes partials, and what was being added when it was interrupted and is
// not wanted now. Both are in no manifest. Nothing that lies there counts as removed
// before that is durable: else it would come back after growing.txt has forgotten it.
func (s *site) clear(wanted map[string]bool) error {
	left := slices.Clone(s.there.partials)
	for path := range s.is.adding {
		if _, there := s.there.files[path]; there && !wanted[path] {
			left = append(left, path)
		}
	}
	slices.Sort(left)
	for _, path := range slices.Compact(left) {
		if s.lists(path) {
			continue
		}
		at := join(s.place.Dir, path)
		if err := s.fsys.Remove(at); err != nil && !missing(err) {
			return store.Wrap("remove", at, err)
		}
		if err := s.fsys.SyncDir(vfs.Dir(at)); err != nil {
			return store.Wrap("sync folder", at, err)
		}
		delete(s.is.adding, path)
	}
	return nil
}

// finish gives the bag its new tag files. Before the first is exchanged growing.txt
// says what they and the new payload are, so that any number of them can be known
// for old or new, and what was complete before can still be proved.
func (s *site) finish(ctx context.Context, g Growth) error {
	files, order := s.tagFiles(g)
	if s.whole && s.place.Added == 0 && s.unchanged(files) {
		return nil
	}
	for _, path := range order {
		if len(files[path]) > maxList {
			return store.Wrap("write", join(s.place.Dir, path), errLarge) // nobody could read it
		}
	}
	next := growing{listed: s.fresh(), tags: map[string][]sums{}}
	for path, list := range s.is.tags {
		next.tags[path] = slices.Clone(list)
	}
	for path, b := range files {
		next.tags[path] = append(next.tags[path], sumsOf(b))
	}
	if err := s.write(growingName, next.format()); err != nil {
		return err
	}
	for _, path := range order {
		if err := vfs.MkdirAll(s.fsys, vfs.Dir(join(s.place.Dir, path)), 0o777); err != nil {
			return err
		}
		if err := s.write(path, files[path]); err != nil {
			return err
		}
	}
	for _, path := range order {
		if _, err := copy.Verify(ctx, s.fsys, join(s.place.Dir, path), sumsOf(files[path]).s256); err != nil {
			return err
		}
	}
	growing := join(s.place.Dir, growingName)
	if err := s.fsys.Remove(growing); err != nil {
		return store.Wrap("remove", growing, err)
	}
	return store.Wrap("sync folder", s.place.Dir, s.fsys.SyncDir(s.place.Dir))
}

// write replaces a tag file.
func (s *site) write(path string, b []byte) error {
	return atomicfile.WriteFile(s.fsys, join(s.place.Dir, path), b, 0o666)
}

// fresh is the payload that the manifests on the disk may not list yet.
func (s *site) fresh() map[string]sums {
	list := maps.Clone(s.list)
	for path := range s.old {
		delete(list, path)
	}
	return list
}

// unchanged reports whether the tag files are already what they are going to be.
func (s *site) unchanged(files map[string][]byte) bool {
	for path, b := range files {
		if !isTagManifest(path) && s.tags[path] != sumsOf(b) {
			return false
		}
	}
	return true
}

// tagFiles makes the tag files, and the order in which they are written: the
// manifests first, and those that list the others last.
func (s *site) tagFiles(g Growth) (files map[string][]byte, order []string) {
	files = map[string][]byte{}
	add := func(path string, b []byte) {
		files[path] = b
		order = append(order, path)
	}
	manifests(s.list, "", add)
	add(declarationName, []byte(declarationText))
	var bytes int64
	for _, size := range s.size {
		bytes += size
	}
	add(infoName, formatInfo(append(slices.Clone(g.Info), Field{sizeLabel, decimal(bytes)}, Field{oxumLabel, oxum(bytes, len(s.size))})))
	for _, t := range g.Tags {
		add(t.Path, t.Content)
	}
	// A tag file that is not written now keeps the checksums that it had.
	tags := maps.Clone(s.tags)
	for path, b := range files {
		tags[path] = sumsOf(b)
	}
	manifests(tags, "tag", add)
	return files, order
}

// manifests makes a list for each algorithm.
func manifests(list map[string]sums, prefix string, add func(path string, b []byte)) {
	for _, algorithm := range ours {
		m := make(map[string]string, len(list))
		for path, s := range list {
			m[path] = s.of(algorithm)
		}
		add(prefix+"manifest-"+algorithm+".txt", formatManifest(m))
	}
}
