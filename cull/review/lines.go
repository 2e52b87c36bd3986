package review

import (
	"fmt"

	"garner/cull"
)

type adder func(k Kind, text string, frames []cull.ID)

// scenes finds scenes that are decided and of which nothing was kept.
func (v *view) scenes(add adder) {
	v.dead = map[int]bool{}
	stretches(v.layout.Places, sceneOf, func(from, to int) {
		if v.dropped(from, to) {
			scene := v.layout.Places[from].Scene
			v.dead[scene] = true
			add(Scene, fmt.Sprintf("nothing kept of scene %s, %s", v.sceneName(scene), frames(to-from)), v.ids(from, to))
		}
	})
}

// moments finds moments that are decided and of which nothing was kept. What lies
// in a scene of which nothing was kept has been said with the scene.
func (v *view) moments(add adder) {
	kin := map[int]bool{} // set of look-alikes → something of it was kept
	for i, p := range v.layout.Places {
		if p.Alike != 0 && kept(v.answers[i]) {
			kin[p.Alike] = true
		}
	}
	lone := map[int][]cull.ID{} // scene → dropped frames that are moments by themselves
	var covered []cull.ID
	moments, order := 0, []int{}
	stretches(v.layout.Places, momentOf, func(from, to int) {
		p := v.layout.Places[from]
		switch {
		case v.dead[p.Scene] || !v.dropped(from, to):
		case kin[p.Alike]:
			covered = append(covered, v.ids(from, to)...)
			moments++
		case to-from == 1:
			if lone[p.Scene] == nil {
				order = append(order, p.Scene)
			}
			lone[p.Scene] = append(lone[p.Scene], p.Frame)
		default:
			add(Moment, fmt.Sprintf("nothing kept of a %s of %d in scene %s%s, from %s on", kindWord(p), to-from, v.sceneName(p.Scene), clock(p), v.name(p.Frame)), v.ids(from, to))
		}
	})
	if moments > 0 {
		add(Covered, fmt.Sprintf("nothing kept of %s, but of look-alikes of theirs", count(moments, "moment")), covered)
	}
	for _, scene := range order {
		ids := lone[scene]
		add(Lone, fmt.Sprintf("dropped by themselves in scene %s: %s", v.sceneName(scene), frames(len(ids))), ids)
	}
}

// frames finds frames that were dropped unseen, are open, or could not be shown.
func (v *view) frames(add adder) {
	var unseen, open, broken []cull.ID
	undecided := 0
	for i, p := range v.layout.Places {
		switch v.answers[i] {
		case cull.No:
			if !v.shown(p.Frame) {
				unseen = append(unseen, p.Frame)
			}
		case cull.Open:
			open = append(open, p.Frame)
		}
		if f, ok := v.Frames[p.Frame]; ok && !f.CanBeShown() {
			if broken = append(broken, p.Frame); v.answers[i] == cull.Open {
				undecided++
			}
		}
	}
	if len(unseen) > 0 {
		add(Unseen, "dropped and never shown: "+frames(len(unseen)), unseen)
	}
	if len(open) > 0 {
		add(Open, "not decided yet: "+frames(len(open)), open)
	}
	if len(broken) > 0 {
		text := "could not be shown: " + frames(len(broken))
		if undecided > 0 {
			text += fmt.Sprintf(", %d of them open", undecided)
		}
		add(Broken, text, broken)
	}
}

// shown reports whether a frame had been drawn when it was decided, in whatever
// pass.
func (v *view) shown(id cull.ID) bool {
	for _, p := range v.Session.Passes() {
		if d := v.Session.Decision(p.Name, id); d.Shown && d.Answer != cull.Open {
			return true
		}
	}
	return false
}

func sceneOf(p cull.Place) int  { return p.Scene }
func momentOf(p cull.Place) int { return p.Moment }

func (v *view) sceneName(scene int) string {
	if scene < 0 || scene >= len(v.layout.Scenes) {
		return cull.SceneNumber(scene)
	}
	name, number := v.layout.Scenes[scene].Name, cull.SceneNumber(scene)
	if name == number {
		return number
	}
	return number + " " + cull.Plain(name)
}

func (v *view) name(id cull.ID) string {
	if name := v.Session.Name(id); name != "" {
		return cull.Plain(name)
	}
	return "#" + string(id)
}

func kindWord(p cull.Place) string {
	if p.Kind != cull.Series {
		return "burst"
	}
	if p.Series == "" || p.Series == cull.Together {
		return "series"
	}
	return string(p.Series)
}

func clock(p cull.Place) string {
	if !p.Corrected.Known() {
		return ""
	}
	return " at " + p.Corrected.Wall.Format("15:04")
}

func frames(n int) string { return count(n, "frame") }

func count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}
