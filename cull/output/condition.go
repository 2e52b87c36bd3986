package output

import (
	"context"
	"encoding/hex"
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"garner/preview/finished"
)

// This file finds out whether the file of a set is still the one that was cut. Its sum is
// in the ledger; but nobody wants gigabytes read before the first picture, so what was
// seen of files when their sum was right is kept as well, and only files whose size or
// time is another are read again. That time is of the clock and the disk, and belongs to
// the job's state, not into sets/, where the same input gives the same bytes. When it is
// lost, all are read once.

// seenName is the file in the job's state folder; it has the form of the ledger.
const seenName = "sets-seen.jsonl"

// condition is what a file is, held against what was cut.
type condition int

const (
	asCut    condition = iota
	gone               // or never cut, or of a killed run
	edited             // somebody has changed it
	damaged            // it cannot be decoded
	inTheWay           // it is no file
)

func (pl *planner) condition(ctx context.Context, r record, f folder) (condition, error) {
	file := f.name(r.File)
	size, there := f.sizes[file]
	switch {
	case !there && file != "":
		return inTheWay, nil
	case !there || r.Cut == "":
		return gone, nil
	}
	seen := record{Set: r.Set, Picture: r.Picture, File: r.File, SHA256: r.SHA256, Bytes: size, Changed: f.times[file]}
	if pl.seen.files[fileKey{r.Set, string(r.Picture)}] == seen {
		return asCut, nil
	}
	return pl.reread(ctx, filepath.Join(f.dir, file), seen, r.Bytes)
}

// reread reads a file of a set from its start to its end, and where it is another than
// was cut, decodes it.
func (pl *planner) reread(ctx context.Context, path string, seen record, cut int64) (condition, error) {
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return gone, nil
	}
	if err != nil {
		return gone, err
	}
	defer f.Close()
	if seen.Bytes == cut {
		sum, err := sumOf(ctx, f)
		if err == nil && hex.EncodeToString(sum[:]) == seen.SHA256 {
			pl.seen.set(seen)
			return asCut, nil
		}
	}
	p, err := finished.Open(f, seen.Bytes)
	if err == nil {
		err = p.Rows(ctx, func(int, []uint16) error { return nil })
	}
	if err != nil {
		return damaged, nil // or called off, which whoever asks knows
	}
	return edited, nil
}

// openSeen reads what was seen of the files; where that is lost, they are read again.
func openSeen(path string) *ledger {
	l, err := openLedger(path)
	if err != nil {
		return &ledger{path: path, pictures: map[string]record{}, files: map[fileKey]record{}}
	}
	return l
}
