package handoff

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"path"
	"path/filepath"
	"slices"

	"garner/cull"
	"garner/cull/sidecar"
	"garner/store"
	"garner/store/copy"
	"garner/store/vfs"
)

// copies makes the folder for the editor: verified copies of the keepers with
// their sidecars, a folder a scene, and the note.
func (s *state) copies(ctx context.Context, keeps []Keep) error {
	if err := vfs.MkdirAll(s.fs, s.o.To, 0o777); err != nil {
		return err
	}
	clear(s.folders) // the job's sidecars are new, and are what copies' ones begin with
	s.readPlaces()
	scenes := map[string]int{}
	for i, k := range keeps {
		if err := ctx.Err(); err != nil {
			return err
		}
		s.progress(i, len(keeps), "copies")
		pl := s.placeOf(k)
		scenes[pl.Folder]++
		if err := s.copyKeep(ctx, k, pl); err != nil {
			return err
		}
	}
	s.progress(len(keeps), len(keeps), "copies")
	if err := s.takeBack(ctx); err != nil {
		return err
	}
	return s.leaveNote(keeps, scenes)
}

// copyKeep copies a keeper's files and proposes their sidecar. The error is one
// that ends the handoff: the context, or a destination that is full or gone.
func (s *state) copyKeep(ctx context.Context, k Keep, pl place) error {
	_, before := s.places[k.Frame.ID]
	if err := s.ready(pl.Folder); err != nil {
		s.tell(Line{ID: k.Frame.ID, Frame: k.Frame.Name, Copy: path.Join(pl.Folder, pl.Files[0]), Action: Failed, Reason: reason(err)})
		return nil
	}
	failed := false
	for i, f := range k.originals() {
		line := Line{ID: k.Frame.ID, Frame: k.Frame.Name, Copy: path.Join(pl.Folder, pl.Files[i])}
		work := copy.Job{Source: under(s.job.Root(), f.Path), Dests: []string{under(s.o.To, line.Copy)}, AllowClone: true}
		if sum, ok := s.manifest[f.Path]; ok {
			work.Expect = (*[32]byte)(&sum) // an original that is damaged since it was recorded goes nowhere
		}
		res, err := copy.File(ctx, s.fs, work)
		switch {
		case ctx.Err() != nil:
			return ctx.Err()
		case err == nil && res.Dests[0].State == copy.Present:
			line.Action = Unchanged
		case err == nil:
			line.Action = Written
			s.sum.CopiedBytes += res.Size
			s.sum.UnverifiedRead = s.sum.UnverifiedRead || !res.Dests[0].Bypassed
		case errors.Is(err, store.ErrDiffers) && before && k.ignoresSidecar():
			line.Action, line.Reason = Skipped, "changed since it was copied"
		case errors.Is(err, store.ErrDiffers) && before:
			// Nobody writes into such a raw.
			line.Action, line.Reason = Failed, "no longer what was copied, perhaps damaged; move it away to have it copied again"
		default:
			line.Action, line.Reason = Failed, reason(err)
			failed = true
		}
		s.tell(line)
		if c := store.Class(err); err != nil && (c == store.NoSpace || c == store.DeviceGone) {
			return fmt.Errorf("%s: %w", s.o.To, err)
		}
	}
	if failed {
		return nil // without its picture a sidecar would be an orphan, and the place is not ours yet
	}
	s.places[k.Frame.ID] = pl
	s.mem.setJSON(s.placeKey(k.Frame.ID), pl)
	if err := s.besideCopy(ctx, k.Frame, pl); err != nil {
		return err
	}
	return s.flush(ctx) // a sync of the catalogue is little beside the copy of a raw
}

// ready makes a scene's folder and sweeps what a killed handoff left in it. A
// folder that leads into the job by a link is refused like To itself.
func (s *state) ready(folder string) error {
	full := under(s.o.To, folder)
	if err, ok := s.readied[full]; ok {
		return err
	}
	err := vfs.MkdirAll(s.fs, full, 0o777)
	if err == nil && vfs.Within(s.fs, s.job.Root(), full) {
		err = ErrInsideJob
	}
	if err == nil {
		_, err = vfs.Sweep(s.fs, full)
	}
	s.readied[full] = err
	return err
}

// besideCopy proposes the sidecar of a copy. A new one begins with the job's
// own sidecar of the frame, so that what was in that one comes along.
func (s *state) besideCopy(ctx context.Context, f cull.Frame, pl place) error {
	want := s.values(f.ID)
	listing, err := s.listing(s.o.To, pl.Folder)
	if err != nil {
		return s.fail(ctx, Line{ID: f.ID, Frame: f.Name, Sidecar: pl.Folder}, err)
	}
	for _, target := range sidecar.Targets(path.Join(pl.Folder, pl.Files[0]), s.o.Style, listing, false) {
		line := Line{ID: f.ID, Frame: f.Name, Sidecar: target}
		c := change{line: line, id: f.ID, key: s.copyKey(target), file: under(s.o.To, target)}
		if c.old, err = readBounded(s.fs, c.file); err != nil {
			if err := s.fail(ctx, line, err); err != nil {
				return err
			}
			continue
		}
		if c.old == nil && want.IsZero() {
			continue
		}
		c.req = sidecar.Request{Old: c.old, Want: want, Last: s.mem.last(c.key, c.old), Replace: s.o.Replace}
		if c.old == nil {
			if own, last := s.ownSidecar(f); own != nil {
				c.begun, c.req.Old, c.req.Last = true, own, last
			}
		}
		if err := s.propose(ctx, c); err != nil {
			return err
		}
	}
	return nil
}

// ownSidecar is the job's sidecar of a frame as it is now, and what of it is
// ours; nil = none.
func (s *state) ownSidecar(f cull.Frame) ([]byte, *sidecar.Values) {
	listing, err := s.listing(s.job.Root(), folderOf(f))
	if err != nil {
		return nil, nil
	}
	for _, p := range s.names.existing(f, listing) {
		if b, err := readBounded(s.fs, under(s.job.Root(), p)); err == nil && b != nil {
			return b, s.mem.last(p, b)
		}
	}
	return nil, nil
}

// takeBack changes or withdraws our values beside copies of frames that are no
// keepers any more. The copies stay: the editor may have worked on them.
func (s *state) takeBack(ctx context.Context) error {
	for _, id := range slices.Sorted(maps.Keys(s.places)) {
		f, known := s.frames[id]
		pl := s.places[id]
		if !known || handedOver(s.answer(id)) {
			continue
		}
		if _, err := s.fs.Lstat(filepath.Join(under(s.o.To, pl.Folder), pl.Files[0])); err != nil {
			continue // somebody has taken it away already
		}
		s.sum.NoLongerKept = append(s.sum.NoLongerKept, path.Join(pl.Folder, pl.Files[0]))
		if err := s.besideCopy(ctx, f, pl); err != nil {
			return err
		}
	}
	return s.flush(ctx)
}
