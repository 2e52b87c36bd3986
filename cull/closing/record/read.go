package record

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"iter"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"

	"garner/store/vfs"
)

// What a record may take, far above what any job does.
const (
	maxJob     = 64 << 20  // bytes of job.json
	maxLine    = 4 << 20   // bytes of a line
	maxValues  = 200_000   // of job.json, or of a line: each may take a hundred times its bytes
	maxJournal = 256 << 20 // bytes of journal.txt
	maxThumb   = 4 << 20   // bytes of a thumbnail
	maxLines   = 1 << 20   // of a file
)

// ErrNone is returned for a folder that has no record: it is no bag of a job. ErrLarge
// is about what no job has so much of.
var (
	ErrNone  = errors.New("is no archived job: there is no " + Folder)
	ErrLarge = errors.New("is larger than that of any job")
)

// Record is the record of a bag that counts. It holds no file open.
type Record struct {
	Bag string // folder of the bag
	Dir string // folder of the record
	Job Job
}

// Open finds the last record of a bag that is whole. Whether the bag is valid is not
// looked at.
func Open(bag string) (*Record, error) {
	base := filepath.Join(bag, filepath.FromSlash(Folder))
	entries, err := os.ReadDir(base)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, ErrNone
	}
	if err != nil {
		return nil, err
	}
	var runs []int
	for _, e := range entries {
		if n, err := strconv.Atoi(e.Name()); err == nil && n > 0 && e.IsDir() && path.Base(RunFolder(n)) == e.Name() {
			runs = append(runs, n)
		}
	}
	slices.Sort(runs)
	for _, run := range slices.Backward(runs) {
		r := &Record{Bag: bag, Dir: filepath.Join(bag, filepath.FromSlash(RunFolder(run)))}
		text, err := r.read(JobName, maxJob)
		if errors.Is(err, fs.ErrNotExist) {
			continue // job.json is written last: this one is not whole
		}
		if err != nil {
			return nil, err
		}
		return r, r.parse(text, run)
	}
	return nil, ErrNone
}

func (r *Record) parse(text []byte, run int) error {
	at := RunFolder(run) + "/" + JobName
	if err := Decode(text, &r.Job); err != nil {
		return fmt.Errorf("%s is not what was written: %w", at, err)
	}
	if r.Job.V > Version {
		return fmt.Errorf("%s is of a later version of garner", at)
	}
	if r.Job.V < 1 || r.Job.Run != run {
		return fmt.Errorf("%s is not what was written", at)
	}
	return nil
}

// Frames gives the frames in order. The error of a line that cannot be read ends them.
func (r *Record) Frames() iter.Seq2[Frame, error] { return read[Frame](r, FramesName) }

// Files gives the files of the job.
func (r *Record) Files() iter.Seq2[File, error] { return read[File](r, FilesName) }

// Pictures gives the finished pictures.
func (r *Record) Pictures() iter.Seq2[Picture, error] { return read[Picture](r, PicturesName) }

// Wrote gives what handoffs wrote into sidecars.
func (r *Record) Wrote() iter.Seq2[Wrote, error] { return read[Wrote](r, WroteName) }

// Names are the files of the record.
func (r *Record) Names() []string {
	return []string{JobName, FramesName, FilesName, PicturesName, WroteName, JournalName, ThumbsName}
}

// Journal gives the journal as text.
func (r *Record) Journal() ([]byte, error) { return r.read(JournalName, maxJournal) }

// JournalWithin is Journal of at most so many bytes; a longer one is ErrLarge.
func (r *Record) JournalWithin(most int) ([]byte, error) { return r.read(JournalName, int64(most)) }

// Thumb gives the JPEG of a thumbnail.
func (r *Record) Thumb(s Span) ([]byte, error) {
	if s.Offset < 0 || s.Length <= 0 || s.Length > maxThumb {
		return nil, fmt.Errorf("%s has no such part", ThumbsName)
	}
	f, _, err := r.open(ThumbsName)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	b := make([]byte, s.Length)
	if _, err := f.ReadAt(b, s.Offset); err != nil {
		return nil, fmt.Errorf("%s: %w", ThumbsName, err)
	}
	return b, nil
}

// open opens one of the files. A bag may come from anywhere: no link is followed, no pipe
// waited for.
func (r *Record) open(name string) (*os.File, fs.FileInfo, error) {
	f, info, err := vfs.OpenPlain(filepath.Join(r.Dir, name))
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", name, errors.Unwrap(err))
	}
	return f, info, nil
}

func (r *Record) read(name string, limit int64) ([]byte, error) {
	f, info, err := r.open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	if info.Size() > limit {
		return nil, fmt.Errorf("%s %w", name, ErrLarge)
	}
	b, err := io.ReadAll(io.LimitReader(f, limit+1))
	if err == nil && int64(len(b)) > limit {
		err = fmt.Errorf("%s %w", name, ErrLarge)
	}
	return b, err
}

// Decode reads JSON of somebody else's, unless it says more than any job does: ErrLarge.
func Decode(text []byte, into any) error {
	if bytes.Count(text, []byte(",")) > maxValues {
		return ErrLarge
	}
	return json.Unmarshal(text, into)
}

func read[T any](r *Record, name string) iter.Seq2[T, error] {
	return func(yield func(T, error) bool) {
		var zero T
		f, _, err := r.open(name)
		if err != nil {
			yield(zero, err)
			return
		}
		defer f.Close()
		s := bufio.NewScanner(f)
		s.Buffer(make([]byte, 64<<10), maxLine)
		for n := 1; s.Scan(); n++ {
			var v T
			if err := Decode(bytes.TrimSpace(s.Bytes()), &v); err != nil || n > maxLines {
				yield(zero, fmt.Errorf("%s, line %d, cannot be read", name, n))
				return
			}
			if !yield(v, nil) {
				return
			}
		}
		if err := s.Err(); err != nil {
			yield(zero, fmt.Errorf("%s: %w", name, err))
		}
	}
}
