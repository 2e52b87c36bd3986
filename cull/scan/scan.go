// Package scan walks a job's folder without writing to it, reads what each
// camera file says about itself, and joins the files of one exposure into one
// frame: raw, JPEG or HEIF, voice note and sidecar, wherever they lie.
//
// A frame is recognised by what its files say (serial, time, counter) or by
// their bytes, never by a name alone; names only break ties, and tie voice
// notes and sidecars, which say nothing about themselves, to their picture.
//
// A small picture (preview/small) speaks for the raw that it was made of: alone it
// keeps that one's frame, with its id, name and time.
//
// # Caveats
//
// Symbolic links are listed, not followed: a link can lead in a circle, and
// what lies outside the job is not the job's to keep. The first 64 KiB and the
// size stand for a file's content here; whole contents are compared by verify.
package scan

import (
	"context"
	"maps"
	"slices"
	"strings"

	"garner/cull"
)

// Options steer one scan.
type Options struct {
	// Known is what the catalogue holds. Files of a known frame that have the
	// same path, size and time are not read again.
	Known map[cull.ID]cull.Frame
	// Damaged names files that are known to be damaged, by their paths in the job:
	// a whole file of the same exposure and class leads its frame.
	Damaged map[string]bool
	// Protected names files that were protected in the body, by their paths in the
	// job, where the files themselves no longer show it.
	Protected map[string]bool
	// Progress, if not nil, is told how many of the files were looked at.
	Progress func(done, total int)
	// Enough, if not nil, may end the scan early: it is asked now and then how
	// many picture files were read and how many are left, and the scan ends with
	// what it has when the answer is true. Files that may belong together by
	// their name, wherever they lie, are read all or none. Enough is not asked
	// where something happened to known frames: what became of them is told only
	// when everything was looked at.
	Enough func(read, left int) bool

	testOnlyBlock int // files between two questions; 0 = blockFiles
}

// Other is a file that is no part of a frame, and why.
type Other struct {
	Path string // job-relative, "/"-separated
	Why  string // lower case, no final period
}

// Result is what a scan found.
type Result struct {
	Frames  []cull.Frame // every frame that has a picture file now, by name
	Changed []cull.ID    // frames that are new or not as they were known
	Gone    []cull.ID    // known frames of which no file is left; their decisions stay
	Unseen  []cull.ID    // known frames with files in folders that could not be read; they are among Frames as they were known
	Others  []Other      // by path
	Bodies  []cull.Body  // facts only: key, make, model, serial; by key
	Read    int          // files opened
	Reused  int          // files taken from Known without opening
	Left    int          // picture files not looked at because of Enough; Gone and Others are empty then
}

// Scan reads the folder dir. The error is about the folder itself or ctx; a
// file that cannot be read is a frame with a problem, or is listed in Others.
func Scan(ctx context.Context, dir string, o Options) (Result, error) {
	list, err := walk(ctx, dir)
	if err != nil {
		return Result{}, err
	}
	return scanFiles(ctx, dir, list, o)
}

func scanFiles(ctx context.Context, dir string, list listing, o Options) (Result, error) {
	res := Result{Others: list.others}
	m := newMatcher(dir, o.Known)
	m.damaged = o.Damaged
	fresh := m.keepUntouched(list)
	res.Reused = len(list.files) - len(fresh)
	if !m.untouched() {
		o.Enough = nil
	}
	r := reading{dir: dir, o: o, res: &res, total: len(list.files)}
	if err := r.all(ctx, fresh); err != nil {
		return Result{}, err
	}
	slices.SortFunc(r.pictures, byClassThenPath)
	for _, it := range r.pictures {
		m.place(it)
	}
	res.Frames = m.frames()
	protect(res.Frames, o)
	res.Others = append(res.Others, attach(res.Frames, r.companions)...)
	clearAliases(res.Frames, o.Known)
	nameFrames(res.Frames)
	slices.SortFunc(res.Frames, func(a, b cull.Frame) int { return strings.Compare(a.Name, b.Name) })
	slices.SortFunc(res.Others, func(a, b Other) int { return strings.Compare(a.Path, b.Path) })
	res.Changed, res.Gone = compare(o.Known, res.Frames)
	res.Unseen = m.unseen()
	res.Bodies = bodies(res.Frames)
	if res.Left > 0 {
		res.Gone, res.Others = nil, nil
	}
	return res, nil
}

// protect marks the frames of which a file was protected in the body. A frame that
// was known as such stays it: its files may lie elsewhere now.
func protect(frames []cull.Frame, o Options) {
	for i := range frames {
		f := &frames[i]
		f.Shot.Protected = f.Shot.Protected || o.Known[f.ID].Shot.Protected || slices.ContainsFunc(f.Files, func(file cull.File) bool {
			return o.Protected[file.Path]
		})
	}
}

// compare says which frames differ from what was known, and which are gone.
// What preparation adds (fingerprint, luma) is carried over and not compared.
func compare(known map[cull.ID]cull.Frame, frames []cull.Frame) (changed, gone []cull.ID) {
	here := make(map[cull.ID]bool, len(frames))
	for i := range frames {
		f := &frames[i]
		here[f.ID] = true
		if k, ok := known[f.ID]; !ok || !same(k, *f) {
			changed = append(changed, f.ID)
		}
	}
	for _, id := range slices.Sorted(maps.Keys(known)) {
		if !here[id] && len(known[id].Files) > 0 {
			gone = append(gone, id)
		}
	}
	return changed, gone
}

// same compares what a scan can learn about a frame.
func same(a, b cull.Frame) bool {
	sameFile := func(x, y cull.File) bool {
		return x.Path == y.Path && x.Role == y.Role && x.Kind == y.Kind && x.Size == y.Size && x.Mod.Equal(y.Mod) && x.Head == y.Head && x.Of == y.Of
	}
	return a.Name == b.Name && a.Kind == b.Kind && a.Body == b.Body && a.Shot.Protected == b.Shot.Protected &&
		slices.EqualFunc(a.Files, b.Files, sameFile) &&
		slices.Equal(a.Previews, b.Previews) &&
		!slices.ContainsFunc(b.Aliases, func(id cull.ID) bool { return !slices.Contains(a.Aliases, id) })
}
