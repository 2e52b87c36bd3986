package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"garner/cull"
	"garner/cull/closing/free"
	"garner/cull/job"
	"garner/cull/prepare"
)

// jobFlags are what most commands take beside the job's folder.
type jobFlags struct {
	state string
	json  bool
}

func (f *jobFlags) add(c *cobra.Command, json bool) {
	c.Flags().StringVar(&f.state, "state", "", "keep catalogue, journal and cache in `DIR` instead of JOB/.garner")
	if json {
		c.Flags().BoolVar(&f.json, "json", false, "machine output on stdout, one object a line")
	}
}

// open opens a job and says what had to be mended.
func (d desk) open(dir string, f jobFlags, o job.Options) (*job.Job, error) {
	o.State = f.state
	o.Now = d.now
	if o.Who == "" {
		o.Who = d.who()
	}
	var err error
	if o.Settings, err = d.settings(dir); err != nil {
		// A letter given without them would stay for ever.
		if !o.ReadOnly && o.Command != "verify" {
			return nil, err
		}
		d.sayf("%s; none of the settings are used", cull.Plain(err.Error()))
	}
	if o.Command != "cull" { // which says it on its screen
		for _, s := range unknownSettings(o.Settings.Unknown) {
			d.sayf("%s", s)
		}
	}
	j, err := job.Open(dir, o)
	if err != nil {
		return nil, openHint(err, dir)
	}
	for _, s := range j.Recovered() {
		d.sayf("%s", cull.Plain(s))
	}
	if !o.ReadOnly && !j.NeedsScan() && o.Command != freeing { // which says it in its own words
		back, err := free.Mend(context.Background(), j)
		if len(back) > 0 {
			d.sayf("got their names back, since archive --free was interrupted: %s", some(back))
		}
		if err != nil {
			return nil, errors.Join(err, j.Close())
		}
	}
	return j, nil
}

// freeing is the command that deletes originals, as the job names it.
const freeing = "archive --free"

// openPrepared opens a folder that is a job already: a command that is not
// prepare must not make one of whatever folder it was given by mistake.
func (d desk) openPrepared(dir string, f jobFlags, o job.Options) (*job.Job, error) {
	state := f.state
	if state == "" {
		state = filepath.Join(dir, ".garner")
	}
	if _, err := os.Stat(dir); err == nil {
		if _, err := os.Stat(state); errors.Is(err, os.ErrNotExist) {
			return nil, openHint(job.ErrNoJob, dir)
		}
	}
	return d.open(dir, f, o)
}

func openHint(err error, dir string) error {
	var network *job.NetworkError
	switch {
	case job.Mendable(err):
		return hinted(err, "garner prepare "+shellWord(dir)+" mends it from the journal and the files")
	case errors.Is(err, job.ErrNoJob):
		return hinted(err, "garner prepare "+shellWord(dir))
	case errors.As(err, &network):
		return hinted(err, "--state DIR keeps the catalogue on a local disk")
	case errors.Is(err, os.ErrPermission):
		return hinted(err, "--state DIR keeps catalogue, journal and cache in another folder")
	case errors.Is(err, os.ErrNotExist):
		if _, gone := os.Stat(dir); errors.Is(gone, os.ErrNotExist) {
			err = fmt.Errorf("%s: there is no such folder", dir)
		}
		return hinted(err, "the folder that holds the camera files is wanted; garner demo makes one to try")
	}
	return err
}

// needFrames scans a job that has no frames yet (never prepared), or whose
// catalogue had to be mended, so that it can be decided; pictures can wait.
func (d desk) needFrames(ctx context.Context, j *job.Job) error {
	if !j.NeedsScan() && len(j.Recovered()) == 0 {
		return nil
	}
	d.sayf("looking for frames in %s", cull.Plain(j.Root()))
	_, err := prepare.Scan(ctx, j)
	return err
}

// shellWord quotes a word for a command line in a hint where it needs it.
func shellWord(s string) string {
	safe := s != ""
	for _, r := range s {
		if !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '/' || r == '.' || r == '_' || r == '-') {
			safe = false
		}
	}
	if safe {
		return s
	}
	return `"` + cull.Plain(s) + `"`
}
