// Package watch waits in folders for cards to be mounted and for files to land, and
// says so once they can be read: a card when it is there, a file when it has
// stopped growing.
//
// What is in a watched folder is told apart like this:
//
//   - a file system mounted below it (or the folder itself) that has the folder
//     DCIM (JEITA CP-3461, DCF) or PRIVATE (AVCHD) at its top is a card, at once;
//   - another one mounted there is left alone and named: a backup disk is no card;
//   - a folder that has DCIM at its top is a card once nothing in it changes any
//     more: somebody is copying one in;
//   - every other file is a dropped one, at any depth, once its size and its time
//     have stayed the same. An empty file, and one whose name begins with a dot, is
//     on its way still.
//
// A card that was pulled and put in again is told again, also while the one before
// is being worked on.
//
// # Caveats
//
// The folders are read again and again: no system tells of all of this everywhere,
// network folders and cameras that write over FTP included. A writer that pauses
// for longer than Options.Quiet is taken to have ended; the file is told again when
// it has grown.
package watch

import (
	"context"
	"time"

	"garner/store/vfs"
)

// Options say what to wait for and whom to tell.
type Options struct {
	FS     vfs.FS                      // nil = the system's
	Mounts func() ([]vfs.Mount, error) // nil = vfs.Mounts
	Quiet  time.Duration               // how long size and time must have stayed; 0 = 2 s
	Ticks  <-chan time.Time            // when to look; nil = once a second
	Now    func() time.Time            // nil = time.Now
	Except []string                    // folders that are never looked into: where things go to

	// Cards is told of the cards found by one look, Files of files below a watched
	// folder ("/"-separated paths). One call at a time; looking goes on meanwhile.
	// An error ends the watch.
	Cards func(ctx context.Context, roots []string) error
	Files func(ctx context.Context, root string, paths []string) error
	Say   func(sentence string) // once for each thing that is left alone; may be nil
}

// Run looks into dirs until ctx ends, then waits for the call that is under way and
// returns what it returned, else ctx's error. A folder that is not there is waited
// for.
func Run(ctx context.Context, dirs []string, o Options) error {
	if o.FS == nil {
		o.FS = vfs.OS{}
	}
	if o.Mounts == nil {
		o.Mounts = vfs.Mounts
	}
	if o.Quiet <= 0 {
		o.Quiet = 2 * time.Second
	}
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Ticks == nil {
		t := time.NewTicker(time.Second)
		defer t.Stop()
		o.Ticks = t.C
	}
	w := newWatcher(o)
	ended := make(chan error, 1)
	busy := false
	for {
		w.look(dirs)
		if !busy {
			if do := w.next(); do != nil {
				busy = true
				go func() { ended <- do(ctx) }()
			}
		}
		var err error
		select {
		case <-ctx.Done():
			if busy {
				err = <-ended
			}
			if err == nil {
				err = ctx.Err()
			}
			return err
		case err = <-ended:
			busy = false
		case <-o.Ticks:
		}
		if err != nil {
			return err
		}
	}
}
