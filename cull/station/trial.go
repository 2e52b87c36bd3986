package station

import (
	"context"
	"fmt"
	"runtime"
	"slices"
	"strings"
	"time"

	"garner/cull/job"
	"garner/cull/output"
	"garner/preview/sched"
)

// TrialOptions say which sets are looked at.
type TrialOptions struct {
	Sets    []output.Set // of the job
	Set     string       // to begin with
	Ties    output.Ties  // as a run of the sets is given them
	Now     func() time.Time
	Workers int // pictures that are cut at once; 0 = as many as cores
}

// Trial is a desk at which sets are looked at before they are cut: picture by picture
// and set by set, each as its file would be. Nothing is decided at it and nothing
// written. Its methods belong to one goroutine, but for Next.
type Trial struct {
	stand
	showing  *output.Showing
	sets     []output.Set
	pictures []string
	set, at  int // which is looked at
	course   int // where the last step led: 1 on, -1 back

	names   map[string]map[string]output.Name
	noNames string // why there are none
	naming  bool   // they are being worked out
	work    errands[tried]
	cuts    cuts
	failed  map[string]failedCut
	view    trialView
}

// trialView is how a file is looked at.
type trialView uint8

const (
	wholeFile trialView = iota
	filePixels
	uncutPicture
)

// failedCut is why a picture cannot be cut for a set.
type failedCut struct{ why, advice string }

// OpenTrial looks at what there is to be cut.
func OpenTrial(ctx context.Context, j *job.Job, o TrialOptions) (*Trial, error) {
	showing, err := output.OpenShowing(ctx, j, o.Ties)
	if err != nil {
		return nil, err
	}
	if o.Workers <= 0 {
		o.Workers = runtime.GOMAXPROCS(0)
	}
	t := &Trial{stand: stand{board: newBoard(o.Now), details: details{limit: trialDetailBytes}}, showing: showing, sets: o.Sets, pictures: showing.Pictures(), course: 1, failed: map[string]failedCut{}}
	t.set = max(0, slices.IndexFunc(o.Sets, func(s output.Set) bool { return strings.EqualFold(s.Name, o.Set) }))
	t.work = newErrands[tried](&t.board, sched.Options{Workers: o.Workers, Spare: min(1, o.Workers-1), MaxBytes: maxTrialBytes, MaxQueue: 16})
	t.renew()
	return t, nil
}

// Close calls all work off.
func (t *Trial) Close() { t.work.close() }

// Take folds news in.
func (t *Trial) Take(n Brought) {
	t.take(n)
	t.renew()
}

// Walk goes to the next picture, or with -1 to the one before.
func (t *Trial) Walk(step int) {
	to := t.at + step
	switch {
	case to < 0:
		t.Refuse("this is the first picture")
	case to >= len(t.pictures):
		t.Refuse("this is the last picture")
	default:
		t.at, t.course = to, step
		t.moved()
	}
}

// WalkSets goes to the next set, or with -1 to the one before, round the end.
func (t *Trial) WalkSets(step int) {
	if len(t.sets) < 2 {
		t.Refuse("there is no other set")
		return
	}
	t.set = (t.set + step + len(t.sets)) % len(t.sets)
	t.moved()
}

// moved keeps how one looks, at the place that is the same in all pictures.
func (t *Trial) moved() {
	if t.view == uncutPicture {
		t.view = wholeFile
	}
	t.settled()
	t.renew()
}

// InLoupe reports whether single pixels are seen.
func (t *Trial) InLoupe() bool { return t.view == filePixels }

// ToggleLoupe shows the pixels of the file, where the stamp stands first; and again all
// of it.
func (t *Trial) ToggleLoupe() {
	if t.view == filePixels {
		t.view = wholeFile
	} else {
		t.view, t.panned = filePixels, false
	}
	t.settled()
	t.renew()
}

// NoLoupe says why no pixels can be shown; "" = they can.
func (t *Trial) NoLoupe() string {
	if _, no := t.failed[t.key()]; no {
		return "there is no file to look into"
	}
	return ""
}

// Pan moves the part that is seen.
func (t *Trial) Pan(p Pan) {
	if now, ok := t.part(); t.pan(now, ok, p) {
		t.renew()
	}
}

// ToggleUncut shows what the set cuts away; and again the file.
func (t *Trial) ToggleUncut() {
	if t.view == uncutPicture {
		t.view = wholeFile
	} else {
		t.view = uncutPicture
	}
	t.settled()
	t.renew()
}

// NothingCut says why there is nothing to be shown that was cut away; "" = there is.
func (t *Trial) NothingCut() string {
	switch c, ok := t.cuts.get(t.key()); {
	case t.view == uncutPicture:
		return "" // it can be left
	case !ok:
		return "it is not known yet what is cut away"
	case !c.Cropped():
		return fmt.Sprintf("%s shows all of this picture: nothing is cut away", t.sets[t.set].Name)
	}
	return ""
}

// Uncut reports whether what is cut away is shown.
func (t *Trial) Uncut() bool { return t.view == uncutPicture }

// TrialHere is what is looked at.
type TrialHere struct {
	Set            output.Set
	Picture        string // path in finished/
	At, Total      int    // which picture, from 1
	SetAt, SetsAll int    // which set, from 1
	Name           output.Name
	NoName         string // why it is not known; "" = it is
	Cut            *output.Shown
	Why            string // why there is no file; "" = there is, or it is being cut
	Loupe          *LoupePart
}

// Here says what is looked at.
func (t *Trial) Here() TrialHere {
	set, path := t.sets[t.set], t.pictures[t.at]
	h := TrialHere{Set: set, Picture: path, At: t.at + 1, Total: len(t.pictures), SetAt: t.set + 1, SetsAll: len(t.sets), Name: t.names[set.Name][path], Loupe: t.shot.Loupe}
	if h.Name.File == "" {
		h.NoName = t.noNames
		if h.NoName == "" && t.names == nil {
			h.NoName = "its name is being worked out"
		}
	}
	if c, ok := t.cuts.get(t.key()); ok {
		h.Cut = &c
	}
	h.Why = t.failed[t.key()].why
	return h
}

// name works out in the background what the files will be called: all pictures have to
// be read for it.
func (t *Trial) name() {
	if t.naming || !t.begun {
		return
	}
	t.naming = true
	t.beside(func() func() {
		names, err := t.showing.Names(t.ctx, t.sets)
		return func() {
			if t.names = names; err != nil && t.ctx.Err() == nil {
				t.noNames = "its name cannot be said: " + output.Why(err)
			}
		}
	})
}
