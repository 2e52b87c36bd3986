package review

import (
	"fmt"
	"strings"
	"time"

	"garner/cull"
)

// musts finds what is wanted and lacks keepers. Its frames are those that could be
// it: of the scenes named like that, within the time, and those said by hand.
func (v *view) musts(add adder) {
	for _, w := range v.Musts {
		byHand := map[cull.ID]bool{}
		for _, id := range v.Has[strings.ToLower(w.Name)] {
			byHand[id] = true
		}
		var could []cull.ID
		keeps, open, named := 0, 0, false
		for i, p := range v.layout.Places {
			scene := v.isScene(w, p.Scene)
			named = named || scene
			if !byHand[p.Frame] && !(scene && w.within(p.Corrected)) {
				continue
			}
			could = append(could, p.Frame)
			switch {
			case kept(v.answers[i]):
				keeps++
			case v.answers[i] == cull.Open:
				open++
			}
		}
		if keeps >= max(1, w.Least) {
			continue
		}
		add(Must, v.mustText(w, keeps, open, len(could), named), could)
	}
}

func (v *view) mustText(w Wanted, keeps, open, could int, named bool) string {
	text := fmt.Sprintf("must have %s: ", cull.Plain(w.Name))
	if w.Least > 1 || keeps > 0 {
		text += fmt.Sprintf("%d of %d kept", keeps, w.Least)
	} else {
		text += "none kept"
	}
	switch {
	case could > 0 && open > 0:
		return text + fmt.Sprintf("; %s could be it, %d of them open", frames(could), open)
	case could > 0:
		return text + fmt.Sprintf("; %s could be it", frames(could))
	case named:
		return text + "; no frame of its scene is from that time"
	}
	scene := w.Scene
	if scene == "" {
		scene = w.Name
	}
	return text + fmt.Sprintf("; no scene is named %s", cull.Plain(scene))
}

// isScene reports whether a scene is named like what is wanted.
func (v *view) isScene(w Wanted, scene int) bool {
	if scene < 0 || scene >= len(v.layout.Scenes) {
		return false
	}
	part := w.Scene
	if part == "" {
		part = w.Name
	}
	return strings.Contains(strings.ToLower(v.layout.Scenes[scene].Name), strings.ToLower(part))
}

// within reports whether a time is the wanted one. A frame without a time is only
// what is wanted at any time.
func (w Wanted) within(s cull.Stamp) bool {
	if w.From == w.Until {
		return true
	}
	if !s.Known() {
		return false
	}
	h, m, sec := s.Wall.Clock()
	at := time.Duration(h)*time.Hour + time.Duration(m)*time.Minute + time.Duration(sec)*time.Second
	if w.From < w.Until {
		return at >= w.From && at <= w.Until
	}
	return at >= w.From || at <= w.Until // over midnight
}
