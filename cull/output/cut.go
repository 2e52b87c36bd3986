package output

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"garner/preview/finished"
	"garner/preview/imprint"
	"garner/preview/render"
	"garner/store"
	"garner/store/atomicfile"
)

// outcome is what became of one file.
type outcome struct {
	wanted
	record        record // for the ledger
	seen          record // for the next run, of the file as it lies there
	width, height int
	quality       int
	remarks       []string
	err           error
}

// cut makes all files of a picture, on a worker. The error is about the picture.
func (r *runner) cut(ctx context.Context, p *picture) ([]outcome, error) {
	head, results, err := r.results(ctx, p)
	if err != nil {
		return nil, err
	}
	made := make([]outcome, len(results))
	for i, res := range results {
		w := p.wanted[i]
		o := outcome{wanted: w, width: res.Width, height: res.Height, quality: res.Quality, err: res.Err, remarks: append(w.remarks(), remarks(head, w.set, res)...)}
		path := filepath.Join(r.root, SetsFolder, w.set.Name, w.file)
		if o.err == nil {
			o.err = atomicfile.WriteFile(r.fsys, path, res.Bytes, 0o666)
		}
		sum := sha256.Sum256(res.Bytes)
		o.record = record{Set: w.set.Name, Picture: name(p.path), File: w.file, Pattern: w.set.Pattern, Cut: w.key, SHA256: hex.EncodeToString(sum[:]), Bytes: int64(len(res.Bytes))}
		o.seen = record{Set: w.set.Name, Picture: o.record.Picture, File: w.file, SHA256: o.record.SHA256, Bytes: o.record.Bytes}
		if info, err := r.fsys.Stat(path); err == nil {
			o.seen.Changed = info.ModTime().UnixNano()
		}
		made[i] = o
		results[i].Bytes = nil
	}
	return made, nil
}

// remarks are about what was there before.
func (w wanted) remarks() []string {
	if w.damaged {
		return []string{Damaged}
	}
	return nil
}

// results cuts a picture to all that is wanted of it, in memory.
func (r *runner) results(ctx context.Context, p *picture) (*finished.Picture, []render.Result, error) {
	f, err := os.Open(p.abs)
	if err != nil {
		return nil, nil, err
	}
	defer f.Close()
	if err := p.unchanged(f); err != nil {
		return nil, nil, err
	}
	head, err := finished.Open(f, p.size)
	if err != nil {
		return nil, nil, err
	}
	cuts := make([]render.Cut, len(p.wanted))
	for i, w := range p.wanted {
		cuts[i] = r.order(w.set, p, head)
	}
	results, err := r.renderer.Render(ctx, head, cuts)
	if err != nil {
		return nil, nil, err
	}
	return head, results, p.unchanged(f)
}

// unchanged reports whether a picture is still what was planned with.
func (p *picture) unchanged(f *os.File) error {
	info, err := f.Stat()
	if err == nil && (info.Size() != p.size || info.ModTime().UnixNano() != p.modified) {
		return store.ErrChanged
	}
	return err
}

// order is what package render has to make for a set.
func (r *runner) order(s *Set, p *picture, head *finished.Picture) render.Cut {
	c := r.plan.cut(s)
	c.PPI = s.perInch(head)
	m, t := head.Meta, r.plan.texts
	c.Meta = imprint.Meta{
		Taken: p.taken, Title: m.Title, Caption: m.Caption, Keywords: m.Keywords, Strip: t.Strip,
		Creator: cmp.Or(m.Creator, p.tie.Creator), Copyright: cmp.Or(m.Copyright, t.Rights), Credit: cmp.Or(m.Credit, t.Credit),
		Exif: head.Exif, KeepSerial: s.Serial, KeepGPS: s.GPS, Make: m.Make, Model: m.Model,
		Chain: p.chain,
	}
	c.Meta.Chain.Set = s.Name
	return c
}

// remarks are what a person should know of a file and its picture.
func remarks(p *finished.Picture, s *Set, res render.Result) []string {
	var list []string
	if p.ProfileFault != "" {
		list = append(list, "its profile is not used: "+p.ProfileFault)
	}
	list = append(list, p.Remarks...)
	if res.Smaller {
		text := fmt.Sprintf("has fewer pixels than the set asks for: %d by %d", res.Width, res.Height)
		if s.Paper {
			text += fmt.Sprintf(", %d per inch", s.perInch(p))
		}
		list = append(list, text)
	}
	if len(res.Shortened) > 0 {
		list = append(list, "too long for IPTC, and whole in XMP alone: "+strings.Join(res.Shortened, ", "))
	}
	return list
}
