package testjob

import (
	"fmt"
	"strings"

	"garner/cull"
)

// Groups groups the frames of a layout anew, in their order: "1 3 4s | 2a 1a" are a
// lone frame, a burst of three and a series of four, and in a second scene two
// moments that look alike. What is left over comes alone.
func Groups(l *cull.Layout, words string) {
	at, moment, scene, set, alike := 0, 0, 0, 0, false
	l.Scenes = []cull.Scene{{ID: 0, Name: cull.SceneNumber(0), First: l.Places[0].Frame}}
	put := func(n int, kind cull.MomentKind, series cull.SeriesKind, set int) {
		for range min(n, len(l.Places)-at) {
			p := &l.Places[at]
			p.Moment, p.Kind, p.Series, p.Alike, p.Scene = moment, kind, series, set, scene
			at++
		}
		moment++
	}
	for _, w := range strings.Fields(words) {
		if w == "|" {
			scene++
			l.Scenes = append(l.Scenes, cull.Scene{ID: scene, Name: cull.SceneNumber(scene), First: l.Places[at].Frame})
			alike = false
			continue
		}
		var n int
		var sort string
		fmt.Sscanf(w, "%d%s", &n, &sort)
		kind, series, in := cull.Burst, cull.SeriesKind(""), 0
		switch {
		case strings.Contains(sort, "s"):
			kind, series = cull.Series, cull.Bracket
		case n == 1:
			kind = cull.Single
		}
		if strings.Contains(sort, "a") {
			if !alike {
				set++
			}
			in = set
		}
		alike = in > 0
		put(n, kind, series, in)
	}
	for at < len(l.Places) {
		put(1, cull.Single, "", 0)
	}
}
