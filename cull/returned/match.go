package returned

import (
	"context"
	"encoding/json"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"garner/cull"
	"garner/cull/job"
	"garner/preview/sched"
)

// Options say how to match.
type Options struct {
	Workers  int                   // that read pictures; 0 = one less than there are processors
	ReadOnly bool                  // nothing is remembered
	Progress func(done, total int) // of the pictures that have to be read; nil = nobody wants to know
}

// Matched is what became of the pictures of a job.
type Matched struct {
	Pictures []Picture // by path
	Ties     []Tie     // one for each
	Failed   []Failure // could not be read; by path
	Read     int       // how many had to be read: of the others everything was known
	Closer   int       // at how many a closer look was taken
	Report   Report
}

// maxBytes is what all pictures that are being read may hold together.
const maxBytes = 512 << 20

// Match finds the frames of the pictures that came back, as far as can be told. A
// picture is read once, and again if it or the frames change.
func Match(ctx context.Context, j *job.Job, o Options) (*Matched, error) {
	if o.Workers <= 0 {
		o.Workers = max(1, runtime.NumCPU()-1)
	}
	files, failed, err := list(ctx, j.Root())
	if err != nil {
		return nil, err
	}
	k, err := framesOf(j)
	if err != nil {
		return nil, err
	}
	out := &Matched{Failed: failed}
	if err := out.read(ctx, j, &k, files, o); err != nil {
		return nil, err
	}
	said, err := j.Finished()
	if err != nil {
		return nil, err
	}
	ids := false
	for i := range out.Pictures {
		p := &out.Pictures[i]
		p.Shows, p.Said = said[p.Path]
		ids = ids || len(p.Documents) > 0 || len(p.Ingredients) > 0
	}
	if ids {
		k.readDocuments(j.Root())
	}
	out.Ties = Find(out.Pictures, k.frames).Ties
	if err := out.lookCloser(ctx, j, &k, o); err != nil {
		return nil, err
	}
	if out.Closer > 0 {
		out.Ties = Find(out.Pictures, k.frames).Ties
	}
	out.Report = Check(out.Pictures, out.Ties, k.frames)
	out.Report.Unread = out.Failed
	return out, nil
}

// record is what is kept of a picture that was read.
type record struct {
	Picture
	Frames string // digest of the frames that it was compared with
}

func recorded(p Picture, digest string) ([]byte, bool) {
	b, err := json.Marshal(record{p, digest})
	return b, err == nil
}

// read gives what is known of each file, and reads what is not.
func (out *Matched) read(ctx context.Context, j *job.Job, k *known, files []listed, o Options) error {
	kept, err := j.ReadOfFinished()
	if err != nil {
		return err
	}
	digest := k.digest()
	news := map[string][]byte{}
	for path := range kept {
		news[path] = nil // unless it is still there
	}
	s := sched.New[Picture](ctx, sched.Options{Workers: o.Workers, MaxBytes: maxBytes, MaxQueue: len(files) + 1})
	defer s.Close()
	found := make([]Picture, len(files))
	tickets := make([]*sched.Ticket[Picture], len(files))
	reasons := make([]string, len(files))
	for i, l := range files {
		if err := ctx.Err(); err != nil {
			return err
		}
		delete(news, l.path)
		head, err := l.head(j.Root())
		if err != nil {
			reasons[i] = sentence(err)
			continue
		}
		var r record
		if b := kept[l.path]; b != nil && json.Unmarshal(b, &r) == nil && r.Frames == digest && r.Head == head && r.Size == l.size && r.Mod.Equal(l.mod) {
			found[i] = r.Picture
			continue
		}
		out.Read++
		tickets[i] = s.Submit(sched.Job[Picture]{Key: l.path, Class: sched.Background, Bytes: loadOf(l),
			Run: func(ctx context.Context) (Picture, error) { return k.read(ctx, j.Root(), l, head) }})
	}
	done := 0
	keep := func() error {
		if o.ReadOnly {
			return nil
		}
		err := j.KeepOfFinished(news)
		clear(news)
		return err
	}
	for i, t := range tickets {
		if t != nil {
			p, err := t.Result()
			if ctx.Err() != nil {
				if err := keep(); err != nil {
					return err
				}
				return ctx.Err()
			}
			if found[i] = p; err != nil {
				reasons[i] = sentence(err)
			} else if b, ok := recorded(p, digest); ok {
				news[p.Path] = b
			}
			if done++; o.Progress != nil {
				o.Progress(done, out.Read)
			}
			if len(news) >= batch {
				if err := keep(); err != nil {
					return err
				}
			}
		}
		if reasons[i] != "" {
			out.Failed = append(out.Failed, Failure{files[i].path, reasons[i]})
			continue
		}
		out.Pictures = append(out.Pictures, found[i])
	}
	slices.SortFunc(out.Failed, func(a, b Failure) int { return strings.Compare(a.Path, b.Path) })
	return keep()
}

// batch is how many pictures are remembered at a time: a kill costs no more.
const batch = 50

// loadOf is about what reading a picture holds: itself, and its planes at a scale.
func loadOf(l listed) int64 {
	if strings.EqualFold(filepath.Ext(l.path), ".png") { // interlaced ones are laid out whole
		return l.size + 64<<20
	}
	return l.size + 32<<20
}

// NamesOf gives the frames' names, for a Report.
func NamesOf(frames map[cull.ID]cull.Frame) func(cull.ID) string {
	return func(id cull.ID) string {
		if f, ok := frames[id]; ok {
			return f.Name
		}
		return "#" + string(id)
	}
}
