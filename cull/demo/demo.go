// Package demo makes an invented wedding: a folder of camera files such as two
// photographers and a guest would bring home, with everything a garner job has
// to cope with. Two bodies of one model use the same file names, and their
// clocks are 7 min 20 s apart. There are bursts, blinks, soft frames, uneven
// exposure, an exposure bracket, portrait formats, raw+JPEG pairs, a voice
// note, a file that was cut off, and a file that is no picture.
//
// The pictures are drawn (packages stage and paint), the containers come from
// preview/build, and with [Options.FullSize] they are as heavy as real ones. The
// same options give the same bytes on the same kind of
// processor: nothing depends on the clock or on the number of workers.
package demo

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"sync"
	"time"

	"golang.org/x/sync/errgroup"

	"garner/cull/demo/paint"
	"garner/preview/build"
)

// DefaultFrames is how many frames the demo makes unless told otherwise.
const DefaultFrames = 120

// FullSizeFrames is how many frames a demo of full size has unless told
// otherwise: they come to some 1.3 GB.
const FullSizeFrames = 40

// MaxFrames keeps the four digits of the file names from running out.
const MaxFrames = 9000

// OffsetSeconds is how far body B's clock is ahead of body A's.
const OffsetSeconds = 440

// Options say what to make.
type Options struct {
	Frames   int                   // 0 means DefaultFrames
	Seed     int64                 // another seed gives another day of the same people
	FullSize bool                  // files as large as those of a body with 24 megapixels
	Progress func(done, total int) // called after each frame, never twice at a time; may be nil
}

// Summary is what was made.
type Summary struct {
	Frames, Files int
	Bytes         int64
	Bodies        []Body
	OffsetSeconds int     // clock of body B minus clock of body A
	Truth         []Truth // one entry per frame in the order of true time
}

// Body is one invented camera.
type Body struct {
	Letter, Make, Model, Serial string
	Frames                      int
}

// Truth is what a frame was meant to be, for measuring what garner makes of it.
// It is never written to disk.
type Truth struct {
	Paths    []string  // the frame's files relative to the job, with slashes, the raw first
	Body     string    // letter
	Kind     string    // "CR3", "DNG", "RAF" or "JPEG", of the first path
	Time     time.Time // true local time, in time.UTC, as a correct clock would have shown it
	Scene    int       // 0..7 in the order of the day
	Name     string    // of the scene
	Moment   int       // frames taken in one go by one body share it
	Burst    bool      // the moment has several frames and is no bracket
	Same     int       // moments with the same value show the same thing (two bodies at once)
	Closed   bool      // somebody's eyes are shut who should have them open
	Soft     bool      // out of focus or shaken
	Exposure float64   // EV off the right exposure
	Bracket  bool
	Broken   bool // cut off: no usable preview
	Upright  bool // portrait format, stored unrotated
}

// Make writes the shoot into dir, which must be empty or not exist yet. On
// cancellation the files made so far stay, and the error is the context's.
func Make(ctx context.Context, dir string, o Options) (Summary, error) {
	if o.Frames == 0 {
		o.Frames = DefaultFrames
	}
	if o.Frames < 0 || o.Frames > MaxFrames {
		return Summary{}, fmt.Errorf("demo: %d frames are not between 1 and %d", o.Frames, MaxFrames)
	}
	if err := emptyDir(dir); err != nil {
		return Summary{}, err
	}
	p := newPlan(o)
	for _, b := range p.bodies {
		if b.Frames > 0 {
			if err := os.MkdirAll(filepath.Join(dir, b.Letter), 0o755); err != nil {
				return Summary{}, err
			}
		}
	}

	sum := Summary{Bodies: p.bodies, OffsetSeconds: OffsetSeconds, Frames: len(p.shots)}
	var mu sync.Mutex // guards sum and the calls of Progress
	dev := paint.NewDeveloper()
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(runtime.GOMAXPROCS(0))
	for _, m := range p.moments {
		g.Go(func() error {
			return m.shoot(ctx, dev, o.format(), func(s *shot, info build.Shot, pics build.Pictures) error {
				files, n, err := s.write(dir, info, pics)
				if err != nil {
					return err
				}
				mu.Lock()
				defer mu.Unlock()
				p.done++
				if o.Progress != nil {
					o.Progress(p.done, len(p.shots))
				}
				sum.Files += files
				sum.Bytes += n
				return nil
			})
		})
	}
	if err := g.Wait(); err != nil {
		return sum, err
	}
	n, err := extras(dir, p)
	if err != nil {
		return sum, err
	}
	sum.Files += n.files
	sum.Bytes += n.bytes
	for _, s := range p.shots {
		sum.Truth = append(sum.Truth, s.truth)
	}
	return sum, nil
}

// emptyDir makes the folder, and refuses one that has something in it: the demo
// must never mix with somebody's pictures.
func emptyDir(dir string) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	list, err := os.ReadDir(dir)
	if err != nil {
		return err
	}
	if len(list) > 0 {
		return fmt.Errorf("demo: %s is not empty", dir)
	}
	return nil
}
