package handoff

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"

	"garner/cull"
	"garner/cull/sidecar"
	"garner/store/atomicfile"
)

// maxSidecar bounds what is read of a file that calls itself a sidecar.
const maxSidecar = 16 << 20

// rememberEvery is how many sidecars a killed handoff may have written without
// remembering them. Those are known again by their date as long as nothing
// else is decided for their frames.
const rememberEvery = 32

// sidecars writes, merges or takes back the sidecars beside the originals, for
// keepers, for dropped frames if asked, and for every frame that an earlier
// handoff wrote something for.
func (s *state) sidecars(ctx context.Context, keeps []Keep) error {
	mains := map[string]string{}
	for id, f := range s.frames {
		if len(f.Files) > 0 {
			mains[f.Files[0].Path] = string(id)
		}
	}
	shared := sidecar.Shared(mains)
	kept := map[cull.ID]Keep{}
	for _, k := range keeps {
		kept[k.Frame.ID] = k
	}
	folders := map[string][]string{}
	for i, p := range s.layout.Places {
		if err := ctx.Err(); err != nil {
			return err
		}
		s.progress(i, len(s.layout.Places), "sidecars")
		f, ok := s.frames[p.Frame]
		if !ok || len(f.Files) == 0 {
			continue
		}
		main := f.Files[0].Path
		listing, err := s.listing(folders, path.Dir(main))
		if err != nil {
			s.tell(Line{ID: f.ID, Frame: f.Name, Sidecar: main, Action: Failed, Reason: reason(err)})
			continue
		}
		if len(s.news) >= rememberEvery {
			if err := s.flush(); err != nil {
				return err
			}
		}
		want := s.values(f.ID, kept)
		for _, target := range sidecar.Targets(main, s.o.Style, listing, shared[main]) {
			s.beside(f, target, want, p.Frame)
		}
	}
	s.progress(len(s.layout.Places), len(s.layout.Places), "sidecars")
	return nil
}

// values is what we have to say about a frame; zero for one that is not handed
// over, so that what was said before is taken back.
func (s *state) values(id cull.ID, kept map[cull.ID]Keep) sidecar.Values {
	d := s.answers[cull.KeepPass][id]
	rating, good := s.o.Rating, true
	k, ok := kept[id]
	if !ok {
		if d.Answer != cull.No || !s.o.Drops {
			return sidecar.Values{}
		}
		rating, good = -1, false
	}
	v := sidecar.Values{Rating: &rating, Good: &good, MetadataDate: s.date(id)}
	if ok {
		v.Scene, v.CameraLabel = k.Scene.Name, k.Letter
	}
	if s.o.Keywords {
		v.Keywords = append([]string{}, k.Passes...)
	}
	return v
}

// date is the time of the frame's last journal entry as an XMP date, so that
// the same decisions always give the same bytes.
func (s *state) date(id cull.ID) string {
	t := s.touched(id)
	if t.IsZero() {
		return ""
	}
	return t.UTC().Format("2006-01-02T15:04:05.000Z")
}

// beside treats one sidecar in the job. target is job-relative.
func (s *state) beside(f cull.Frame, target string, want sidecar.Values, id cull.ID) {
	line := Line{ID: id, Frame: f.Name, Sidecar: target}
	file := filepath.Join(s.job.Root(), filepath.FromSlash(target))
	old, err := readBounded(file)
	if err != nil {
		line.Action, line.Reason = Failed, reason(err)
		s.tell(line)
		return
	}
	last := s.last(target)
	if want.IsZero() && (old == nil || last == nil) {
		if old != nil { // somebody's sidecar of a frame we say nothing about
			line.Action = Skipped
			s.tell(line)
		}
		return
	}
	s.merge(line, target, file, sidecar.Request{Old: old, Want: want, Last: last, Replace: s.o.Replace})
}

// merge carries one decision of cull/sidecar out.
func (s *state) merge(line Line, key, file string, r sidecar.Request) {
	res := sidecar.Merge(r)
	line.Action, line.Reason = Action(res.Action), res.Reason
	if res.Bytes != nil {
		if err := atomicfile.WriteFile(s.fs, file, res.Bytes, 0o666); err != nil {
			line.Action, line.Reason = Failed, reason(err)
			s.tell(line)
			return
		}
	}
	if res.Action != sidecar.Failed {
		s.remember(key, res.Wrote)
	}
	s.tell(line)
}

// last is what an earlier handoff wrote under the key; nil = nothing known.
func (s *state) last(key string) *sidecar.Values {
	b := s.wrote[key]
	if n, ok := s.news[key]; ok {
		b = n
	}
	if len(b) == 0 {
		return nil
	}
	v := new(sidecar.Values)
	if json.Unmarshal(b, v) != nil {
		return nil
	}
	return v
}

func (s *state) remember(key string, v sidecar.Values) {
	b, err := json.Marshal(v)
	if err == nil && string(b) != string(s.wrote[key]) {
		s.news[key] = b
	}
}

// listing is the job-relative names in a folder of the job, read once.
func (s *state) listing(seen map[string][]string, dir string) ([]string, error) {
	if l, ok := seen[dir]; ok {
		return l, nil
	}
	entries, err := os.ReadDir(filepath.Join(s.job.Root(), filepath.FromSlash(dir)))
	if err != nil {
		return nil, err
	}
	l := make([]string, 0, len(entries))
	for _, e := range entries {
		if !e.IsDir() {
			l = append(l, path.Join(dir, e.Name()))
		}
	}
	seen[dir] = l
	return l, nil
}

// readBounded reads a sidecar; nil without an error where there is none.
func readBounded(file string) ([]byte, error) {
	f, err := os.Open(file)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	defer f.Close()
	b, err := io.ReadAll(io.LimitReader(f, maxSidecar+1))
	if err != nil {
		return nil, err
	}
	if len(b) > maxSidecar {
		return nil, fmt.Errorf("it is larger than %d MiB", maxSidecar>>20)
	}
	if b == nil {
		b = []byte{}
	}
	return b, nil
}

// reason is an error without its path, which stands beside it.
func reason(err error) string {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return pe.Op + ": " + pe.Err.Error()
	}
	return err.Error()
}
