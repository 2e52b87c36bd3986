package station

import (
	"fmt"
	"strings"

	"garner/cull"
)

// usual is a later pass that need not be defined by hand.
func usual(name string) (cull.Pass, bool) {
	kept := cull.Source{Of: cull.KeepPass, Answer: cull.Yes}
	dropped := cull.Source{Of: cull.KeepPass, Answer: cull.No}
	for _, p := range []cull.Pass{
		{Name: "review", Question: "Still in, seen once more?", Source: kept},
		{Name: "retouch", Question: "Does this one need retouching?", Source: kept},
		{Name: "album", Question: "Into the album?", Source: kept},
		{Name: "rescue", Question: "Dropped: take it back in?", Source: dropped},
	} {
		if p.Name == name {
			return p, true
		}
	}
	return cull.Pass{}, false
}

// passWords says which passes there are.
func (d *Desk) passWords() string {
	var names []string
	for _, p := range d.session.Passes() {
		names = append(names, p.Name)
	}
	return fmt.Sprintf("the job has %s; review, retouch, album and rescue are made when they are first asked for, others by a line for garner decide",
		strings.Join(names, ", "))
}

// nextPass goes to the next pass in order of definition, and from the last back
// to the first. In a job with the first alone it makes the pass review.
func (d *Desk) nextPass() {
	passes := d.session.Passes()
	for i, p := range passes {
		if p.Name == d.session.CursorPass() && len(passes) > 1 {
			d.enter(passes[(i+1)%len(passes)].Name)
			return
		}
	}
	if d.session.Progress(cull.KeepPass).Yes == 0 {
		d.refuse("no other pass yet: review looks once more at what was kept, and nothing is")
		return
	}
	review, _ := usual("review")
	d.keep(cull.DefinePass{Pass: review}, &pending{
		tell: func(cull.Entry) string { return "" },
		then: func() { d.enter(review.Name) },
	})
}

func (d *Desk) enter(name string) {
	if err := d.session.EnterPass(name); err != nil {
		d.refuse("%s", err)
		return
	}
	d.forceShot()
	c := d.session.Progress(name)
	d.say(Said, false, "pass %s: %d of %d open", name, c.Open, c.All())
	if c.All() == 0 {
		d.refuse("pass %s: it asks about no frame yet", name)
	}
}

// Pass is the pass that is walked, with its question as it is shown.
func (d *Desk) Pass() cull.Pass {
	p, _ := d.session.PassNamed(d.session.CursorPass())
	switch {
	case d.o.Questions[p.Name] != "":
		p.Question = d.o.Questions[p.Name]
	case p.Question != "":
	case p.Name == cull.KeepPass:
		p.Question = "keep?"
	default:
		p.Question = p.Name + "?"
	}
	return p
}
