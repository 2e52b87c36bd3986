package scan

import (
	"context"
	"runtime"
	"strings"
	"sync"

	"golang.org/x/sync/errgroup"

	"garner/cull"
)

// blockFiles is about how many files are read between two calls of Progress and
// Enough.
const blockFiles = 32

// reading opens the files of a scan.
type reading struct {
	dir   string
	o     Options
	res   *Result
	total int

	pictures   []item
	companions []entry
	heads      sync.Pool // *[headSize]byte
}

// all reads files until there are no more or it is enough.
func (r *reading) all(ctx context.Context, files []entry) error {
	var pictures []entry
	for _, e := range files {
		if e.companion() {
			r.companions = append(r.companions, e)
		} else {
			pictures = append(pictures, e)
		}
	}
	r.res.Read = len(r.companions)
	r.progress()
	read := 0
	size := blockFiles
	if r.o.testOnlyBlock > 0 {
		size = r.o.testOnlyBlock
	}
	for block := range blocks(byName(pictures), size) {
		left := len(pictures) - read
		if r.o.Enough != nil && read > 0 && r.o.Enough(read, left) {
			r.res.Left = left
			break
		}
		if err := r.block(ctx, block); err != nil {
			return err
		}
		read += len(block)
	}
	return nil
}

// block reads some files at once. What it finds is kept in their order, so that
// a scan gives the same whatever is read first.
func (r *reading) block(ctx context.Context, files []entry) error {
	type found struct {
		item item
		why  string
	}
	out := make([]found, len(files))
	var g errgroup.Group
	g.SetLimit(runtime.GOMAXPROCS(0))
	for i, e := range files {
		g.Go(func() error {
			if err := ctx.Err(); err != nil {
				return err
			}
			head, ok := r.heads.Get().(*[headSize]byte)
			if !ok {
				head = new([headSize]byte)
			}
			out[i].item, out[i].why = read(r.dir, e, head[:])
			r.heads.Put(head)
			return nil
		})
	}
	if err := g.Wait(); err != nil {
		return err
	}
	for i, f := range out {
		if f.why != "" {
			r.res.Others = append(r.res.Others, Other{files[i].path, f.why})
		} else {
			r.pictures = append(r.pictures, f.item)
		}
	}
	r.res.Read += len(files)
	r.progress()
	return nil
}

func (r *reading) progress() {
	if r.o.Progress != nil && r.res.Read > 0 {
		r.o.Progress(r.res.Reused+r.res.Read, r.total)
	}
}

// byName puts files that share a name, wherever they lie, next to the first of
// them: raw and JPEG, the two slots of a body, also those of another body that
// only has the same numbers.
func byName(files []entry) [][]entry {
	at := make(map[string]int, len(files))
	var groups [][]entry
	for _, e := range files {
		stem := stemOf(e.path)
		if strings.HasPrefix(e.path, cull.SmallFolder+"/") {
			stem = stemOf(stem) // IMG_0001.CR3.jpg lies beside no IMG_0001.CR3, but belongs to it
		}
		i, ok := at[stem]
		if !ok {
			i = len(groups)
			at[stem] = i
			groups = append(groups, nil)
		}
		groups[i] = append(groups[i], e)
	}
	return groups
}

// blocks cuts groups of files into blocks of whole groups, size files or more each.
func blocks(groups [][]entry, size int) func(yield func([]entry) bool) {
	return func(yield func([]entry) bool) {
		var block []entry
		for i, g := range groups {
			block = append(block, g...)
			if (len(block) >= size || i == len(groups)-1) && !yield(block) {
				return
			}
			if len(block) >= size {
				block = nil
			}
		}
	}
}
