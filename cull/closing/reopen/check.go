package reopen

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"iter"
	"path"

	"garner/cull"
	"garner/cull/closing/record"
	"garner/store"
	"garner/store/archive"
	"garner/store/vfs"
)

// Verdict is what Check found.
type Verdict struct {
	Report archive.Report
	Job    *record.Job // nil = the bag is none of garner's, or its record cannot be read
	Record string      // folder of the record in the bag; "" = there is none
	Faults []Fault     // what record and files disagree on
	More   int         // faults that are not listed, there were so many

	Frames    int
	Originals int   // picture files of frames that lie in the bag
	Smalls    int   // small pictures that were decoded and are of the originals that they stand for
	Others    int   // other files of the job
	Bytes     int64 // of all files of the job in the bag, small pictures left out
}

// Valid reports whether there is no fault, neither of the bag nor of the record in it.
func (v Verdict) Valid() bool { return v.Report.Valid() && len(v.Faults) == 0 }

// maxFaults is how many faults are listed.
const maxFaults = 1000

// Check reads every byte of a bag, and holds the record in it against its files. A bag
// without a record is checked as a bag. An error means that there is nothing to judge.
func Check(ctx context.Context, bag string, progress func(Progress)) (Verdict, error) {
	if progress == nil {
		progress = func(Progress) {}
	}
	report, err := archive.Check(ctx, vfs.OS{}, bag, func(p archive.Progress) {
		progress(Progress{Reading, p.Files, p.OfFiles, p.Bytes, p.OfBytes})
	})
	c := checker{Verdict: Verdict{Report: report}, told: map[string]bool{}, progress: progress}
	if err != nil {
		return c.Verdict, err
	}
	for _, f := range report.Findings {
		c.told[f.Path] = true
	}
	c.rec, err = record.Open(bag)
	switch {
	case errors.Is(err, record.ErrNone):
		return c.Verdict, nil
	case err != nil:
		c.Record = record.Folder
		c.fault(record.Folder, "cannot be read: %s", store.Reason(err))
		return c.Verdict, nil
	}
	c.Job, c.Record = &c.rec.Job, record.RunFolder(c.rec.Job.Run)
	return c.Verdict, c.record(ctx)
}

// checker is a Check on its way.
type checker struct {
	Verdict
	rec      *record.Record
	told     map[string]bool // paths in the bag of which something was said
	smalls   map[string]picture
	order    []string // of smalls
	progress func(Progress)
}

// picture is what a small picture has to be of; sum is "" where nobody knows any more.
type picture struct{ of, sum string }

func (c *checker) fault(at, format string, args ...any) {
	if c.told[at] && at != c.Record {
		return // it is said already what is wrong with it
	}
	if len(c.Faults) == maxFaults {
		c.More++
		return
	}
	c.Faults = append(c.Faults, Fault{at, fmt.Sprintf(format, args...)})
}

// record holds the record against the files.
func (c *checker) record(ctx context.Context) error {
	if c.Report.Bag == nil {
		return nil // without manifests there is nothing to hold it against
	}
	c.smalls = map[string]picture{}
	c.files(c.frames())
	c.lines(record.PicturesName, c.rec.Job.Pictures, heard(c.rec.Pictures(), func(p record.Picture) error { _, err := p.JobPath(); return err }))
	if c.rec.Job.Wrote > 0 {
		c.lines(record.WroteName, c.rec.Job.Wrote, heard(c.rec.Wrote(), func(w record.Wrote) error { _, err := w.JobPath(); return err }))
	}
	c.journal()
	return c.decode(ctx)
}

// heard is what each line of a list comes to.
func heard[T any](list iter.Seq2[T, error], look func(T) error) iter.Seq[error] {
	return func(yield func(error) bool) {
		for v, err := range list {
			if err == nil {
				err = look(v)
			}
			if !yield(err) {
				return
			}
		}
	}
}

// lines says which lines of a file of the record make no sense, and whether there are as
// many as there ought to be.
func (c *checker) lines(name string, want int, list iter.Seq[error]) {
	at, n := c.Record+"/"+name, 0
	for err := range list {
		n++
		if err != nil {
			c.fault(at, "is not what was written: %s", store.Reason(err))
		}
	}
	if n != want {
		c.fault(at, "has %d lines, and job.json says %d", n, want)
	}
}

// frames goes through the frames and returns the roles of their pictures, by path in the
// job.
func (c *checker) frames() map[string]cull.FileRole {
	roles := map[string]cull.FileRole{}
	ids := map[cull.ID]bool{}
	c.lines(record.FramesName, c.rec.Job.Frames, heard(c.rec.Frames(), func(f record.Frame) error {
		c.Frames++
		k, err := f.Known()
		if err != nil {
			return err
		}
		if ids[f.ID] {
			return fmt.Errorf("two frames have the id %s", f.ID)
		}
		ids[f.ID] = true
		for _, file := range k.Frame.Files {
			switch file.Role {
			case cull.RoleMain, cull.RoleTwin, cull.RoleVersion, cull.RoleSmall:
				roles[file.Path] = file.Role
			}
		}
		if f.Thumb != nil {
			if b, err := c.rec.Thumb(*f.Thumb); err != nil || !bytes.HasPrefix(b, []byte{0xFF, 0xD8}) {
				return fmt.Errorf("the thumbnail of %s is not in %s", f.Name, record.ThumbsName)
			}
		}
		if f.Small == nil {
			return nil
		}
		of, err := f.Small.Original()
		if err == nil {
			c.small(f.Small.Path, of, f.Small.SHA256)
		}
		return err
	}))
	return roles
}

// files goes through the files of the job.
func (c *checker) files(roles map[string]cull.FileRole) {
	seen := map[string]bool{}
	c.lines(record.FilesName, c.rec.Job.Files, heard(c.rec.Files(), func(f record.File) error {
		p, err := f.JobPath()
		if err != nil {
			return err
		}
		if seen[p] {
			return fmt.Errorf("%s has two lines", p)
		}
		seen[p] = true
		if f.Small != "" {
			c.small(f.Small, p, f.SHA256)
		}
		if f.Bag == "" {
			return nil
		}
		switch is, ok := c.Report.Bag.Sum(f.Bag); {
		case !ok:
			c.fault(f.Bag, "is in no manifest, and is what became of %s", p)
		case store.Hex(is) != f.SHA256:
			c.fault(f.Bag, "is not what the record says of %s: another checksum", p)
		case roles[p] == cull.RoleSmall: // its original was freed before the job was archived
			if _, ok := c.smalls[f.Bag]; !ok {
				c.small(f.Bag, p, "")
			}
		case roles[p] != "":
			c.Originals++
			c.Bytes += f.Bytes
		default:
			c.Others++
			c.Bytes += f.Bytes
		}
		return nil
	}))
}

// small notes a small picture that is to be looked at.
func (c *checker) small(at, of, sum string) {
	was, ok := c.smalls[at]
	switch {
	case !ok:
		c.smalls[at] = picture{of, sum}
		c.order = append(c.order, at)
	case was != (picture{of, sum}):
		c.fault(at, "stands for two originals: %s and %s", was.of, of)
	}
}

// journal reads the lines of who decided what.
func (c *checker) journal() {
	text, err := c.rec.Journal()
	at := path.Join(c.Record, record.JournalName)
	if err != nil {
		c.fault(at, "cannot be read: %s", store.Reason(err))
		return
	}
	n := 0
	for line := range bytes.Lines(text) {
		n++
		if line = bytes.TrimSpace(line); len(line) == 0 {
			continue
		}
		if _, err := cull.ParseEntry(string(line)); err != nil {
			c.fault(at, "has a line that cannot be read, the %dth: %v", n, err)
		}
	}
}
