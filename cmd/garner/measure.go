package main

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"garner/cull"
	"garner/cull/evidence"
	"garner/cull/handoff"
	"garner/cull/job"
	"garner/cull/measure"
)

// measureFlags are what prepare takes for measuring.
type measureFlags struct {
	none              bool
	faces, people     bool
	noFaces, noPeople bool
	agreed            bool
}

func (f *measureFlags) add(c *cobra.Command) {
	c.Flags().BoolVar(&f.none, "no-measures", false, "measure nothing now")
	c.Flags().BoolVar(&f.faces, "faces", false, "say yes for this job: look for faces and eyes")
	c.Flags().BoolVar(&f.noFaces, "no-faces", false, "say no: what was found of faces is removed")
	c.Flags().BoolVar(&f.people, "people", false, "say yes for this job: make templates of faces, by which people are found again (asks)")
	c.Flags().BoolVar(&f.noPeople, "no-people", false, "say no: the templates are removed")
	c.Flags().BoolVar(&f.agreed, "agreed", false, "with --people: the question was answered, those concerned agree")
}

func (f measureFlags) check() error {
	switch {
	case f.faces && f.noFaces, f.people && f.noPeople:
		return &usageError{"yes and no to one question"}
	case f.people && f.noFaces:
		return &usageError{"people are found by their faces: --people and --no-faces exclude each other"}
	case f.agreed && !f.people:
		return &usageError{"--agreed answers the question of --people"}
	case f.none && (f.faces || f.people):
		return &usageError{"--no-measures looks for no faces"}
	}
	return nil
}

// consent keeps the answers that the flags give.
func (d desk) consent(j *job.Job, f measureFlags, dir string) error {
	if f.noPeople {
		if err := j.SetPeople(false); err != nil {
			return err
		}
		d.sayf("no templates of faces are made in this job; what there was is removed")
	}
	if f.noFaces {
		if err := j.SetFaces(false); err != nil {
			return err
		}
		d.sayf("no faces are looked for in this job; what was found of them is removed, templates too")
		if handoff.ListsFaces(j) {
			d.sayf("%s of the last handoff still tells of faces, and so does every copy of it: garner handoff %s writes it anew without them", handoff.ListJSON, dir)
		}
	}
	if f.people {
		if err := d.askPeople(j, f, dir); err != nil {
			return err
		}
	}
	if !f.faces && !f.people {
		return nil
	}
	before, err := j.Faces()
	if err != nil {
		return err
	}
	if !before.Yes {
		if err := j.SetFaces(true); err != nil {
			return err
		}
		d.sayf("faces and eyes are looked for in this job, on this machine alone; prepare --no-faces takes that back and removes what was found")
	}
	if f.people {
		return j.SetPeople(true)
	}
	return nil
}

// askThose has to be known wherever templates are made.
const askThose = "ask those in the pictures, or who speaks for them, before; children too; what your law wants beyond that is yours to find out"

// peopleNotice is what has to be known before templates are made.
var peopleNotice = []string{
	"templates of faces, by which people are found again, are biometric data in the law of many countries",
	askThose,
	"they stay in people.db of this job, on this machine: no sidecar, list, copy, set or archive gets them, and garner gives nobody a name",
}

// askPeople asks the second question, unless it was answered yes before.
func (d desk) askPeople(j *job.Job, f measureFlags, dir string) error {
	now, err := j.People()
	if err != nil || now.Yes {
		return err
	}
	notice := append(slices.Clone(peopleNotice), fmt.Sprintf("garner people %s --forget all removes every template, prepare --no-people takes the yes back", dir))
	return d.askAgreed(notice, "--people", f.agreed)
}

// askAgreed says what has to be known, and asks whether those concerned agree unless that
// was answered on the command line.
func (d desk) askAgreed(notice []string, flag string, agreed bool) error {
	for _, s := range notice {
		d.sayf("%s", s)
	}
	if agreed {
		return nil
	}
	if !d.inTTY || !d.errTTY {
		return &usageError{flag + " asks a question, and there is no terminal to ask it on; --agreed says that those concerned agree"}
	}
	fmt.Fprint(d.err, "garner: do those concerned agree? (yes or no) ")
	line, err := bufio.NewReader(io.LimitReader(d.in, 100)).ReadString('\n')
	if word := strings.ToLower(strings.TrimSpace(line)); word != "yes" {
		if err != nil && err != io.EOF {
			return err
		}
		return fmt.Errorf("no templates are made: only yes is a yes")
	}
	return nil
}

// measure measures what is missing, and lists what could not be.
func (d desk) measure(ctx context.Context, j *job.Job, workers int) (measure.Summary, error) {
	frames, err := j.Frames()
	if err != nil {
		return measure.Summary{}, err
	}
	const most = 6
	listed := 0
	sum, err := measure.Run(ctx, j, measure.Options{Workers: workers, Now: d.now, Progress: d.measureProgress,
		Warn: func(s string) { d.sayf("%s", cull.Plain(s)) },
		Frame: func(id cull.ID, cannot error) {
			if cannot == nil {
				return
			}
			if listed++; listed <= most {
				d.sayf("%s: not measured: %s", cull.Plain(frames[id].Name), cull.Plain(cannot.Error()))
			}
		}})
	if listed > most {
		d.sayf("not measured: %d more", listed-most)
	}
	if err != nil {
		return sum, err
	}
	if sum.Measured > 0 {
		faces := ""
		if sum.Faces > 0 {
			faces = fmt.Sprintf(", %s", count(sum.Faces, "face"))
		}
		d.sayf("%s measured%s in %.0f s, %.1f frames/s; %d were measured before", count(sum.Measured, "frame"), faces, sum.Took.Seconds(), sum.PerSecond, sum.Known)
	}
	return sum, nil
}

func (d desk) measureProgress(p measure.Progress) {
	what := "measuring"
	if p.Faces {
		what += " and looking for faces"
	}
	rate := ""
	if p.PerSecond > 0 {
		rate = fmt.Sprintf(", %.1f/s, %s", p.PerSecond, left(p.Left))
	}
	d.progressf("%s: %d of %d frames%s", what, p.Done, p.Total, rate)
}

// jsonMeasures is what was measured of one frame. Its name is not in "frame", by which
// programs know the lines of frames.
type jsonMeasures struct {
	V    int     `json:"v"`
	ID   cull.ID `json:"measures"`
	Name string  `json:"name"`
	Raw  string  `json:"raw,omitempty"`
	evidence.JSON
}

// measures writes what is known of every frame, in the order of the job.
func (d desk) measures(j *job.Job, l cull.Layout) error {
	known, err := j.Measures()
	if err != nil {
		return err
	}
	frames, err := j.Frames()
	if err != nil {
		return err
	}
	for _, p := range l.Places {
		if o, ok := evidence.JSONOf(known[p.Frame]); ok {
			name := frames[p.Frame].Name
			if err := d.object(jsonMeasures{1, p.Frame, name, rawName(name), o}); err != nil {
				return err
			}
		}
	}
	return nil
}

// showMeasured says what was measured and what may be.
func (d desk) showMeasured(s job.Status) {
	faces := "faces: nobody has said whether they may be looked for (prepare --faces)"
	switch {
	case s.Faces.Yes:
		faces = fmt.Sprintf("faces of %d looked for", s.Measured.Faces) + consentWords(s.Faces)
	case s.Faces.Asked:
		faces = "faces are not looked for" + consentWords(s.Faces)
	}
	d.sayf("  measured: focus and light of %s; %s", count(max(s.Measured.Focus, s.Measured.Light), "frame"), faces)
	if s.People.Yes {
		d.sayf("  templates of faces are made, to find people again%s", consentWords(s.People))
	}
}

func consentWords(c job.Consent) string {
	if c.Who == "" {
		return ""
	}
	return fmt.Sprintf(" (%s, %s)", cull.Plain(c.Who), c.At.Local().Format("2006-01-02"))
}
