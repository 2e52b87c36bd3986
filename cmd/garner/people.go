package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/people"
)

// peopleFlags are what is to be changed.
type peopleFlags struct {
	name, forget []string
}

func peopleCommand(d desk) *cobra.Command {
	var f jobFlags
	var p peopleFlags
	c := &cobra.Command{
		Use:   "people JOB",
		Short: "List the people of a job by their likeness, name and forget them",
		Long: `Lists the persons of a job: groups of faces that look alike, as far as templates of
faces were made (garner prepare JOB --people, never without being asked). It is
likeness and not identity: relatives are taken for one another, and one person may be
two here. Persons are called p1, p2, … until they are named; no name is guessed.
Several may have one name.

Templates of faces are biometric data. In many places the law asks for the consent of
each person before they are made, and what of guests and children is your question to
answer. They are kept in one file, JOB/.garner/people.db, which goes nowhere with the
job: not into sidecars, lists, copies, other destinations or offloads.

--forget PERSON writes that file anew without the person's templates; where their faces
are in the frames stays known, so that they are not measured again. Frames that are
measured later may show the person anew, under another number. --forget gone does it
for frames that are no longer in the folder, whose templates stay otherwise. --forget
all removes the file and takes back the consent; what is measured of eyes and focus
stays. Former content is overwritten before it is let go. Flash media and file systems that copy on
write may keep former blocks all the same, and a backup keeps what it has.

` + exitCodes,
		Example: `  garner people "Job 0613"
  garner people "Job 0613" --name p1=bride --name p7=bride
  garner people "Job 0613" --forget p3
  garner people "Job 0613" --forget all`,
		Args: oneJob,
		RunE: func(c *cobra.Command, args []string) error { return d.people(c.Context(), args[0], f, p) },
	}
	f.add(c, true)
	c.Flags().StringArrayVar(&p.name, "name", nil, "`PERSON=NAME`: name a person; nothing after the = takes a name back (repeatable)")
	c.Flags().StringArrayVar(&p.forget, "forget", nil, "`PERSON` by number or name whose templates are removed, or gone, or all (repeatable)")
	return c
}

func (d desk) people(ctx context.Context, dir string, f jobFlags, p peopleFlags) error {
	changes := len(p.name)+len(p.forget) > 0
	for _, n := range p.name {
		if who, _, ok := strings.Cut(n, "="); !ok || who == "" {
			return &usageError{"--name wants PERSON=NAME, such as p1=bride"}
		}
	}
	j, err := d.openPrepared(dir, f, job.Options{Command: "people", ReadOnly: !changes})
	if err != nil {
		return err
	}
	defer j.Close()
	s, words := people.Open(j), jobWords(dir, f)
	if changes {
		err = d.changePeople(ctx, j, s, p)
		d.copyJournals(ctx, j)
		if err != nil {
			return peopleHint(err, words)
		}
		if len(p.name) == 0 {
			return nil
		}
	}
	persons, err := s.Persons()
	if err != nil {
		return peopleHint(err, words)
	}
	if err := d.showPeople(words, j, persons, f.json); err != nil || len(persons) == 0 {
		return err
	}
	return d.tellGone(words, j, s)
}

func peopleHint(err error, words string) error {
	switch {
	case errors.Is(err, people.ErrNoPerson):
		return hinted(err, "garner people "+words+" lists them")
	case errors.Is(err, people.ErrDamaged):
		return hinted(err, "garner people "+words+" --forget all removes it; nothing is in it that cannot be measured again")
	}
	return err
}

// changePeople forgets first: a name may be free then.
func (d desk) changePeople(ctx context.Context, j *job.Job, s *people.Store, p peopleFlags) error {
	for _, who := range p.forget {
		if strings.EqualFold(who, "all") {
			gone, err := people.Withdraw(j)
			if err != nil {
				return err
			}
			d.sayf("%s of %s forgotten: there is no file of templates any more, and none is made until somebody says yes again",
				count(gone.Faces, "template"), count(gone.Frames, "frame"))
			continue
		}
		if strings.EqualFold(who, "gone") {
			if err := d.forgetGone(ctx, j, s); err != nil {
				return err
			}
			continue
		}
		gone, err := s.Forget(who)
		if err != nil {
			return err
		}
		d.sayf("%s: %s of %s forgotten", cull.Plain(who), count(gone.Faces, "template"), count(gone.Frames, "frame"))
		d.sayf("frames that are measured later may show this person again, under another number")
	}
	for _, n := range p.name {
		who, name, _ := strings.Cut(n, "=")
		same, err := s.Rename(who, name)
		switch {
		case err != nil:
			return err
		case same > 1:
			d.sayf("%d persons are named %s now: they are forgotten together", same, cull.Plain(strings.TrimSpace(name)))
		}
	}
	return nil
}

// here tells the frames that are in the folder.
func here(j *job.Job) (func(cull.ID) bool, error) {
	frames, err := j.Frames()
	return func(id cull.ID) bool { return len(frames[id].Files) > 0 }, err
}

// forgetGone forgets what is known of frames that are no longer in the folder.
func (d desk) forgetGone(ctx context.Context, j *job.Job, s *people.Store) error {
	if err := d.needFrames(ctx, j); err != nil { // not those that are not known yet
		return err
	}
	in, err := here(j)
	if err != nil {
		return err
	}
	gone, err := s.ForgetOthers(in)
	if err == nil {
		d.sayf("%s of %s no longer in the folder forgotten", count(gone.Faces, "template"), count(gone.Frames, "frame"))
	}
	return err
}

// tellGone says how many frames with templates are no longer in the folder.
func (d desk) tellGone(words string, j *job.Job, s *people.Store) error {
	if j.NeedsScan() {
		return nil
	}
	in, err := here(j)
	if err != nil {
		return err
	}
	met, err := s.Frames()
	if err != nil {
		return err
	}
	var left []cull.ID
	for id := range met {
		if !in(id) {
			left = append(left, id)
		}
	}
	known, err := s.In(left...)
	if err == nil && len(known) > 0 {
		d.sayf("with templates, and no longer in the folder: %s; garner people %s --forget gone removes them", count(len(known), "frame"), words)
	}
	return err
}

type jsonPerson struct {
	V      int          `json:"v"`
	Person string       `json:"person"`
	Name   *string      `json:"name"`
	Faces  int          `json:"faces"`
	Frames int          `json:"frames"`
	Best   jsonFaceAt   `json:"best"`
	Maybe  []jsonLikely `json:"maybe"`
}

type jsonFaceAt struct {
	ID     cull.ID    `json:"id"`
	Frame  string     `json:"frame"`
	Raw    string     `json:"raw,omitempty"`
	Region [4]float64 `json:"region_share"` // x, y, width, height of the upright picture
}

type jsonLikely struct {
	Person   string  `json:"person"`
	Name     *string `json:"name"`
	Distance float64 `json:"distance"`
}

func (d desk) showPeople(words string, j *job.Job, persons []people.Person, json bool) error {
	var ids []cull.ID
	for _, p := range persons {
		ids = append(ids, p.Best.Frame)
	}
	frames, err := j.FramesOf(ids...)
	if err != nil {
		return err
	}
	for _, p := range persons {
		frame := frames[p.Best.Frame].Name
		if json {
			r := p.Best.At
			o := jsonPerson{V: 1, Person: p.Label, Name: named(p.Name), Faces: p.Faces, Frames: p.Frames, Maybe: []jsonLikely{},
				Best: jsonFaceAt{p.Best.Frame, frame, rawName(frame), [4]float64{r.X, r.Y, r.W, r.H}}}
			for _, m := range p.Maybe {
				o.Maybe = append(o.Maybe, jsonLikely{m.Label, named(m.Name), m.Distance})
			}
			if err := d.object(o); err != nil {
				return err
			}
			continue
		}
		var maybe []string
		for _, m := range p.Maybe {
			maybe = append(maybe, fmt.Sprintf("%s (%.2f)", called(m.Label, m.Name), m.Distance))
		}
		text := fmt.Sprintf("%s: %s in %s, such as %s", called(p.Label, p.Name), count(p.Faces, "face"), count(p.Frames, "frame"), cull.Plain(frame))
		if len(maybe) > 0 {
			text += "; maybe the same as " + some(maybe)
		}
		d.sayf("%s", text)
	}
	if json {
		return nil
	}
	if len(persons) > 0 {
		d.sayf("this is likeness, not identity; garner people %s --forget PERSON removes what is known of one", words)
		return nil
	}
	c, err := j.People()
	switch {
	case err != nil:
		return err
	case c.Yes:
		d.sayf("no face was described yet; garner prepare %s does it", words)
	default:
		d.sayf("templates of faces are not made for this job; garner prepare %s --people asks for them", words)
	}
	return nil
}

func named(name string) *string {
	if name == "" {
		return nil
	}
	return &name
}

// called is a person for people: "p1 bride".
func called(label, name string) string {
	if name == "" {
		return label
	}
	return label + " " + cull.Plain(name)
}
