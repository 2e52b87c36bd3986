package free

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"path"
	"path/filepath"

	"garner/cull"
	"garner/cull/closing/record"
	"garner/store"
	"garner/store/archive"
	"garner/store/copy"
	"garner/store/vfs"
	"garner/store/volume"
)

// bag is a destination of the job.
type bag struct {
	testimony
	tags *archive.Bag // its manifests, in memory: of the check, once that was made
	vol  volume.Volume
}

// openBag reads what a bag says of itself and of the job. None of it is proved yet.
func openBag(ctx context.Context, o Options, dir string, journal []byte) (*bag, error) {
	b := &bag{testimony: testimony{dir: dir}}
	if info, err := o.FS.Stat(dir); err != nil || !info.IsDir() {
		return nil, &BagError{Dir: dir, Why: "cannot be reached: connect its disk, or say with --to where it is now", Away: true}
	}
	var err error
	if b.tags, err = archive.Open(o.FS, dir); err != nil {
		return nil, &BagError{Dir: dir, Why: "cannot be read: " + store.Reason(err)}
	}
	if b.vol, err = o.VolumeOf(dir); err != nil {
		return nil, &BagError{Dir: dir, Why: "lies on a disk that nothing is known of: " + store.Reason(err)}
	}
	return b, b.hear(ctx, o.FS, journal)
}

// check reads every byte of the bag, and hears it again: what it said before the check
// counts no more.
func (b *bag) check(ctx context.Context, o Options, journal []byte) error {
	report, err := archive.Check(ctx, o.FS, b.dir, func(p archive.Progress) {
		o.Progress(Progress{b.dir, p.Files, p.OfFiles, p.Bytes, p.OfBytes})
	})
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if err != nil {
		return &BagError{Dir: b.dir, Why: "cannot be read: " + store.Reason(err)}
	}
	if !report.Valid() {
		e := &BagError{Dir: b.dir, Why: "is not valid"}
		for _, f := range report.Findings {
			if f.Fault {
				e.Findings = append(e.Findings, f.String())
			}
		}
		return e
	}
	b.tags = report.Bag
	return b.hear(ctx, o.FS, journal)
}

// hear takes in what the bag's last record says of the originals, if that is a record
// of this job and lies there as the manifest has it.
func (b *bag) hear(ctx context.Context, fsys vfs.FS, journal []byte) error {
	r, err := record.Open(b.dir)
	if errors.Is(err, record.ErrNone) {
		return &BagError{Dir: b.dir, Why: "holds no job"}
	}
	if err != nil {
		return &BagError{Dir: b.dir, Why: "has a record that cannot be read: " + store.Reason(err)}
	}
	for _, name := range []string{record.JobName, record.FramesName, record.FilesName, record.JournalName} {
		at := path.Join(record.Folder, filepath.Base(r.Dir), name)
		sum, listed := b.tags.Sum(at)
		if !listed {
			return &BagError{Dir: b.dir, Why: "does not list " + at}
		}
		if _, err := copy.Verify(ctx, fsys, b.file(at), sum); err != nil {
			return &BagError{Dir: b.dir, Why: "has a record that is not as it was written: " + store.Reason(err)}
		}
	}
	theirs, err := r.Journal()
	if err != nil || !within(theirs, journal) {
		return &BagError{Dir: b.dir, Why: "is not of this job, or of a copy of it that was decided on by itself"}
	}
	b.smalls, b.whole, b.dropped, b.edges = map[string]kept{}, map[string]kept{}, map[string]bool{}, map[string]int{}
	if err := b.take(r); err != nil {
		return &BagError{Dir: b.dir, Why: "has a record that cannot be read: " + store.Reason(err)}
	}
	return nil
}

// take takes in the lines of the record.
func (b *bag) take(r *record.Record) error {
	for f, err := range r.Frames() {
		if err != nil {
			return err
		}
		k, err := f.Known()
		if err != nil {
			return err
		}
		for _, x := range k.Frame.Files {
			b.dropped[x.Path] = k.Answers[cull.KeepPass].Answer == cull.No
		}
		if s := f.Small; s != nil {
			b.edges[s.Path] = max(s.Width, s.Height)
		}
	}
	for f, err := range r.Files() {
		if err != nil {
			return err
		}
		if f.Bag == "" && f.Small == "" {
			continue
		}
		p, err := f.JobPath()
		if err != nil {
			return err
		}
		sum, err := store.ParseHex(f.SHA256)
		if err != nil {
			return fmt.Errorf("%s: %w", p, err)
		}
		if f.Small != "" {
			b.smalls[p] = kept{f.Small, sum, f.Bytes}
		}
		if f.Bag != "" {
			b.whole[p] = kept{f.Bag, sum, f.Bytes}
		}
	}
	return nil
}

// file is the place of a path in the bag.
func (b *bag) file(at string) string { return filepath.Join(b.dir, filepath.FromSlash(at)) }

// within reports whether everything that a bag's journal tells was done in the job too.
// A copy of the job that was decided on by itself is another one.
func within(theirs, ours []byte) bool {
	if len(bytes.TrimSpace(theirs)) == 0 {
		return false
	}
	if bytes.HasPrefix(ours, theirs) {
		return true
	}
	lines := map[string]bool{}
	for line := range bytes.Lines(ours) {
		lines[string(bytes.TrimSpace(line))] = true
	}
	for line := range bytes.Lines(theirs) {
		if !lines[string(bytes.TrimSpace(line))] {
			return false
		}
	}
	return true
}
