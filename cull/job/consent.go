package job

import (
	"bytes"
	"errors"
	"iter"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"garner/cull"
	"garner/store/catalog"
	"garner/store/erasable"
	"garner/store/vfs"
)

// Consent is what a person answered for this job to a question that nobody may
// answer for them. It is kept as a correction in the journal, with who and when, so
// that it outlives a lost catalogue:
//
//	correct faces yes|no     whether faces and eyes are looked for
//	correct people yes|no    whether templates for finding a person again are made
//
// Of several answers the last counts. A no counts wherever it comes from, unless this
// job has a later answer, and with it goes what was measured. A yes counts only where
// it was said: lines of another journal give none (see [Job.Refused]).
type Consent struct {
	Asked bool // there is an answer
	Yes   bool
	Who   string
	At    time.Time
}

const (
	correctFaces  = "faces"
	correctPeople = "people"
	consentYes    = "yes"
	consentNo     = "no"
)

// ErrNoFaces is returned for a yes to templates of faces nobody may look for.
var ErrNoFaces = errors.New("people are found by their faces: those have to be allowed first")

// Faces returns whether faces and eyes may be looked for.
func (j *Job) Faces() (Consent, error) { return j.consent(correctFaces) }

// SetFaces keeps the answer. A no removes everything that was measured about faces;
// it is a no to templates too, which are made of them.
func (j *Job) SetFaces(yes bool) error {
	if !yes {
		if err := j.withdraw(correctPeople); err != nil {
			return err
		}
		return j.respond(correctFaces, false)
	}
	return j.respond(correctFaces, true)
}

// People returns whether templates of faces may be made.
func (j *Job) People() (Consent, error) { return j.consent(correctPeople) }

// SetPeople keeps the answer. A yes is refused with ErrNoFaces unless faces may be
// looked for. A no removes the templates of the job.
func (j *Job) SetPeople(yes bool) error {
	if yes {
		if faces, err := j.Faces(); err != nil {
			return err
		} else if !faces.Yes {
			return ErrNoFaces
		}
	}
	return j.respond(correctPeople, yes)
}

// withdraw says no where a yes stands.
func (j *Job) withdraw(kind string) error {
	c, err := j.consent(kind)
	if err != nil || !c.Yes {
		return err
	}
	return j.respond(kind, false)
}

// LeaveConsent takes back every yes that came with the journal of another copy of the job,
// and says whether there was one. It does so as of the time at which the yes was said: it
// undoes none where that holds.
func (j *Job) LeaveConsent() (was bool, err error) {
	for _, kind := range []string{correctPeople, correctFaces} {
		c, err := j.consent(kind)
		if err != nil {
			return was, err
		}
		if !c.Yes {
			continue
		}
		was = true
		e := cull.Entry{Verb: cull.VerbCorrect, Args: []string{kind, consentNo}, At: c.At}
		if _, err := j.Append(e); err != nil && !errors.Is(err, ErrJournal) {
			return was, err
		}
	}
	return was, j.heedConsent()
}

// respond appends an answer and does what follows from it. The same answer again is
// no new one.
func (j *Job) respond(kind string, yes bool) error {
	now, err := j.consent(kind)
	if err != nil {
		return err
	}
	if !now.Asked || now.Yes != yes {
		word := consentNo
		if yes {
			word = consentYes
		}
		e := cull.Entry{Verb: cull.VerbCorrect, Args: []string{kind, word}}
		if _, err := j.Append(e); err != nil && !errors.Is(err, ErrJournal) {
			return err
		}
	}
	if !yes {
		return j.heedConsent()
	}
	return nil
}

// heedConsent removes what there is no consent to any more, and finishes off what a
// killed program left of it. The measurements go in the transaction that takes the
// no in, the file of templates after it.
func (j *Job) heedConsent() error {
	file := j.PeopleFile()
	if !file.Exists() {
		return nil
	}
	people, err := j.People()
	if err != nil || people.Yes && !file.LeftOver() {
		return err
	}
	unlock, err := file.Lock()
	if err != nil {
		return err
	}
	defer unlock()
	if people.Yes {
		return file.Settle()
	}
	return file.Remove()
}

// PeopleFile is the file of the templates of faces, and the only place for them; it
// need not exist. It is for nobody but its owner, goes nowhere with the job, and is
// removed with the consent. Package cull/people reads and writes it.
func (j *Job) PeopleFile() erasable.File {
	return erasable.File{FS: vfs.OS{}, Path: filepath.Join(j.state, PeopleName), Begins: PeopleBegins, MaxSize: maxPeople}
}

// PeopleName is the name of the file of templates, with which its other names begin.
const PeopleName = "people.db"

// PeopleBegins is how the file of templates begins.
const PeopleBegins = "garnerP\x01"

// maxPeople bounds the file of templates, in bytes: half a million faces.
const maxPeople = 256 << 20

func (j *Job) consent(kind string) (Consent, error) {
	var c Consent
	err := j.db.View(func(tx *catalog.Tx) (err error) {
		c, err = consentOf(tx, kind)
		return err
	})
	return c, err
}

// consentOf finds the answer that counts. A yes to templates counts from a yes to
// faces on, until a no to either.
func consentOf(tx *catalog.Tx, kind string) (Consent, error) {
	entries, err := correctionsOf(tx)
	if err != nil {
		return Consent{}, err
	}
	return answered(slices.Values(entries))[kind], nil
}

// answered are the answers at the end of a journal. A no as of the very time of the yes
// before it is no person's: with it a copy leaves the yes of another behind
// ([Job.LeaveConsent]), and nobody was asked there.
func answered(entries iter.Seq[cull.Entry]) map[string]Consent {
	last := map[string]Consent{}
	for e := range entries {
		if !isConsent(e) {
			continue
		}
		kind, now := e.Args[0], Consent{Asked: true, Yes: e.Args[1] == consentYes, Who: e.Who, At: e.At}
		if was := last[kind]; was.Yes && !now.Yes && was.At.Equal(now.At) {
			now = Consent{}
		}
		last[kind] = now
		if people := last[correctPeople]; !last[correctFaces].Yes {
			people.Yes = false
			last[correctPeople] = people
		}
	}
	return last
}

// What [Job.Refused] returns.
var (
	ErrYesElsewhere = errors.New("a yes about faces counts where it is said: garner prepare asks")
	ErrAnsweredHere = errors.New("that question has a later answer here")
	ErrMadeThere    = errors.New("it tells of templates of another copy")
	ErrFreedThere   = errors.New("it tells of an original that was freed in another copy")
	ErrBagThere     = errors.New("it tells of a bag of another copy")
)

// CorrectTemplates is the kind of the corrections that note when templates were made and
// forgotten in this copy of the job; see cull/people.
const CorrectTemplates = "templates"

// Refused says why an entry that arrives as a line, such as one of another journal,
// does not answer a question of consent here: a yes was said to what another machine
// does, perhaps by somebody else, and an old no undoes no later yes (one without a time
// is of now). Entries that answer none of the questions are not its matter, but for notes on templates,
// on bags and on originals that were freed: those are of the copy whose journal has them.
func (j *Job) Refused(e cull.Entry) error {
	if e.Verb == cull.VerbCorrect && len(e.Args) > 0 && e.Args[0] == CorrectTemplates {
		return ErrMadeThere
	}
	if IsFreed(e) {
		return ErrFreedThere
	}
	if isOfBags(e) {
		return ErrBagThere
	}
	if !isConsent(e) {
		return nil
	}
	c, err := j.consent(e.Args[0])
	switch {
	case err != nil:
		return err
	case c.Asked && !e.At.IsZero() && !e.At.After(c.At):
		return ErrAnsweredHere
	case e.Args[1] == consentYes:
		return ErrYesElsewhere
	}
	return nil
}

// isConsent reports whether an entry answers one of the questions.
func isConsent(e cull.Entry) bool {
	return e.Verb == cull.VerbCorrect && len(e.Args) == 2 && (e.Args[0] == correctFaces || e.Args[0] == correctPeople) &&
		(e.Args[1] == consentYes || e.Args[1] == consentNo)
}

// heedFaces removes what was measured about faces unless the job says yes.
func heedFaces(tx *catalog.Tx) error {
	c, err := consentOf(tx, correctFaces)
	if err != nil || c.Yes {
		return err
	}
	return forgetFaces(tx)
}

// FacesRefused reports whether a journal, such as the one that a bag keeps, says no to
// faces or to their templates at its end. Of a line that is damaged a no counts and a yes
// does not.
func FacesRefused(journal []byte) bool {
	last := answered(func(yield func(cull.Entry) bool) {
		for line := range bytes.Lines(journal) {
			text := strings.TrimRight(string(line), "\r\n")
			e, err := cull.ParseEntry(text)
			for _, kind := range []string{correctFaces, correctPeople} {
				if err != nil && strings.HasPrefix(text, string(cull.VerbCorrect)+" "+kind+" "+consentNo) {
					e, err = cull.Entry{Verb: cull.VerbCorrect, Args: []string{kind, consentNo}}, nil
				}
			}
			if err == nil && !yield(e) {
				return
			}
		}
	})
	refused := func(c Consent) bool { return c.Asked && !c.Yes }
	return refused(last[correctFaces]) || refused(last[correctPeople])
}
