package handoff

import (
	"context"
	"errors"
	"io/fs"

	"garner/cull"
	"garner/cull/sidecar"
	"garner/store/vfs"
)

// sidecars writes, merges or takes back the sidecars beside the originals, for
// keepers, for dropped frames if asked, and for every frame that an earlier
// handoff wrote something for.
func (s *state) sidecars(ctx context.Context) error {
	swept := map[string]bool{}
	for i, p := range s.layout.Places {
		if err := ctx.Err(); err != nil {
			return err
		}
		s.progress(i, len(s.layout.Places), "sidecars")
		f, ok := s.frames[p.Frame]
		if !ok || len(f.Files) == 0 {
			continue
		}
		if dir := folderOf(f); !swept[dir] {
			swept[dir] = true
			s.sweep(dir)
		}
		if err := s.besideOriginal(ctx, f); err != nil {
			return err
		}
	}
	s.progress(len(s.layout.Places), len(s.layout.Places), "sidecars")
	return s.flush(ctx)
}

// besideOriginal treats the sidecars of one frame in the job.
func (s *state) besideOriginal(ctx context.Context, f cull.Frame) error {
	want := s.values(f.ID)
	listing, err := s.listing(s.job.Root(), folderOf(f))
	if errors.Is(err, fs.ErrNotExist) && f.Freed() { // as every file of the folder may have been
		listing, err = nil, nil
		if !want.IsZero() {
			err = vfs.MkdirAll(s.fs, under(s.job.Root(), folderOf(f)), 0o777)
		}
	}
	if err != nil {
		if want.IsZero() && len(s.mem.byFrame[f.ID]) == 0 {
			return nil
		}
		name := s.names.of(f, nil)[0]
		return s.fail(ctx, Line{ID: f.ID, Frame: f.Name, Sidecar: name}, err)
	}
	for _, target := range s.names.of(f, listing) {
		if err := s.beside(ctx, f, target, want); err != nil {
			return err
		}
	}
	return nil
}

// beside treats one sidecar in the job. target is job-relative.
func (s *state) beside(ctx context.Context, f cull.Frame, target string, want sidecar.Values) error {
	line := Line{ID: f.ID, Frame: f.Name, Sidecar: target}
	file := under(s.job.Root(), target)
	old, err := readBounded(s.fs, file)
	last := s.mem.last(target, old)
	if err != nil {
		if want.IsZero() && last == nil {
			line.Action = Skipped
			return s.propose(ctx, change{line: line, done: true})
		}
		return s.fail(ctx, line, err)
	}
	if old != nil && last == nil {
		last = s.elsewhere(f.ID, target, old)
	}
	switch {
	case want.IsZero() && old == nil:
		s.mem.wrote(target, f.ID, want) // what we wrote is gone
		return nil
	case want.IsZero() && last == nil: // somebody's sidecar of a frame we say nothing about
		line.Action = Skipped
		return s.propose(ctx, change{line: line, done: true})
	}
	return s.propose(ctx, change{line: line, id: f.ID, key: target, file: file, old: old,
		req: sidecar.Request{Old: old, Want: want, Last: last, Replace: s.o.Replace}})
}

// elsewhere finds what we wrote into a sidecar that was moved together with its
// picture, or whose record was lost with the catalogue.
func (s *state) elsewhere(id cull.ID, target string, old []byte) *sidecar.Values {
	for _, key := range s.mem.byFrame[id] {
		_, err := s.fs.Lstat(under(s.job.Root(), key))
		if key == target || !errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if last := s.mem.last(key, old); last != nil {
			s.mem.set(key, nil)
			return last
		}
	}
	v := s.mem.fromJournal(id, old)
	if v != nil {
		// Many programs write these; only what we would write is ours.
		var mine sidecar.Values
		s.credit(id, &mine)
		s.times(id, &mine)
		for have, ours := range map[*string]string{&v.Creator: mine.Creator, &v.Credit: mine.Credit, &v.Rights: mine.Rights, &v.Original: mine.Original, &v.Created: mine.Created} {
			if *have != ours {
				*have = ""
			}
		}
	}
	return v
}
