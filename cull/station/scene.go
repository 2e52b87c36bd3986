package station

import (
	"fmt"
	"slices"
	"strings"

	"garner/cull"
	"garner/cull/job"
)

// scene is the index of the scene under the cursor; -1 = none.
func (d *Desk) scene() int {
	if p, ok := d.session.Place(d.session.Cursor()); ok {
		return p.Scene
	}
	return -1
}

// sceneOf is the scene that holds a frame.
func (d *Desk) sceneOf(id cull.ID) (cull.Scene, bool) {
	p, ok := d.session.Place(id)
	if l := d.session.Layout(); ok && p.Scene >= 0 && p.Scene < len(l.Scenes) {
		return l.Scenes[p.Scene], true
	}
	return cull.Scene{}, false
}

// enterScene says once that another scene was walked into.
func (d *Desk) enterScene(from int) {
	if text := d.entered(from); text != "" {
		d.sayInPassing("%s", text)
	}
}

// goOnTo adds to what a decision said that it led into another scene.
func (d *Desk) goOnTo(from int) {
	text := d.entered(from)
	switch {
	case text == "":
	case d.notice.Text == "":
		d.enterScene(from)
	default:
		d.say(Said, d.notice.Undo, "%s; next is %s", d.notice.Text, text)
	}
}

// entered names the scene under the cursor if it is another than before.
func (d *Desk) entered(from int) string {
	to := d.scene()
	s, ok := d.sceneOf(d.session.Cursor())
	if !ok || from < 0 || to == from {
		return ""
	}
	text := "scene " + s.Name
	if p, _ := d.session.Place(d.session.Cursor()); p.Corrected.Known() {
		text += p.Corrected.Wall.Format(", 15:04")
	}
	return text
}

// SceneHere is the scene under the cursor, and the name it was given by hand; false
// where there is none.
func (d *Desk) SceneHere() (s cull.Scene, given string, ok bool) {
	if s, ok = d.sceneOf(d.session.Cursor()); ok && s.Name != cull.SceneNumber(s.ID) {
		given = s.Name
	}
	return s, given, ok
}

// usedName remembers a name for the completion, here and in later jobs.
func (d *Desk) usedName(name string) {
	if config := d.o.Config; config != "" {
		d.beside(func() {
			if err := job.RememberSceneName(config, name); err != nil {
				d.mail.put(func(n *News) { n.warnings = append(n.warnings, err.Error()) })
			}
		})
	}
	d.sceneNames = slices.Insert(slices.DeleteFunc(d.sceneNames, func(s string) bool { return s == name }), 0, name)
}

// FindSceneName returns the names of scenes that what was typed may be completed
// to: those of this job first, then those used before, latest first.
func (d *Desk) FindSceneName(text string) []Match {
	low := strings.ToLower(strings.TrimSpace(text))
	var begins, holds []Match
	seen := map[string]bool{}
	offer := func(name, what string) {
		switch lower := strings.ToLower(name); {
		case seen[name] || name == "":
		case strings.HasPrefix(lower, low):
			begins = append(begins, Match{Name: name, What: what})
		case strings.Contains(lower, low):
			holds = append(holds, Match{Name: name, What: what})
		}
		seen[name] = true
	}
	for i, s := range d.session.Layout().Scenes {
		if s.Name != cull.SceneNumber(i) {
			offer(s.Name, fmt.Sprintf("scene %s of this job", cull.SceneNumber(i)))
		}
	}
	for _, name := range d.sceneNames {
		offer(name, "used before")
	}
	found := append(begins, holds...)
	return found[:min(len(found), maxMatches)]
}
