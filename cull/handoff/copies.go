package handoff

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"

	"garner/cull"
	"garner/cull/sidecar"
	"garner/store"
	"garner/store/atomicfile"
	"garner/store/copy"
	"garner/store/vfs"
)

// place is where a keeper went in a folder of copies. It is remembered, so that
// a keeper more, or a corrected clock, renames no file that the editor works on.
type place struct {
	Folder string   `json:"folder"`
	Stem   string   `json:"stem"`
	Files  []string `json:"files"` // names below Folder, one for each original
}

// placePrefix begins the keys of places among what handoffs wrote.
const placePrefix = "place\x00"

func (s *state) placeKey(id cull.ID) string { return placePrefix + s.o.To + "\x00" + string(id) }
func (s *state) copyKey(p string) string    { return "copy\x00" + s.o.To + "\x00" + p }

// copies makes the folder for the editor: verified copies of the keepers with
// their sidecars, a folder a scene, and the note.
func (s *state) copies(ctx context.Context, keeps []Keep) error {
	if err := os.MkdirAll(s.o.To, 0o777); err != nil {
		return err
	}
	if err := s.sweep(); err != nil {
		return err
	}
	scenes := map[string]int{}
	for i, k := range keeps {
		if err := ctx.Err(); err != nil {
			return err
		}
		s.progress(i, len(keeps), "copies")
		if len(s.news) >= rememberEvery {
			if err := s.flush(); err != nil {
				return err
			}
		}
		pl := s.placeOf(k)
		scenes[pl.Folder]++
		if err := s.copyKeep(ctx, k, pl); err != nil {
			return err
		}
	}
	s.progress(len(keeps), len(keeps), "copies")
	s.takeBack(keeps)
	return atomicfile.WriteFile(s.fs, filepath.Join(s.o.To, NoteName), s.note(keeps, scenes), 0o666)
}

// sweep removes the partials that a killed handoff left in the folders that
// it makes: the folder itself and those of the scenes.
func (s *state) sweep() error {
	folders := map[string]bool{s.o.To: true}
	for _, sc := range s.layout.Scenes {
		folders[filepath.Join(s.o.To, sceneFolder(sc))] = true
	}
	for _, dir := range slices.Sorted(maps.Keys(folders)) {
		if _, err := vfs.Sweep(s.fs, dir); err != nil {
			return err
		}
	}
	return nil
}

// placeOf gives a keeper its place: the one it had, else one by today's order.
func (s *state) placeOf(k Keep) place {
	pl, known := s.placed(k.Frame.ID)
	names := copyNames(pl.Stem, k.originals())
	if !known {
		pl = place{Folder: sceneFolder(k.Scene), Stem: copyStem(k)}
		names = copyNames(pl.Stem, k.originals())
	}
	pl.Files = names
	return pl
}

func (s *state) placed(id cull.ID) (pl place, ok bool) {
	b, ok := s.wrote[s.placeKey(id)]
	return pl, ok && len(b) > 0 && json.Unmarshal(b, &pl) == nil && pl.Stem != ""
}

// copyKeep copies a keeper's files. The error is one that ends the handoff: the
// context, or a destination that is full or gone.
func (s *state) copyKeep(ctx context.Context, k Keep, pl place) error {
	_, before := s.placed(k.Frame.ID)
	failed := false
	for i, f := range k.originals() {
		rel := path.Join(pl.Folder, pl.Files[i])
		line := Line{ID: k.Frame.ID, Frame: k.Frame.Name, Copy: rel}
		dest := filepath.Join(s.o.To, filepath.FromSlash(rel))
		if err := os.MkdirAll(filepath.Dir(dest), 0o777); err != nil {
			return err
		}
		res, err := copy.File(ctx, s.fs, copy.Job{
			Source: filepath.Join(s.job.Root(), filepath.FromSlash(f.Path)), Dests: []string{dest}, AllowClone: true,
		})
		if err == nil && len(res.Dests) == 1 {
			err = res.Dests[0].Err
		}
		switch {
		case ctx.Err() != nil:
			return ctx.Err()
		case err == nil && res.Dests[0].State == copy.Present:
			line.Action = Unchanged
		case err == nil:
			line.Action = Written
			s.sum.CopiedBytes += res.Size
			s.sum.UnverifiedRead = s.sum.UnverifiedRead || !res.Dests[0].Bypassed
		case errors.Is(err, store.ErrDiffers) && before:
			line.Action, line.Reason = Skipped, "it was changed since it was copied and is left as it is"
		default:
			line.Action, line.Reason = Failed, reason(err)
			failed = true
		}
		s.tell(line)
		if err != nil && (store.Class(err) == store.NoSpace || store.Class(err) == store.DeviceGone) {
			return fmt.Errorf("%s: %w", s.o.To, err)
		}
	}
	if failed {
		return nil // without its picture a sidecar would be an orphan, and the place is not ours yet
	}
	b, err := json.Marshal(pl)
	if err != nil {
		return err
	}
	s.news[s.placeKey(k.Frame.ID)] = b
	kept := map[cull.ID]Keep{k.Frame.ID: k}
	s.besideCopy(k.Frame, pl, s.values(k.Frame.ID, kept))
	return nil
}

// besideCopy treats the sidecar of a copy: begun from the job's own sidecar,
// so that what was in that one comes along.
func (s *state) besideCopy(f cull.Frame, pl place, want sidecar.Values) {
	main := path.Join(pl.Folder, pl.Files[0])
	listing := s.namesIn(pl.Folder)
	for _, target := range sidecar.Targets(main, s.o.Style, listing, false) {
		line := Line{ID: f.ID, Frame: f.Name, Sidecar: target}
		file := filepath.Join(s.o.To, filepath.FromSlash(target))
		old, err := readBounded(file)
		if err != nil {
			line.Action, line.Reason = Failed, reason(err)
			s.tell(line)
			continue
		}
		key := s.copyKey(target)
		r := sidecar.Request{Old: old, Want: want, Last: s.last(key), Replace: s.o.Replace}
		if old == nil && want.IsZero() {
			continue
		}
		if old == nil {
			if begun := s.ownSidecar(f); begun != nil {
				// The bytes have to be written even if nothing in them changes.
				if err := atomicfile.WriteFile(s.fs, file, begun, 0o666); err != nil {
					line.Action, line.Reason = Failed, reason(err)
					s.tell(line)
					continue
				}
				r.Old, r.Last = begun, &want
				res := sidecar.Merge(r)
				if res.Action == sidecar.Unchanged {
					line.Action = Written
					s.remember(key, res.Wrote)
					s.tell(line)
					continue
				}
			}
		}
		s.merge(line, key, file, r)
	}
}

// ownSidecar is the job's sidecar of a frame as it is now; nil = none.
func (s *state) ownSidecar(f cull.Frame) []byte {
	main := f.Files[0].Path
	entries, err := s.listing(map[string][]string{}, path.Dir(main))
	if err != nil {
		return nil
	}
	for _, p := range sidecar.Existing(main, entries) {
		if b, err := readBounded(filepath.Join(s.job.Root(), filepath.FromSlash(p))); err == nil && b != nil {
			return b
		}
	}
	return nil
}

// takeBack changes or withdraws our values beside copies of frames that are no
// keepers any more. The copies stay: the editor may have worked on them.
func (s *state) takeBack(keeps []Keep) {
	kept := map[cull.ID]Keep{}
	for _, k := range keeps {
		kept[k.Frame.ID] = k
	}
	for _, id := range slices.Sorted(maps.Keys(s.frames)) {
		pl, ok := s.placed(id)
		if _, still := kept[id]; !ok || still || len(pl.Files) == 0 {
			continue
		}
		if _, err := os.Lstat(filepath.Join(s.o.To, filepath.FromSlash(pl.Folder), pl.Files[0])); err != nil {
			continue // somebody has taken it away already
		}
		s.sum.NoLongerKept = append(s.sum.NoLongerKept, path.Join(pl.Folder, pl.Files[0]))
		s.besideCopy(s.frames[id], pl, s.values(id, kept))
	}
}

// namesIn lists a folder of To, as paths below To.
func (s *state) namesIn(folder string) []string {
	entries, _ := os.ReadDir(filepath.Join(s.o.To, filepath.FromSlash(folder)))
	names := make([]string, 0, len(entries))
	for _, e := range entries {
		names = append(names, path.Join(folder, e.Name()))
	}
	return names
}
