package closing

import (
	"errors"
	"os"
	"slices"

	"garner/cull/closing/record"
	"garner/store/catalog"
	"garner/store/vfs"
)

// errTaken is the reason of a place where another job of the same name, or a copy of this
// one, is being archived at this moment.
var errTaken = errors.New("another program is making a bag there, or adds to it: the same command goes on when that is done")

// hold takes the folder of a bag for the time of the run. Two that grew one bag would each
// write manifests without the files of the other. Where a folder cannot be locked, as on
// some servers, nobody is kept out.
func (p *place) hold(fsys vfs.FS, noted []string, journal []byte) error {
	if err := vfs.MkdirAll(fsys, p.Dir, 0o777); err != nil { // what cannot be made is noted nowhere
		return err
	}
	f, err := os.Open(p.Dir)
	if err != nil {
		return err
	}
	if err := catalog.TryLock(f, true); errors.Is(err, catalog.ErrLocked) {
		f.Close()
		return errTaken
	}
	p.held = f
	// It may have become somebody's, or have grown, since it was found.
	switch now, err := record.Open(p.Dir); {
	case err == nil && ours(now, journal):
		p.record = now
	case err == nil, p.record == nil && !slices.Contains(noted, p.Dir) && !empty(p.Dir):
		return errTaken
	}
	return nil
}

// release lets others have the bags.
func (r *runner) release() {
	for _, p := range r.places {
		if p.held != nil {
			p.held.Close()
		}
	}
}
