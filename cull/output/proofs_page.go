package output

import (
	"bytes"
	"cmp"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"garner/cull"
	"garner/preview/finished"
	"garner/preview/icc"
	"garner/preview/proofs"
	"garner/store"
	"garner/store/atomicfile"
	"garner/store/vfs"
)

// errForeign is about a file in the place of one of ours. Who has written on a page would
// not want it to be replaced.
var errForeign = errors.New("a file of that name is there that garner did not make, or that was changed since; it is left as it is, and when it is moved away the same command writes a new one")

// proofSet is what a plan has of proofs.
type proofSet struct {
	set          Set
	small, large Set
	pictures     []*picture

	files map[fileKey]string // that are there as they should be: names in the folder of the part
	cause error              // that kept pictures from being cut; nil = none did
}

// proofsOf finds the proofs among sets; nil = they are not there.
func proofsOf(sets []Set) *proofSet {
	for _, s := range sets {
		if s.Pages != nil {
			two := parts([]Set{s})
			return &proofSet{set: s, small: two[0], large: two[1], files: map[fileKey]string{}}
		}
	}
	return nil
}

// see is told of every line.
func (q *proofSet) see(l Line) {
	if q == nil || l.Set != q.small.Name && l.Set != q.large.Name {
		return
	}
	switch l.Action {
	case Written, Unchanged, Kept, Wanted:
		q.files[fileKey{l.Set, l.Picture}] = l.File
	}
	if q.cause == nil {
		q.cause = l.Cause
	}
}

// pages writes the contact sheets, and after them the page that links to them, where
// they are not what they should be. The error ends the run.
func (r *runner) pages(ctx context.Context) error {
	q := r.plan.proofs
	if q == nil {
		return nil
	}
	dir := filepath.Join(r.root, SetsFolder, q.set.Name)
	ours := []string{proofs.Index}
	for _, paper := range q.set.Pages.Papers {
		ours = append(ours, proofs.SheetName(paper))
	}
	page := r.page(q, dir)
	if len(page.Scenes) == 0 || errors.Is(q.cause, ErrFull) {
		// A page of before stays: its files are there, since none is removed.
		for _, name := range ours {
			l := Line{Set: q.set.Name, File: name, Action: Failed, Reason: "none of its pictures could be cut"}
			if q.cause != nil {
				l.Reason, l.Cause = q.cause.Error(), q.cause
			}
			r.line(l)
		}
		return nil
	}
	if !r.o.DryRun {
		if _, err := vfs.Sweep(r.fsys, dir); err != nil {
			return err
		}
	}
	for _, paper := range q.set.Pages.Papers {
		sheet := q.set.Pages.Sheet
		sheet.Paper, sheet.Profile = paper, icc.Encode(icc.SpaceSRGB)
		ok, err := r.write(ctx, q, proofs.SheetName(paper), func(w io.Writer) ([]string, error) {
			beyond, err := page.PDF(w, sheet, func(file string) ([]byte, error) {
				if ctx.Err() != nil {
					return nil, ctx.Err()
				}
				return os.ReadFile(filepath.Join(dir, filepath.FromSlash(file)))
			})
			for i, text := range beyond {
				beyond[i] = fmt.Sprintf("%q has letters that the font of contact sheets lacks; it stands whole in the outline of the PDF", text)
			}
			return beyond, err
		})
		if err != nil {
			return err
		}
		if ok {
			page.Sheets = append(page.Sheets, paper)
		}
	}
	_, err := r.write(ctx, q, proofs.Index, func(w io.Writer) ([]string, error) {
		b, err := page.HTML()
		if err == nil {
			_, err = w.Write(b)
		}
		return nil, err
	})
	if err != nil {
		return err
	}
	return r.strangers(q, dir, ours)
}

// page is what the client gets to see: scenes in the order of the day, and pictures of
// which no frame is known at the end.
func (r *runner) page(q *proofSet, dir string) *proofs.Page {
	p := &proofs.Page{Title: cmp.Or(q.set.Pages.Title, filepath.Base(r.root)), Studio: r.plan.texts.Credit, Note: q.set.Pages.Note}
	pictures := slices.SortedStableFunc(slices.Values(q.pictures), func(a, b *picture) int {
		x, y := a.tie.SceneAt, b.tie.SceneAt
		if x != y && (x == 0 || y == 0) {
			return y - x
		}
		return cmp.Or(x-y, byTime(a, b))
	})
	said := map[string]int{}
	for _, one := range pictures {
		said[one.says]++
	}
	last := -1
	for _, one := range pictures {
		small, ok := r.proof(&q.small, one, dir)
		large, both := r.proof(&q.large, one, dir)
		if !ok || !both {
			continue
		}
		at := one.tie.SceneAt
		if len(p.Scenes) == 0 || at != last {
			p.Scenes = append(p.Scenes, proofs.Scene{Name: sceneName(at, one.tie.Scene, len(p.Scenes) == 0)})
			last = at
		}
		scene := &p.Scenes[len(p.Scenes)-1]
		alt := one.says
		if n := said[alt]; n > 2 && 2*n > len(pictures) {
			alt = "" // what most have says nothing of one: cameras write such texts, and templates
		}
		if at > 0 {
			alt = cmp.Or(alt, scene.Name)
		}
		scene.Pictures = append(scene.Pictures, proofs.Picture{Number: numbered(one.number), Alt: alt, Small: small, Large: large})
	}
	return p
}

// sceneName is what stands above a scene; alone is whether nothing stands before it.
func sceneName(at int, name string, alone bool) string {
	switch {
	case at == 0 && alone:
		return "Pictures"
	case at == 0:
		return "Other pictures"
	case name == cull.SceneNumber(at-1):
		return "Scene " + name // that nobody has named
	}
	return name
}

// proof is a picture's file in one of the two sizes, and whether it is there; in a
// rehearsal what is still to be cut counts as there.
func (r *runner) proof(s *Set, p *picture, dir string) (proofs.File, bool) {
	file, ok := r.plan.proofs.files[fileKey{s.Name, p.path}]
	if !ok {
		return proofs.File{}, false
	}
	f := proofs.File{Name: path.Join(path.Base(s.Name), file)}
	if r.o.DryRun && p.waits(s) {
		size, err := s.Size.Plan(p.width, p.height, p.orientation)
		f.Width, f.Height = size.UprightW, size.UprightH
		return f, err == nil
	}
	// Somebody may have changed it, and it is the file that is shown.
	there, err := os.Open(filepath.Join(dir, filepath.FromSlash(f.Name)))
	if err != nil {
		return f, false
	}
	defer there.Close()
	info, err := there.Stat()
	if err != nil {
		return f, false
	}
	head, err := finished.Open(there, info.Size())
	if err != nil {
		return f, false
	}
	f.Width, f.Height = head.Width, head.Height
	return f, true
}

// waits reports whether a picture's file of that set is still to be cut.
func (p *picture) waits(s *Set) bool {
	return slices.ContainsFunc(p.wanted, func(w wanted) bool { return w.set.Name == s.Name })
}

// write makes a file of the proofs' folder what it should be, and says so; ok is whether
// it is. It is made once to see what it should be, so that nothing is written where nothing
// has changed. The error is that the run was called off.
func (r *runner) write(ctx context.Context, q *proofSet, name string, content func(io.Writer) (remarks []string, err error)) (ok bool, err error) {
	l := Line{Set: q.set.Name, File: name}
	l.Action, l.Bytes, err = r.replace(q, name, func(w io.Writer) (err error) {
		l.Remarks, err = content(w)
		return err
	})
	if ctx.Err() != nil {
		return false, ctx.Err()
	}
	if err = full(err); err != nil {
		l.Action, l.Reason = Failed, why(err)
	}
	if errors.Is(err, ErrFull) {
		l.Cause = err
	}
	r.line(l)
	return err == nil, nil
}

func (r *runner) replace(q *proofSet, name string, content func(io.Writer) error) (Action, int64, error) {
	file := filepath.Join(r.root, SetsFolder, q.set.Name, name)
	if r.o.DryRun && name != proofs.Index && slices.ContainsFunc(q.pictures, func(p *picture) bool { return p.waits(&q.small) }) {
		return Wanted, 0, nil // the pictures in it are not there yet
	}
	sum := sha256.New()
	size := &counting{w: sum}
	if err := content(size); err != nil {
		return Failed, 0, err
	}
	same, err := holds(file, sum.Sum(nil))
	switch {
	case err != nil:
		return Failed, 0, err
	case same:
		return Unchanged, size.n, nil
	case r.o.DryRun:
		return Wanted, 0, nil
	}
	w, err := atomicfile.Create(r.fsys, file, 0o666)
	if err != nil {
		return Failed, 0, err
	}
	defer w.Discard()
	if err := content(w); err != nil {
		return Failed, 0, err
	}
	return Written, size.n, w.Commit()
}

// holds reports whether a file has that sum; a file with another one may be replaced if
// there is no error.
func holds(file string, sum []byte) (bool, error) {
	info, err := os.Lstat(file)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return false, nil
	case err == nil && !info.Mode().IsRegular():
		err = errForeign
	}
	if err != nil {
		return false, err
	}
	f, err := os.Open(file)
	if err != nil {
		return false, err
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return false, err
	}
	if bytes.Equal(h.Sum(nil), sum) {
		return true, nil
	}
	made, err := proofs.Made(f, info.Size())
	if err == nil && !made {
		err = errForeign
	}
	return false, err
}

type counting struct {
	w io.Writer
	n int64
}

func (c *counting) Write(p []byte) (int, error) {
	n, err := c.w.Write(p)
	c.n += int64(n)
	return n, err
}

// strangers says which files lie beside the page that are not part of it, such as sheets
// on a paper that is not asked for any more.
func (r *runner) strangers(q *proofSet, dir string, ours []string) error {
	entries, err := os.ReadDir(dir)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	for _, e := range entries {
		if info, err := e.Info(); err == nil && info.Mode().IsRegular() && !slices.Contains(ours, e.Name()) && !store.IsPartial(e.Name()) && !strings.HasPrefix(e.Name(), ".") {
			r.line(Line{Set: q.set.Name, File: e.Name(), Action: Left, Bytes: info.Size()})
		}
	}
	return nil
}
