package station

import (
	"fmt"

	"garner/cull"
	"garner/cull/handoff"
	"garner/cull/job"
)

// faces is what was answered to the question whether faces may be looked for.
type faces struct {
	job.Consent
	answering bool // an answer is on its way to the disk
	answered  bool // one was kept in this sitting
}

// consentNews is what became of an answer.
type consentNews struct {
	consent   job.Consent
	templates bool // there were templates, which went with a no
	listed    bool // the list of the last handoff still tells of faces
	err       error
}

// Faces returns whether faces may be looked for in this job, and who said so.
func (d *Desk) Faces() job.Consent { return d.faces.Consent }

// AnswerFaces keeps whether faces may be looked for. With a no goes what was found.
func (d *Desk) AnswerFaces(yes bool) {
	if d.faces.answering {
		d.refuse("the last answer is still on its way to the disk")
		return
	}
	d.faces.answering = true
	d.beside(func() {
		var n consentNews
		n.templates = !yes && d.job.PeopleFile().Exists()
		if n.err = d.job.SetFaces(yes); n.err == nil {
			n.consent, n.err = d.job.Faces()
			n.listed = !yes && handoff.ListsFaces(d.job)
		}
		d.mail.put(func(news *News) { news.consent = &n })
	})
}

// takeConsent takes in that an answer was kept, or that it was not.
func (d *Desk) takeConsent(n consentNews) {
	d.faces.answering = false
	if n.err != nil {
		d.say(Fault, false, "the answer about faces was NOT kept: %s", cause(n.err))
		return
	}
	d.faces.Consent, d.faces.answered = n.consent, true
	if n.consent.Yes {
		d.say(Said, false, "faces are looked for in this job, on this machine alone")
	} else {
		d.withdrawFaces()
		d.say(Said, false, "no faces are looked for in this job; what was found of them is removed%s", templatesToo(n.templates))
		if n.listed {
			d.Murmur("%s still tells of faces: hand the job over again, and mind its copies", handoff.ListJSON)
		}
	}
	d.Measure()
}

func templatesToo(were bool) string {
	if were {
		return ", templates too"
	}
	return ""
}

// withdrawFaces forgets every face.
func (d *Desk) withdrawFaces() {
	d.measured.number++
	for id, m := range d.measured.of {
		if m.Faces.Known() {
			m.Faces = cull.Faces{}
			d.measured.of[id], d.measured.changed[id] = m, d.measured.number
		}
	}
	d.leaveFace()
}

// WhyNoFaces says why nothing is known of the faces of a job; "" = they are looked
// for.
func (d *Desk) WhyNoFaces() string {
	switch c := d.faces.Consent; {
	case c.Yes:
		return ""
	case c.Asked && c.Who != "":
		return fmt.Sprintf("no faces are looked for in this job: %s said no on %s", c.Who, c.At.Local().Format("2 January"))
	case c.Asked:
		return "no faces are looked for in this job"
	}
	return "faces are not looked for: nobody has said whether they may be"
}
