package station

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"runtime/debug"
	"sync"
	"time"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/prepare"
	"garner/preview/sched"
)

// Options say who works at the desk and how.
type Options struct {
	Who       string
	Pass      string            // pass to begin in; "" = keep
	Questions map[string]string // of passes, instead of what they were defined with
	Goal      int               // frames that are to be kept; 0 = none set
	Now       func() time.Time  // nil = time.Now
	Workers   int               // pictures that are made at once; 0 = as many as cores
	AsItIs    bool              // nothing is prepared in the background
	Config    string            // the user's folder for settings, for names used before; "" = none
	On        string            // part of the review to begin on, "kind" or "kind:number"; "" = all
	Evidence  Evidence
	Stands    func(ctx context.Context) []string // where the job stands on its way and what leads on, a line each; nil = that is not said
}

// Desk is one sitting at one job. Its methods belong to one goroutine, but for
// Next and what is said otherwise.
type Desk struct {
	o       Options
	job     *job.Job
	claim   *job.Claim
	session *cull.Session
	frames  map[cull.ID]cull.Frame
	bodies  map[string]cull.Body
	aliases map[cull.ID]cull.ID

	sceneNames []string             // used before, latest first
	has        map[string][]cull.ID // what the job has to have and does, by hand
	stands     stands

	ctx    context.Context
	cancel context.CancelFunc
	work   sync.WaitGroup
	mail   *mailbox

	// keys and what they do
	hold    hold
	early   early
	press   uint64    // number of the last press of a deciding key; those in quick succession are one
	did     []pressed // what it did
	pending *pending  // the entry that is being made durable
	queue   []queued  // acts that wait for it
	notice  Notice
	said    time.Time // when
	murmurs []murmur  // what else is to be said, when there is a pause
	pace    pace
	sitting cull.Counts // answers given at this desk

	// what is to be seen
	begun   bool // something has been drawn
	shot    Shot
	visited cull.ID   // the frame that renew saw last
	armed   bool      // the shot has been drawn: deciding keys count
	armedAt time.Time // since when; keys from before were typed without having seen it
	drawn   map[cull.ID]bool
	turns   map[cull.ID]int // quarter turns clockwise of the view
	edge    int             // long edge of the picture on the screen, in pixels
	course  cull.Motion     // where the last key led: the next probably leads on
	loupe   loupe
	fan     fan
	part    only
	light   light

	sidecars sidecars
	overlay  Overlay // what is marked on the pictures
	looks    int     // grows with what the frames look like: turned, or other files

	viewer    *prepare.Viewer
	sched     *sched.Sched[made]
	album     album              // whole pictures
	closeUps  album              // the loupe's
	details   details            // what these are made from
	sources   bool               // the pictures' JPEGs are kept with them
	requested map[string]request // by the key of the picture
	requests  uint64
	failed    map[cull.ID]string // why the picture of a frame could not be made
	noThumb   map[cull.ID]bool   // there was no thumbnail when it was wanted

	filling   filling
	measured  measured
	measuring measuring
	faces     faces
	layouts   int // how many were taken over
	joins     int // how many were to be joined with the one that is walked
	joining   bool
	tally     tally
	arrived   int
	version   uint64
	broke     error
}

// Open takes the job for deciding. The error is the job's *OwnedError where
// somebody else has it. The job stays open when the desk is closed.
func Open(j *job.Job, o Options) (*Desk, error) {
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Workers <= 0 {
		o.Workers = runtime.GOMAXPROCS(0)
	}
	claim, err := j.Claim()
	if err != nil {
		return nil, err
	}
	d := &Desk{
		o: o, job: j, claim: claim, mail: newMailbox(),
		drawn: map[cull.ID]bool{}, turns: map[cull.ID]int{},
		requested: map[string]request{}, failed: map[cull.ID]string{}, noThumb: map[cull.ID]bool{},
		loupe: newLoupe(), details: details{limit: detailBytes},
	}
	if err := d.load(); err != nil {
		return nil, errors.Join(err, claim.Release())
	}
	d.ctx, d.cancel = context.WithCancel(context.Background())
	d.sched = sched.New[made](d.ctx, sched.Options{Workers: o.Workers, Spare: 1, MaxBytes: maxPictureBytes, MaxQueue: 32})
	d.viewer = prepare.NewViewer(j)
	if o.Config != "" {
		d.sceneNames = job.UsedSceneNames(o.Config)
	}
	if err := d.begin(o.Pass); err != nil {
		return nil, errors.Join(err, d.Close())
	}
	d.renew()
	if o.On != "" {
		if err := d.on(o.On); err != nil {
			return nil, errors.Join(err, d.Close())
		}
	}
	if c := d.reckon().counts; c.Open == 0 && c.All() > 0 {
		d.say(Said, false, "%s", d.finished(c))
	}
	if j.NeedsScan() || len(j.Recovered()) > 0 {
		d.Fill()
	}
	return d, nil
}

// load reads the job as it stands.
func (d *Desk) load() error {
	l, err := d.job.Load()
	if err != nil {
		return err
	}
	d.session, d.frames, d.aliases, d.bodies = l.Session, l.Frames, l.Aliases, bodiesByKey(l.Bodies)
	d.has, err = d.job.Has()
	return err
}

func bodiesByKey(list []cull.Body) map[string]cull.Body {
	m := make(map[string]cull.Body, len(list))
	for _, b := range list {
		m[b.Key] = b
	}
	return m
}

// begin goes on in a pass, which is defined if it is one that is known by its name:
// to the next open frame, or if nothing is answered there yet, to its first.
func (d *Desk) begin(pass string) error {
	if pass == "" {
		pass = cull.KeepPass
	}
	if _, ok := d.session.PassNamed(pass); !ok {
		p, ok := usual(pass)
		if !ok {
			return fmt.Errorf("there is no pass %s: %s", pass, d.passWords())
		}
		e, err := d.session.Plan(cull.DefinePass{Pass: p}, d.o.Now(), d.o.Who)
		if err != nil {
			return err
		}
		kept, err := d.job.Append(e)
		if err != nil && !errors.Is(err, job.ErrJournal) {
			return err
		}
		if err := d.session.Commit(kept[0]); err != nil {
			return err
		}
	}
	if c := d.session.Progress(pass); c.Open > 0 && c.Open == c.All() {
		d.session.MoveTo(d.session.Frames(pass)[0])
	}
	return d.session.EnterPass(pass)
}

// Close waits for what is being made durable, calls all other work off, and
// gives the job back. Nothing that was shown is lost.
func (d *Desk) Close() error {
	d.cancel()
	d.sched.Close()
	d.queue = nil
	d.mail.close() // a Next that waits goes home and takes no news along
	d.work.Wait()
	for kept := d.mail.takeKept(); len(kept) > 0; kept = d.mail.takeKept() {
		for _, k := range kept { // it counts, and may have to be withdrawn
			d.takeKept(k)
		}
		d.work.Wait()
	}
	return errors.Join(d.viewer.Close(), d.claim.Release())
}

// beside runs work next to the desk. A fault in it is news, since the terminal
// has to be put in order before the program ends.
func (d *Desk) beside(work func()) {
	d.work.Go(func() {
		defer func() {
			if fault := recover(); fault != nil {
				d.mail.put(func(n *News) { n.broke = fmt.Errorf("a fault in the station: %v\n%s", fault, debug.Stack()) })
			}
		}()
		work()
	})
}

// Broke returns what makes it impossible to go on; nil = nothing.
func (d *Desk) Broke() error { return d.broke }

// Version grows with everything that may change what is to be seen.
func (d *Desk) Version() uint64 { return d.version + d.session.Version() }

// Busy reports that news is to come: something is being made durable, a picture
// is being made, or the job is being prepared.
func (d *Desk) Busy() bool {
	return d.pending != nil || len(d.requested) > 0 || d.joining || d.filling.running || d.light.running || d.measured.reading || d.faces.answering || d.measuring.running || d.stands.asking
}

// Notice is the last thing that was said.
func (d *Desk) Notice() Notice { return d.notice }

// Notice is a sentence for the person.
type Notice struct {
	Text   string
	Kind   NoticeKind
	Undo   bool   // the undo key takes back what it tells of
	Number uint64 // grows with every notice

	passing bool // it goes with the next key
}

// NoticeKind says what a notice is.
type NoticeKind uint8

// The kinds of a Notice: something was done, could not be done, went wrong.
const (
	Said NoticeKind = iota
	Refused
	Fault
)

func (d *Desk) say(kind NoticeKind, undo bool, format string, args ...any) {
	d.notice = Notice{Text: fmt.Sprintf(format, args...), Kind: kind, Undo: undo, Number: d.notice.Number + 1}
	d.said = d.o.Now()
	d.version++
}

// sayInPassing says what goes with the next key.
func (d *Desk) sayInPassing(format string, args ...any) {
	d.say(Said, false, format, args...)
	d.notice.passing = true
}

// readFor is how long what a key did stays before something else is said.
const readFor = 3 * time.Second

// maxMurmurs bounds what waits to be said.
const maxMurmurs = 16

// Murmur says something that is no answer to a key, as soon as the answer to
// the last key could be read.
func (d *Desk) Murmur(format string, args ...any) {
	d.murmur(murmur{fmt.Sprintf(format, args...), false})
}

// Mention does so with what is nothing to worry about.
func (d *Desk) Mention(text string) { d.murmur(murmur{text, true}) }

// murmur is what waits to be said.
type murmur struct {
	text  string
	quiet bool // it is no warning
}

func (d *Desk) murmur(m murmur) {
	if len(d.murmurs) < maxMurmurs {
		d.murmurs = append(d.murmurs, m)
	}
	d.Tick()
}

// Tick lets the desk say what waits to be said. It is to be called about once a
// second.
func (d *Desk) Tick() {
	if len(d.murmurs) > 0 && d.o.Now().Sub(d.said) >= readFor {
		m := d.murmurs[0]
		d.murmurs = d.murmurs[1:]
		if m.quiet {
			d.sayInPassing("%s", m.text)
			return
		}
		d.refuse("%s", m.text)
	}
}

// settle takes away what was said about a key that could not act, once another
// one has.
func (d *Desk) settle() {
	if d.notice.Kind == Refused || d.notice.passing {
		d.notice = Notice{Number: d.notice.Number}
		d.version++
	}
}

func (d *Desk) refuse(format string, args ...any) { d.say(Refused, false, format, args...) }

// Refuse says why a key cannot act.
func (d *Desk) Refuse(why string) { d.refuse("%s", why) }

// Remark says something that the person should know once.
func (d *Desk) Remark(text string) { d.say(Said, false, "%s", text) }
