package closing

import (
	"bytes"
	"context"
	"io"
	"io/fs"
	"slices"
	"strings"

	"garner/cull"
	"garner/store"
	"garner/store/copy"
	"garner/store/vfs"
)

// maxOutside bounds a file that settings name outside of the job, as render does, in bytes.
const maxOutside = 32 << 20

// outside are the stamp and its font where they lie outside of the job: they go along under
// the path at which a job that is opened from the bag looks for them. Settings may come with
// a job from anywhere and name anything: nothing else than a picture and a font is taken.
func (r *runner) outside() (list []*item) {
	for _, o := range r.job.Settings().Outside(r.job.Root()) {
		not := func(why string) {
			r.remark("the %s %s of the stamp does not go along: %s", o.What, cull.Plain(o.From), why)
		}
		f, info, err := vfs.OpenPlain(vfs.Resolve(o.From))
		if err != nil {
			not(store.Reason(err))
			continue
		}
		begins, err := io.ReadAll(io.LimitReader(f, 8))
		f.Close()
		switch {
		case err != nil:
			not(store.Reason(err))
		case !beginsAs(o.What, begins):
			not("it is no " + o.What)
		case info.Size() > maxOutside:
			not("it is too large")
		case slices.ContainsFunc(r.folder.files, func(x file) bool { return strings.EqualFold(x.path, o.Path) }):
			if !r.same(o.From, o.Path) { // as it may in a job that was opened from a bag
				not("the job has another file at " + o.Path)
			}
		default:
			list = append(list, r.named(o.Path, o.From, info))
		}
	}
	return list
}

func (r *runner) named(path, from string, info fs.FileInfo) *item {
	return &item{file: file{path: path, size: info.Size(), mod: info.ModTime()}, outside: vfs.Resolve(from)}
}

// same reports whether a file elsewhere has the bytes of one of the job.
func (r *runner) same(from, path string) bool {
	a, err1 := copy.ReadBack(context.Background(), r.fsys, vfs.Resolve(from))
	b, err2 := copy.ReadBack(context.Background(), r.fsys, r.source(path))
	return err1 == nil && err2 == nil && a.Sum == b.Sum
}

// from is where the bytes of an item are read.
func (r *runner) from(x *item) string {
	if x.outside != "" {
		return x.outside
	}
	return r.source(x.path)
}

// How pictures and fonts begin: PNG (ISO 15948, 5.2), OpenType (ISO 14496-22, 5.2), and
// TrueType as Apple has it.
var beginnings = map[string][]string{
	"picture": {"\x89PNG\r\n\x1a\n"},
	"font":    {"\x00\x01\x00\x00", "OTTO", "ttcf", "true"},
}

func beginsAs(what string, text []byte) bool {
	return slices.ContainsFunc(beginnings[what], func(b string) bool { return bytes.HasPrefix(text, []byte(b)) })
}
