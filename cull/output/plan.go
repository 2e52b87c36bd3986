package output

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"garner/cull/job"
	"garner/preview/exif"
	"garner/preview/finished"
	"garner/preview/imprint"
	"garner/preview/render"
	"garner/store"
)

// version is raised whenever the same input and settings come out otherwise, so that
// all is cut again.
const version = 3

// picture is a finished picture and what is to be made of it.
type picture struct {
	file
	sum    [sha256.Size]byte // of its bytes
	chain  imprint.Chain     // without the set
	tie    Tie
	taken  exif.Time // corrected
	number int
	says   string // caption, else title
	load   int64  // bytes of memory that cutting takes
	wanted []wanted

	width, height, orientation int
}

// wanted is one file that is to be cut.
type wanted struct {
	set     *Set
	file    string
	key     string // sum of all that goes into it
	damaged bool   // it is there, and cannot be read
}

// plan is what a Run has to do.
type plan struct {
	sets     []Set
	stamp    stamp
	texts    texts
	pictures []*picture // that something is to be cut of
	lines    []Line     // what is said already: unchanged, left, cannot
	all      int        // pictures that can be cut
	readBack bool
	others   []string
	proofs   *proofSet // nil where proofs are not asked for
}

// texts are what files say by the settings.
type texts struct {
	Credit, Rights string
	Strip          []string // keywords of ours
}

// cut is what package render has to make for a set, but for what it writes of a picture.
func (pl *plan) cut(s *Set) render.Cut {
	c := render.Cut{Size: s.Size, Space: s.Space, Chroma: s.Chroma, Sharpen: s.Sharpen, Quality: s.Quality, Limit: s.Limit, PPI: s.PPI}
	if s.Stamp {
		c.Stamper = pl.stamp.maker
	}
	return c
}

func textsOf(j *job.Job) (texts, error) {
	s := j.Settings()
	t := texts{Credit: s.Credit, Rights: s.Rights}
	passes, err := j.Passes()
	for _, p := range passes {
		t.Strip = append(t.Strip, p.Name)
	}
	slices.Sort(t.Strip)
	return t, err
}

// planner works a plan out.
type planner struct {
	o      Options
	root   string
	ledger *ledger
	seen   *ledger
	twins  map[state]bool
	ties   Ties

	renderer *render.Renderer // which has conversions of profiles by then

	unstamped error // why there is no stamp though there is to be one

	every []Set // of the settings, also those that are not chosen now
	plan
}

func (pl *planner) run(ctx context.Context) error {
	pl.twins = pl.ledger.twins()
	f, err := find(ctx, pl.root)
	if err != nil {
		return err
	}
	pl.lines, pl.others = f.cannot, f.others
	here := map[string]bool{}
	for _, x := range f.files {
		here[x.path] = true
	}
	var pictures []*picture
	for i, x := range f.files {
		pl.o.Progress(Progress{Reading: true, Done: i, Total: len(f.files), Failed: len(pl.lines)})
		p, err := pl.read(ctx, x, here)
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err != nil {
			pl.lines = append(pl.lines, failed(x.path, err))
			continue
		}
		pictures = append(pictures, p)
	}
	pl.all = len(pictures)
	folders := pl.folders()
	pl.numbers(pictures, folders)
	for i := range pl.sets {
		if err := pl.set(ctx, &pl.sets[i], pictures, folders[pl.sets[i].Name]); err != nil {
			return err
		}
	}
	if pl.proofs != nil {
		pl.proofs.pictures = pictures
	}
	for _, p := range pictures {
		if len(p.wanted) > 0 {
			pl.pictures = append(pl.pictures, p)
		}
	}
	return nil
}

// read opens a picture and finds out whether it is known.
func (pl *planner) read(ctx context.Context, x file, here map[string]bool) (*picture, error) {
	p := &picture{file: x}
	r, err := os.Open(x.abs)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	head, err := finished.Open(r, x.size)
	if err == nil {
		err = colourless(head)
	}
	if err != nil {
		return nil, err
	}
	old, ok := pl.ledger.pictures[x.path]
	known := ok && old.Bytes == x.size && old.Changed == x.modified && !pl.twins[state{x.size, x.modified}]
	if sum, err := hex.DecodeString(old.SHA256); known && err == nil && len(sum) == len(p.sum) {
		p.sum = [sha256.Size]byte(sum)
	} else if p.sum, err = sumOf(ctx, r); err != nil {
		return nil, err
	}
	if !ok {
		if from := pl.renamed(hex.EncodeToString(p.sum[:]), here); from != "" {
			pl.ledger.follow(from, x.path)
		}
	}
	p.number = pl.ledger.pictures[x.path].Number
	p.tie = pl.ties.Of(x.path, head)
	if p.taken = p.tie.Taken; !p.taken.Known() {
		p.taken = head.Meta.Taken
	}
	m := head.Meta
	p.says, p.width, p.height, p.orientation = cmp.Or(strings.TrimSpace(m.Caption), strings.TrimSpace(m.Title)), head.Width, head.Height, head.Orientation
	p.chain = imprint.Chain{Source: p.sum, DocumentID: m.DocumentID, InstanceID: m.InstanceID, OriginalDocumentID: m.OriginalDocumentID}
	for _, id := range []string{m.DerivedFrom.OriginalDocumentID, m.DerivedFrom.DocumentID} {
		if p.chain.OriginalDocumentID == "" {
			p.chain.OriginalDocumentID = id
		}
	}
	cuts := make([]render.Cut, len(pl.sets))
	for i, s := range pl.sets {
		cuts[i] = pl.cut(&s)
	}
	p.load = pl.renderer.Memory(head, cuts)
	return p, nil
}

// renamed finds the picture of the same content that is no longer where it was; of
// several the first, as pictures come in that order, too.
func (pl *planner) renamed(sum string, here map[string]bool) string {
	from := ""
	for path, r := range pl.ledger.pictures {
		if r.SHA256 == sum && !here[path] && (from == "" || natural(path, from) < 0) {
			from = path
		}
	}
	return from
}

// sumOf reads a file from its start to its end.
func sumOf(ctx context.Context, r io.Reader) (sum [sha256.Size]byte, err error) {
	h := sha256.New()
	buf := make([]byte, 1<<20)
	for {
		if ctx.Err() != nil {
			return sum, ctx.Err()
		}
		n, err := r.Read(buf)
		h.Write(buf[:n])
		if errors.Is(err, io.EOF) {
			return [sha256.Size]byte(h.Sum(nil)), nil
		}
		if err != nil {
			return sum, store.Wrap("read", "", err)
		}
	}
}

// folders looks at what lies in the sets' folders, as far as it is not noted.
func (pl *planner) folders() map[string]folder {
	noted := map[string]taken{}
	for k, r := range pl.ledger.files {
		if r.Cut != "" {
			if noted[k.set] == nil {
				noted[k.set] = taken{}
			}
			noted[k.set].take(r.File)
		}
	}
	folders := map[string]folder{}
	for _, s := range pl.every {
		folders[s.Name] = look(filepath.Join(pl.root, SetsFolder, s.Name), noted[s.Name])
	}
	return folders
}

// numbers gives pictures their numbers: that of the ledger, else the one that stands in
// the name of a file of theirs, else the next one.
func (pl *planner) numbers(pictures []*picture, folders map[string]folder) {
	used, last := map[int]bool{}, pl.ledger.last()
	for _, p := range pictures {
		used[p.number] = true
	}
	for _, p := range pictures {
		for i := 0; i < len(pl.every) && p.number == 0; i++ {
			s := pl.every[i]
			file, ok := folders[s.Name].ids[p.document(s.Name)]
			if r := pl.ledger.files[fileKey{s.Name, p.path}]; !ok && r.Pattern == s.Pattern {
				file, ok = r.File, true // of a ledger that has lost the picture's own line
			}
			if !ok {
				continue
			}
			n := numberIn(file, s.Pattern, func(n int) string {
				as := *p
				as.number = n
				return stem(s.Pattern, s, &as)
			})
			if n > 0 && !used[n] {
				p.number, used[n], last = n, true, max(last, n)
			}
		}
	}
	number(pictures, last)
	for _, p := range pictures {
		pl.ledger.set(record{Picture: name(p.path), SHA256: hex.EncodeToString(p.sum[:]), Bytes: p.size, Changed: p.modified, Number: p.number})
	}
}

// document is the id of a picture's file in a set.
func (p *picture) document(set string) string {
	c := p.chain
	c.Set = set
	return c.ID()
}

// set finds names for the files of a set and what of them is to be cut.
func (pl *planner) set(ctx context.Context, s *Set, pictures []*picture, f folder) error {
	names, given, ours := taken{}, taken{}, map[string]bool{}
	for _, file := range f.names {
		names.take(file)
	}
	for k, r := range pl.ledger.files {
		if k.set == s.Name {
			names.take(r.File)
		}
	}
	for _, p := range pictures {
		key := fileKey{s.Name, p.path}
		r, ok := pl.ledger.files[key]
		ok = ok && given.take(r.File) // two ledgers that were put together may give one name twice
		if ok && r.Cut == "" && f.strange(r.File, p.document(s.Name)) {
			ok = false // somebody else has taken it before we did
		}
		if !ok || r.Pattern != s.Pattern {
			r = record{Set: s.Name, Picture: name(p.path), Pattern: s.Pattern}
			if file, back := f.ids[p.document(s.Name)]; back && !ours[file] && !ok {
				r.File = file
				pl.readBack = true
			} else {
				r.File = names.free(stem(s.Pattern, *s, p))
			}
			given.take(r.File)
			pl.ledger.set(r)
		}
		ours[f.name(r.File)] = true
		if s.Stamp && pl.unstamped != nil {
			pl.lines = append(pl.lines, hindered(s.Name, p, r.File, pl.unstamped))
			continue
		}
		if err := pl.file(ctx, s, p, r, f); err != nil {
			return err
		}
	}
	var left []string
	for file := range f.sizes {
		if !ours[file] && !store.IsPartial(file) {
			left = append(left, file)
		}
	}
	slices.SortFunc(left, natural)
	for _, file := range left {
		pl.lines = append(pl.lines, Line{Set: s.Name, File: file, Action: Left, Bytes: f.sizes[file]})
	}
	return nil
}

// file finds out whether a file is to be cut.
func (pl *planner) file(ctx context.Context, s *Set, p *picture, r record, f folder) error {
	l := Line{Set: s.Name, Picture: p.path, File: r.File, Number: p.number}
	is, err := pl.condition(ctx, r, f)
	if ctx.Err() != nil {
		return ctx.Err()
	}
	key := pl.key(s, p)
	switch {
	case err != nil:
		l.Action, l.Reason = Failed, "what is there cannot be read: "+why(err)
	case is == inTheWay:
		l.Action, l.Reason = Failed, "a link or a folder stands in its place"
	case is == edited && !pl.o.Force:
		l.Action, l.Bytes, l.Remarks = Kept, f.sizes[f.name(r.File)], []string{"was changed since it was cut; --force cuts it anew"}
	case is == asCut && r.Cut == key && !pl.o.Force:
		l.Action, l.Bytes = Unchanged, r.Bytes
	default:
		p.wanted = append(p.wanted, wanted{s, r.File, key, is == damaged})
		return nil
	}
	pl.lines = append(pl.lines, l)
	return nil
}

// key is a sum of all that goes into a file.
func (pl *planner) key(s *Set, p *picture) string {
	as := *s
	as.Skip, as.Pattern = false, ""
	mark := ""
	if as.Stamp = as.Stamp && pl.stamp.maker != nil; as.Stamp {
		mark = pl.stamp.sum
	}
	b, err := json.Marshal(struct {
		Version int
		Picture [sha256.Size]byte
		Set     Set
		Stamp   string
		Texts   texts
		Taken   exif.Time
		Creator string
	}{version, p.sum, as, mark, pl.texts, p.taken, p.tie.Creator})
	if err != nil {
		panic(err) // numbers and texts can be written; numbers that are none were refused
	}
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}
