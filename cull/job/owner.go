package job

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"
	"time"

	"garner/store/catalog"
)

// Owner is who has a job for deciding.
type Owner struct {
	Host    string
	PID     int
	Command string
	Since   time.Time
}

// String names the owner for a message.
func (o Owner) String() string {
	if o == (Owner{}) {
		return "another program"
	}
	what := "garner"
	if o.Command != "" {
		what += " " + showPath(o.Command)
	}
	text := fmt.Sprintf("%s (process %d on %s", what, o.PID, showPath(o.Host))
	if !o.Since.IsZero() {
		text += ", since " + o.Since.Local().Format("2006-01-02 15:04")
	}
	return text + ")"
}

// OwnedError is returned by Claim when somebody else decides on the job.
type OwnedError struct {
	Owner Owner
}

func (e *OwnedError) Error() string {
	return "the job is being decided on by " + e.Owner.String()
}

// Claim is the right to decide on a job. It ends with Release, or with the
// process: the system lets go of the lock then, so that no claim outlives its
// program.
type Claim struct {
	job  *Job
	file *os.File
}

// Claim takes the job for deciding, or returns an *OwnedError. The file owner
// says who has it; the lock on that file is what counts. One left behind by a
// program that was killed has no lock and is taken over.
func (j *Job) Claim() (*Claim, error) {
	if j.o.ReadOnly {
		return nil, errReadOnly
	}
	f, err := os.OpenFile(j.ownerPath(), os.O_RDWR|os.O_CREATE, 0o666)
	if err != nil {
		return nil, fmt.Errorf("claim: %w", err)
	}
	// Somebody who only asks who has the job holds the lock for a moment.
	err = catalog.TryLock(f, true)
	for try := 0; try < 20 && errors.Is(err, catalog.ErrLocked); try++ {
		time.Sleep(2 * time.Millisecond)
		err = catalog.TryLock(f, true)
	}
	switch {
	case errors.Is(err, catalog.ErrLocked):
		owner := readOwner(f)
		f.Close()
		return nil, &OwnedError{Owner: owner}
	case err != nil:
		f.Close()
		return nil, fmt.Errorf("claim: %w", err)
	}
	// The file keeps its place on the disk for ever: replacing it would let two
	// programs lock two files of one name.
	host, _ := os.Hostname()
	me := Owner{Host: host, PID: os.Getpid(), Command: j.o.Command, Since: j.now().UTC().Truncate(time.Second)}
	if err := writeOwner(f, me); err != nil {
		f.Close()
		return nil, fmt.Errorf("claim: %w", err)
	}
	return &Claim{job: j, file: f}, nil
}

// Release gives the job back and syncs the text journal.
func (c *Claim) Release() error {
	err := c.job.syncJournal()
	if terr := c.file.Truncate(0); err == nil {
		err = terr
	}
	if cerr := c.file.Close(); err == nil {
		err = cerr
	}
	return err
}

// Owner returns who has the job for deciding, if anybody.
func (j *Job) Owner() (Owner, bool) {
	f, err := os.Open(j.ownerPath())
	if err != nil {
		return Owner{}, false
	}
	defer f.Close()
	if catalog.TryLock(f, false) == nil {
		return Owner{}, false // nobody holds it, whatever it says
	}
	return readOwner(f), true
}

// holder names the program that keeps us waiting for the catalogue, for its
// message; it is a guess, since not only who decides writes.
func (j *Job) holder() string {
	o, ok := j.Owner()
	if !ok {
		return ""
	}
	return o.String()
}

func writeOwner(f *os.File, o Owner) error {
	text := fmt.Sprintf("host=%s\npid=%d\ncommand=%s\nsince=%s\n",
		strconv.Quote(o.Host), o.PID, strconv.Quote(o.Command), o.Since.Format(time.RFC3339))
	if err := f.Truncate(0); err != nil {
		return err
	}
	_, err := f.WriteAt([]byte(text), 0)
	return err
}

// maxOwner is more than any owner file has.
const maxOwner = 64 << 10

// readOwner reads what it can.
func readOwner(f io.ReaderAt) Owner {
	b, _ := io.ReadAll(io.NewSectionReader(f, 0, maxOwner))
	return parseOwner(b)
}

func parseOwner(b []byte) Owner {
	var o Owner
	for line := range bytes.Lines(b) {
		key, value, _ := strings.Cut(strings.TrimSpace(string(line)), "=")
		switch key {
		case "host":
			o.Host = unquoted(value)
		case "pid":
			o.PID, _ = strconv.Atoi(value)
		case "command":
			o.Command = unquoted(value)
		case "since":
			o.Since, _ = time.Parse(time.RFC3339, value)
		}
	}
	return o
}

func unquoted(s string) string {
	if text, err := strconv.Unquote(s); err == nil {
		return text
	}
	return s
}
