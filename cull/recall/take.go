package recall

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"garner/cull"
	"garner/cull/closing/record"
	"garner/store"
	"garner/store/copy"
	"garner/store/vfs"
)

// Taken is what became of a hit that was to be copied.
type Taken struct {
	Hit   Hit
	Path  string // of the copy
	State copy.State
	Err   error
}

// ErrNoFile is the reason of a hit of which no file is there.
var ErrNoFile = errors.New("no file of it is there")

// mostNames bounds how many files of one name there may be in a folder.
const mostNames = 1000

// longestStem leaves room, in the 255 bytes that a name may have, for a number, an
// extension and what a partial adds.
const longestStem = 160

// Take makes verified copies of the best files of hits in a folder, under names such as
// "Job 0613-A-IMG_0001.CR3", and tells of each in order. A file that is there with other
// content is never replaced: the copy gets the next name, -2. Where a record has the
// sum of a file, the copy is held against it. An error is that of ctx.
func Take(ctx context.Context, dir string, hits []Hit, tell func(Taken)) error {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return err
	}
	sums := map[string]map[string][32]byte{}
	for _, h := range hits {
		t := Taken{Hit: h}
		if h.Best.Kind == NoFile {
			t.Err = ErrNoFile
		} else {
			t.take(ctx, dir, sumOf(sums, h))
		}
		if ctx.Err() != nil {
			return ctx.Err()
		}
		tell(t)
	}
	return nil
}

func (t *Taken) take(ctx context.Context, dir string, sum *[32]byte) {
	stem, ext := takenName(t.Hit)
	for n := 1; n <= mostNames; n++ {
		name := stem + ext
		if n > 1 {
			name = fmt.Sprintf("%s-%d%s", stem, n, ext)
		}
		path := filepath.Join(dir, name)
		if !t.Hit.Best.there() { // a link may lead out of its place by now
			t.Err = ErrNoFile
			return
		}
		r, err := copy.File(ctx, vfs.OS{}, copy.Job{Source: t.Hit.Best.Path, Dests: []string{path}, Expect: sum})
		if len(r.Dests) == 1 {
			t.Path, t.State = r.Dests[0].Path, r.Dests[0].State
		}
		if t.Err = err; !errors.Is(err, store.ErrDiffers) {
			return
		}
	}
}

// takenName is what a copy is called, in two parts.
func takenName(h Hit) (stem, ext string) {
	ext = filepath.Ext(h.Best.Path)
	frame := strings.ReplaceAll(h.Name, "/", "-")
	if kind := filepath.Ext(frame); strings.EqualFold(kind, ext) { // a name that needs its extension has it
		frame = strings.TrimSuffix(frame, kind)
	}
	stem = cull.PortableName(h.Job + "-" + frame)
	if len(stem) > longestStem {
		stem = cull.PortableName(strings.ToValidUTF8(stem[:longestStem], ""))
	}
	return stem, cull.PortableName(ext)
}

// sumOf is the sum that the record of a bag has of a hit's best file; nil = none.
func sumOf(known map[string]map[string][32]byte, h Hit) *[32]byte {
	root := h.Best.root
	if known[root] == nil {
		known[root] = map[string][32]byte{}
		if r, err := record.Open(root); err == nil {
			for f, err := range r.Files() {
				if err != nil {
					break // what the record does not say is not compared
				}
				if sum, err := store.ParseHex(f.SHA256); err == nil && f.Bag != "" {
					known[root][filepath.FromSlash(f.Bag)] = sum
				}
			}
		}
	}
	if sum, ok := known[root][h.Best.rel]; ok {
		return &sum
	}
	return nil
}
