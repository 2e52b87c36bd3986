package closing

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"garner/cull"
	"garner/cull/closing/record"
	"garner/cull/job"
	"garner/store"
	"garner/store/archive"
	"garner/store/vfs"
	"garner/store/volume"
)

// Standing is how it stands with the bags of a job.
type Standing struct {
	Bags    []Bag     // in the order in which they were first made
	Run     int       // number of the last record; 0 = the job was never archived whole, or that is not known any more
	At      time.Time // when it was made, UTC
	Small   int       // originals of dropped frames in the folder that the bags hold small pictures of
	Changed int       // files of the folder that are new, or not as they were archived
	First   string    // one of those
	Touched int       // files as long and as old as then, but somebody may have written to them
	Entries int       // of the journal that are newer than the record, but for what tells of this copy of the job alone
	Sets    bool      // the bags were made with the sets
	SmallPx int       // long edge that small pictures were brought down to when the bags were made; 0 = they are the camera's own
	Safe    bool      // the folder may be deleted
	Why     []string  // why not, in sentences; none while there is no bag
}

// Bag is a bag of the job.
type Bag struct {
	Dir    string
	There  bool   // it can be reached now, and has all its files at their sizes
	Away   bool   // there is nothing where it was
	Broken bool   // archiving again does not put it right
	Proven bool   // every byte was read back when the job was archived last
	Why    string // why one of these is not so
}

// Stands looks at the bags that the job knows of and at the job's folder. Of what lies
// in a bag it reads the lists and looks at sizes; only before it says that the folder may
// be deleted it reads the beginning of every file of the job.
func Stands(ctx context.Context, j *job.Job, progress func(done, total int)) (Standing, error) {
	return stands(ctx, j, volume.Of, progress)
}

func stands(ctx context.Context, j *job.Job, volumeOf func(string) (volume.Volume, error), progress func(done, total int)) (Standing, error) {
	var s Standing
	noted, err := j.Bags()
	if err != nil || len(noted) == 0 {
		return s, err
	}
	last, known, err := j.Archived()
	if err != nil {
		return s, err
	}
	opened, err := j.Opened()
	if err != nil {
		return s, err
	}
	s.Run, s.At, s.Why = last.Run, last.At, slices.Clone(last.Why)
	promised := map[string]job.ArchivedPlace{}
	for _, p := range last.Places {
		if promised[p.Dir] = p; !slices.Contains(noted, p.Dir) { // it was forgotten since
			s.Why = slices.DeleteFunc(s.Why, func(why string) bool { return isOf(why, p.Dir) })
		}
	}
	journal, err := j.JournalText()
	if err != nil {
		return s, err
	}
	var proven []lying
	for _, dir := range noted {
		p, counts := promised[dir]
		b := Bag{Dir: dir, Proven: p.Proven, Why: p.Why, Broken: strings.HasPrefix(p.Why, notWhole)}
		if err := whole(dir, last, journal); err != nil {
			_, err2 := os.Lstat(dir)
			b.Away, b.Why = errors.Is(err2, fs.ErrNotExist), store.Reason(err)
			b.Broken = !b.Away && !errors.Is(err, errBehind) && !errors.Is(err, record.ErrNone) && !errors.Is(err, archive.ErrNoBag)
			if counts && p.Proven {
				s.Why = append(s.Why, fmt.Sprintf("%s: %s", dir, b.Why))
			}
		} else {
			if r, err := record.Open(dir); err == nil {
				s.SmallPx = r.Job.Small
			}
			if b.There = true; !known {
				b.Why = "not read back since it was opened"
				if dir != opened {
					b.Why = "what was proven of it is not known here"
				}
			}
			if vol, err := volumeOf(dir); err == nil && counts && p.Proven {
				proven = append(proven, lying{dir, vol})
			}
		}
		s.Bags = append(s.Bags, b)
	}
	if !known { // nor which files and entries are new
		s.Why = append(s.Why, "it is not known here what was proven of the bags: archiving again proves it")
		return s, nil
	}
	if len(s.Why) == 0 { // job and bags may lie elsewhere by now
		s.Why = apart(j.Root(), proven, volumeOf)
	}
	if err := s.since(ctx, j, last, progress); err != nil {
		return s, err
	}
	s.Safe = len(s.Why) == 0
	return s, nil
}

// errBehind is a bag that archiving again completes.
var errBehind = errors.New("the bag")

// isOf reports whether one of the sentences of whyNot is about a place.
func isOf(why, dir string) bool {
	return strings.HasPrefix(why, dir+": ") || why == dir+inMemory || why == dir+onDisk
}

// whole looks at a bag without reading its payload: the lists can be read, the record is
// there and of this job, everything is listed that the job archived, and there with its
// size.
func whole(dir string, last job.Archived, journal []byte) error {
	b, err := archive.Open(vfs.OS{}, dir)
	if err != nil {
		return err
	}
	if b.Growing {
		return fmt.Errorf("files are being added to %w, or that was interrupted", errBehind)
	}
	if r, err := record.Open(dir); err != nil {
		return err
	} else if r.Job.Run < last.Run {
		return fmt.Errorf("the last record is not in %w", errBehind)
	} else if !ours(r, journal) {
		return fmt.Errorf("the bag is not of this job")
	}
	files := b.Files()
	var bytes int64
	sizes, listed := map[string]int64{}, map[string]bool{} // by sum, and by path
	for _, path := range files {
		info, err := vfs.OS{}.Lstat(filepath.Join(dir, filepath.FromSlash(path)))
		if err != nil {
			return err
		}
		bytes += info.Size()
		if s, ok := b.Sum(path); ok && info.Mode().IsRegular() {
			sizes[store.Hex(s)], listed[path] = info.Size(), true
		}
	}
	for _, f := range b.Info {
		if f.Label == "Payload-Oxum" && f.Value != fmt.Sprintf("%d.%d", bytes, len(files)) {
			return fmt.Errorf("the files in the bag have not the size that they had")
		}
	}
	for path, f := range last.Files {
		size, ok := sizes[f.Sum]
		if f.Small != "" && !listed[f.Small] || f.Small == "" && (!ok || size != f.Size) {
			return fmt.Errorf("what was archived of %s is not in %w", cull.Plain(path), errBehind)
		}
	}
	return nil
}

// since finds what is not in the bags yet.
func (s *Standing) since(ctx context.Context, j *job.Job, last job.Archived, progress func(done, total int)) error {
	newer, err := entriesAfter(j, last.Entry)
	if err != nil {
		return err
	}
	s.Entries = newer
	now, err := walk(ctx, j.Root(), j.StateDir(), false)
	if err != nil {
		return err
	}
	for path := range last.Files {
		s.Sets = s.Sets || isSet(path)
	}
	differs := func(path string) {
		if s.Changed++; s.First == "" {
			s.First = path
		}
	}
	var same []file
	look := func(f file) {
		if last.Files[f.path].Touched != f.touched {
			s.Touched++
		} else {
			same = append(same, f)
		}
	}
	for _, f := range now.files {
		if was, ok := last.Files[f.path]; !ok || was.Size != f.size || was.Mod != f.mod.UnixNano() {
			differs(f.path)
			continue
		} else if was.Small != "" {
			s.Small++
		}
		look(f)
	}
	apart := now.sets[:0]
	for _, f := range now.sets {
		if was, ok := last.Files[f.path]; !ok || was.Size != f.size || was.Mod != f.mod.UnixNano() {
			apart = append(apart, f) // left out on purpose, or cut since
			continue
		}
		look(f)
	}
	now.sets = apart
	if len(now.left) > 0 && len(s.Why) == 0 {
		s.Why = append(s.Why, leftText(now.left))
	}
	if len(s.Why) == 0 {
		lone, err := alone(ctx, j, now)
		if err != nil {
			return err
		}
		if len(lone) > 0 {
			s.Why = append(s.Why, aloneText(lone))
		}
	}
	if len(s.Why) == 0 && s.Changed+s.Touched+s.Entries == 0 {
		if err := s.heads(ctx, j, last, same, differs, progress); err != nil {
			return err
		}
	}
	if s.Changed > 0 {
		s.Why = append(s.Why, fmt.Sprintf("%s new or changed since: %s", count(s.Changed, "file"), cull.Plain(s.First)))
	}
	if s.Touched > 0 {
		s.Why = append(s.Why, fmt.Sprintf("%s that somebody may have written to since: archiving again reads them", count(s.Touched, "file")))
	}
	if s.Entries > 0 {
		s.Why = append(s.Why, newerText(s.Entries))
	}
	return nil
}

// entriesAfter counts the entries of the journal that are newer than one, but for those that
// tell of this copy of the job alone.
func entriesAfter(j *job.Job, last uint64) (n int, err error) {
	entries, err := j.Entries()
	for _, e := range entries {
		if e.Seq > last && !job.OfThisCopy(e) {
			n++
		}
	}
	return n, err
}

func newerText(entries int) string {
	return count(entries, "journal entry") + " newer than the record in the bags"
}

// heads compares how files begin: size and time alone are believed for less.
func (s *Standing) heads(ctx context.Context, j *job.Job, last job.Archived, files []file, differs func(string), progress func(done, total int)) error {
	for i, f := range files {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if progress != nil {
			progress(i+1, len(files))
		}
		head, err := headOf(filepath.Join(j.Root(), filepath.FromSlash(f.path)))
		if err != nil || head != last.Files[f.path].Head {
			differs(f.path)
		}
	}
	return nil
}
