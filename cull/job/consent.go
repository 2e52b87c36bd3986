package job

import "time"

// Consent is what a person answered for this job to a question that nobody may
// answer for them. It is kept as a correction in the journal:
//
//	correct faces yes|no     whether faces and eyes are looked for
//	correct people yes|no    whether templates for finding a person again are made
type Consent struct {
	Asked bool // there is an answer
	Yes   bool
	Who   string
	At    time.Time
}

// Faces returns whether faces and eyes may be looked for.
func (j *Job) Faces() (Consent, error) { return Consent{}, nil }

// SetFaces keeps the answer.
func (j *Job) SetFaces(yes bool) error { return nil }

// People returns whether templates of faces may be made.
func (j *Job) People() (Consent, error) { return Consent{}, nil }

// SetPeople keeps the answer.
func (j *Job) SetPeople(yes bool) error { return nil }
