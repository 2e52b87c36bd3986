package job

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"time"

	"garner/cull"
	"garner/store/catalog"
	"garner/store/vfs"
)

// Names inside the state folder.
const (
	stateName    = ".garner"
	catalogName  = "catalog.db"
	journalName  = "journal.txt"
	manifestName = "manifest-sha256.txt"
	ownerName    = "owner"
	cacheName    = "cache"
)

// Options says how a job is opened.
type Options struct {
	State    string           // folder that stands for JOB/.garner; "" = in the job
	ReadOnly bool             // nothing is written, nothing mended
	Now      func() time.Time // nil = time.Now
	Who      string           // who decides, for entries that don't say
	Command  string           // what the program is doing, for others that meet our claim
	Settings Settings         // of the job over those of the studio, as far as they were read
}

// Job is an open job. It may be used by several goroutines.
type Job struct {
	root, state string
	o           Options
	db          *catalog.DB

	queue     queue
	mu        sync.Mutex
	recovered []string
	brought   []Outside
	dirty     bool                // journal.txt has lines that were not synced
	mirrors   map[string]mirrored // by folder of Also, as this program left them
}

// ErrNoJob is returned for a folder without a catalogue when nothing may be
// written.
var ErrNoJob = errors.New("the folder is no job yet: garner has not prepared it")

// Open opens the job in dir, makes it one if it is none yet, and mends what can
// be mended.
func Open(dir string, o Options) (*Job, error) {
	if o.Now == nil {
		o.Now = time.Now
	}
	root, err := filepath.Abs(dir)
	if err != nil {
		return nil, fmt.Errorf("job: %w", err)
	}
	switch info, err := os.Stat(root); {
	case err != nil:
		return nil, fmt.Errorf("job: %w", err)
	case !info.IsDir():
		return nil, fmt.Errorf("job %s: it is a file, not a folder", showPath(dir))
	}
	j := &Job{root: root, state: filepath.Join(root, stateName), o: o}
	j.o.Settings, j.brought = o.Settings.brought(root)
	if o.State != "" {
		if j.state, err = filepath.Abs(o.State); err != nil {
			return nil, fmt.Errorf("job: %w", err)
		}
	}
	if err := refuseNetwork(j.state); err != nil {
		return nil, err
	}
	j.db = catalog.New(filepath.Join(j.state, catalogName), catalog.Options{Holder: j.holder})
	if o.ReadOnly {
		return j, j.look()
	}
	if err := vfs.MkdirAll(vfs.OS{}, j.state, 0o777); err != nil {
		return nil, fmt.Errorf("job: %w", err)
	}
	if err := j.mend(); err != nil {
		return nil, err
	}
	return j, j.heedConsent()
}

// look makes sure that there is a catalogue to read.
func (j *Job) look() error {
	err := j.db.Examine()
	if errors.Is(err, catalog.ErrMissing) {
		if _, serr := os.Stat(j.journalPath()); errors.Is(serr, fs.ErrNotExist) {
			return ErrNoJob
		}
	}
	return err
}

// Root is the job's folder.
func (j *Job) Root() string { return j.root }

// StateDir is where catalogue and journal are: JOB/.garner unless Options.State
// said otherwise.
func (j *Job) StateDir() string { return j.state }

// CacheDir is where renditions may be kept; it need not exist and may be
// deleted at any time.
func (j *Job) CacheDir() string { return filepath.Join(j.state, cacheName) }

func (j *Job) journalPath() string  { return filepath.Join(j.state, journalName) }
func (j *Job) manifestPath() string { return filepath.Join(j.state, manifestName) }
func (j *Job) ownerPath() string    { return filepath.Join(j.state, ownerName) }

// Recovered says, in sentences for people, what opening the job had to mend.
func (j *Job) Recovered() []string {
	j.mu.Lock()
	defer j.mu.Unlock()
	return slices.Clone(j.recovered)
}

// Close syncs the text journal. The job holds nothing else open.
func (j *Job) Close() error { return j.syncJournal() }

// update changes the catalogue, unless the job was opened to be read.
func (j *Job) update(fn func(*catalog.Tx) error) error {
	if j.o.ReadOnly {
		return errReadOnly
	}
	return j.db.Update(fn)
}

func (j *Job) now() time.Time { return j.o.Now() }

// stamped gives an entry the time and the person that it lacks.
func (j *Job) stamped(e cull.Entry) cull.Entry {
	if e.At.IsZero() {
		e.At = j.now()
	}
	e.At = e.At.UTC().Truncate(time.Millisecond)
	if e.Who == "" {
		e.Who = j.o.Who
	}
	return e
}
