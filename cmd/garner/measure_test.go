package main

import (
	"bytes"
	"strings"
	"sync"
	"testing"
	"time"

	"garner/cull/job"
)

// Only the whole word is a yes to templates; whoever answered before, or says so by a
// flag, is not asked.
func TestTheQuestionOfPeople(t *testing.T) {
	for _, c := range []struct {
		name, in   string
		agreed     bool
		before     bool
		yes, asked bool
	}{
		{name: "yes", in: "yes\n", yes: true, asked: true},
		{name: "shouted", in: " YES \n", yes: true, asked: true},
		{name: "without a line's end", in: "yes", yes: true, asked: true},
		{name: "a letter", in: "y\n", asked: true},
		{name: "return", in: "\n", asked: true},
		{name: "nothing", in: "", asked: true},
		{name: "no", in: "no\n", asked: true},
		{name: "a flood", in: strings.Repeat("yes", 1000) + "\n", asked: true},
		{name: "by a flag", agreed: true, yes: true},
		{name: "before", before: true, yes: true},
	} {
		t.Run(c.name, func(t *testing.T) {
			j, err := job.Open(t.TempDir(), job.Options{Who: "anna"})
			if err != nil {
				t.Fatal(err)
			}
			defer j.Close()
			if c.before {
				if err := j.SetFaces(true); err != nil {
					t.Fatal(err)
				}
				if err := j.SetPeople(true); err != nil {
					t.Fatal(err)
				}
			}
			var said bytes.Buffer
			d := desk{in: strings.NewReader(c.in), err: &said, now: time.Now, inTTY: true, errTTY: true, mu: new(sync.Mutex), progress: new(bool)}
			err = d.consent(j, measureFlags{people: true, agreed: c.agreed}, "job")
			people, perr := j.People()
			faces, ferr := j.Faces()
			if perr != nil || ferr != nil || (err == nil) != c.yes || people.Yes != c.yes || faces.Yes != c.yes || people.Asked != c.yes {
				t.Errorf("%v: people %+v, faces %+v\n%s", err, people, faces, said.String())
			}
			if asked := strings.Contains(said.String(), "do those concerned agree?"); asked != c.asked {
				t.Errorf("asked: %v\n%s", asked, said.String())
			}
			if told := strings.Contains(said.String(), "biometric data"); told == c.before {
				t.Errorf("told what it is: %v", told)
			}
		})
	}
}
