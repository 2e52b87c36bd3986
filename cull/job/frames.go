package job

import (
	"fmt"
	"slices"
	"time"

	"garner/cull"
	"garner/store/catalog"
)

// Frames returns every frame of the job by id.
func (j *Job) Frames() (map[cull.ID]cull.Frame, error) {
	var frames map[cull.ID]cull.Frame
	err := j.db.View(func(tx *catalog.Tx) (err error) {
		frames, err = framesOf(tx, 0)
		return err
	})
	return frames, err
}

// SaveFrames stores frames, all of them or none. A frame known under one of the
// aliases becomes one with it, decisions and evidence included. A file that
// another frame had is taken from that frame, which stays, if need be without
// files.
func (j *Job) SaveFrames(frames []cull.Frame) error {
	return j.update(func(tx *catalog.Tx) error {
		for _, f := range frames {
			if err := saveFrame(tx, f); err != nil {
				return err
			}
		}
		return nil
	})
}

// ReplaceFiles says where the files of frames are now; an empty list where they
// vanished: the frame stays, with its decisions. Previews follow a file that
// was moved, and go with one that is gone.
func (j *Job) ReplaceFiles(files map[cull.ID][]cull.File) error {
	ids := make([]cull.ID, 0, len(files))
	for id := range files {
		ids = append(ids, id)
	}
	slices.Sort(ids)
	return j.update(func(tx *catalog.Tx) error {
		for _, id := range ids {
			old, ok, err := tx.Frames().Get(string(id))
			if err != nil {
				return err
			}
			if !ok {
				return fmt.Errorf("frame %s: %w", id, cull.ErrUnknownFrame)
			}
			f := fromFrame(string(id), old)
			f.Previews = movePreviews(f.Previews, f.Files, files[id])
			f.Files = files[id]
			if err := saveFrame(tx, f); err != nil {
				return err
			}
		}
		return nil
	})
}

// movePreviews gives previews the new path of their file, which is told by size
// and head.
func movePreviews(previews []cull.Preview, old, now []cull.File) []cull.Preview {
	moved := map[string]string{}
	for _, f := range now {
		moved[f.Path] = f.Path
	}
	for _, was := range old {
		if _, stays := moved[was.Path]; stays {
			continue
		}
		for _, is := range now {
			if is.Size == was.Size && is.Head == was.Head {
				moved[was.Path] = is.Path
				break
			}
		}
	}
	var out []cull.Preview
	for _, p := range previews {
		if path, ok := moved[p.File]; ok {
			p.File = path
			out = append(out, p)
		}
	}
	return out
}

func saveFrame(tx *catalog.Tx, f cull.Frame) error {
	id := string(f.ID)
	if id == "" {
		return fmt.Errorf("frame %s: it has no id", showPath(f.Name))
	}
	var aliases []cull.ID
	for _, alias := range f.Aliases {
		ours, err := adopt(tx, string(alias), f)
		if err != nil {
			return err
		}
		if ours {
			aliases = append(aliases, alias)
		}
	}
	f.Aliases = aliases
	old, known, err := tx.Frames().Get(id)
	if err != nil {
		return err
	}
	for _, alias := range old.Aliases { // a name once known stays one
		if !slices.Contains(f.Aliases, cull.ID(alias)) {
			f.Aliases = append(slices.Clip(f.Aliases), cull.ID(alias))
		}
	}
	now := toFrame(f)
	if known && !samePixels(old, now) {
		if err := forgetMeasures(tx, id); err != nil {
			return err
		}
	}
	if err := dropPaths(tx, id, old.Files); err != nil {
		return err
	}
	for _, file := range f.Files {
		if err := takePath(tx, id, file); err != nil {
			return err
		}
	}
	if err := notGrouped(tx, id); err != nil {
		return err
	}
	return tx.Frames().Put(id, now)
}

// dropPaths forgets paths as far as they are listed for the frame.
func dropPaths(tx *catalog.Tx, id string, files []catalog.File) error {
	for _, file := range files {
		p, ok, err := tx.Paths().Get(file.Path)
		if err != nil {
			return err
		}
		if ok && p.Frame == id {
			if err := tx.Paths().Delete(file.Path); err != nil {
				return err
			}
		}
	}
	return nil
}

// takePath lists a file for a frame, and takes it from the frame that had it.
func takePath(tx *catalog.Tx, id string, file cull.File) error {
	p, ok, err := tx.Paths().Get(file.Path)
	if err != nil {
		return err
	}
	if ok && p.Frame != id {
		other, known, err := tx.Frames().Get(p.Frame)
		if err != nil {
			return err
		}
		if known {
			other.Files = slices.DeleteFunc(other.Files, func(f catalog.File) bool { return f.Path == file.Path })
			had := len(other.Previews)
			other.Previews = slices.DeleteFunc(other.Previews, func(p catalog.Preview) bool { return p.File == file.Path })
			if len(other.Previews) < had {
				if err := forgetMeasures(tx, p.Frame); err != nil {
					return err
				}
			}
			if err := tx.Frames().Put(p.Frame, other); err != nil {
				return err
			}
		}
	}
	return tx.Paths().Put(file.Path, catalog.Path{Frame: id, Size: file.Size, Mod: file.Mod, Head: file.Head})
}

// adopt makes former another name of f. What is kept under former moves. A frame
// that keeps files of its own is nobody's other name: two exposures that a body
// could not tell apart (one time, no counter) would become one.
func adopt(tx *catalog.Tx, former string, f cull.Frame) (ours bool, err error) {
	id := string(f.ID)
	if former == id || former == "" {
		return false, nil
	}
	if now, ok, err := tx.Aliases().Get(former); err != nil || (ok && now == id) {
		return err == nil, err
	}
	old, wasFrame, err := tx.Frames().Get(former)
	if err != nil || slices.ContainsFunc(old.Files, func(of catalog.File) bool { return !hasPath(f, of.Path) }) {
		return false, err
	}
	names := []string{former}
	if wasFrame { // names of the former frame are names of this one
		err := tx.Aliases().Each(func(alias, to string) error {
			if to == former {
				names = append(names, alias)
			}
			return nil
		})
		if err != nil {
			return false, err
		}
	}
	for _, alias := range names {
		if err := tx.Aliases().Put(alias, id); err != nil {
			return false, err
		}
	}
	// The frame's own id is no alias any more, should it have been one.
	if err := tx.Aliases().Delete(id); err != nil {
		return false, err
	}
	if err := dropPaths(tx, former, old.Files); err != nil {
		return false, err
	}
	if err := tx.Frames().Delete(former); err != nil {
		return false, err
	}
	return true, moveRecords(tx, former, id)
}

func hasPath(f cull.Frame, path string) bool {
	return slices.ContainsFunc(f.Files, func(file cull.File) bool { return file.Path == path })
}

// moveRecords moves decisions and evidence. Where both frames had been decided,
// the later decision stands, as in cull.Session.SetAlias.
func moveRecords(tx *catalog.Tx, former, id string) error {
	for _, pass := range tx.StatePasses() {
		t := tx.State(pass)
		was, ok, err := t.Get(former)
		if err != nil {
			return err
		}
		if !ok {
			continue
		}
		is, _, err := t.Get(id)
		if err == nil && was.Seq > is.Seq {
			err = t.Put(id, was)
		}
		if err == nil {
			err = t.Delete(former)
		}
		if err != nil {
			return err
		}
	}
	for _, method := range tx.Methods() {
		t := tx.Evidence(method)
		was, ok, err := t.Get(former)
		if err != nil {
			return err
		}
		if !ok {
			continue
		}
		_, has, err := t.Get(id)
		if err == nil && !has {
			err = t.Put(id, was)
		}
		if err == nil {
			err = t.Delete(former)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// PathRecord is what was seen of a file when it was last read.
type PathRecord struct {
	Frame cull.ID
	Size  int64
	Mod   time.Time
	Head  string // lower-case hex SHA-256 of the first 64 KiB
}

// Paths returns what was seen of every file of every frame, by its path.
func (j *Job) Paths() (map[string]PathRecord, error) {
	paths := map[string]PathRecord{}
	err := j.db.View(func(tx *catalog.Tx) error {
		return tx.Paths().Each(func(path string, p catalog.Path) error {
			paths[path] = PathRecord{Frame: cull.ID(p.Frame), Size: p.Size, Mod: p.Mod, Head: p.Head}
			return nil
		})
	})
	return paths, err
}

// Aliases returns the present id for every other id that frames were known
// under.
func (j *Job) Aliases() (map[cull.ID]cull.ID, error) {
	var aliases map[cull.ID]cull.ID
	err := j.db.View(func(tx *catalog.Tx) (err error) {
		aliases, err = aliasesOf(tx)
		return err
	})
	return aliases, err
}

func aliasesOf(tx *catalog.Tx) (map[cull.ID]cull.ID, error) {
	aliases := map[cull.ID]cull.ID{}
	err := tx.Aliases().Each(func(alias, id string) error {
		aliases[cull.ID(alias)] = cull.ID(id)
		return nil
	})
	return aliases, err
}

// Other is a file of the job that belongs to no frame, and why.
type Other struct {
	Path string
	Why  string
}

// Others returns the files that belong to no frame.
func (j *Job) Others() ([]Other, error) {
	var out []Other
	err := j.db.View(func(tx *catalog.Tx) error {
		others, err := tx.Others().Get()
		for _, o := range others {
			out = append(out, Other(o))
		}
		return err
	})
	return out, err
}

// SaveOthers replaces the list of files that belong to no frame.
func (j *Job) SaveOthers(list []Other) error {
	others := make([]catalog.Other, len(list))
	for i, o := range list {
		others[i] = catalog.Other(o)
	}
	return j.update(func(tx *catalog.Tx) error { return tx.Others().Put(others) })
}
