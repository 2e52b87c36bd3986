package cull

import (
	"fmt"
	"strings"
)

// Summary says in a few words what an entry did to the frames, so that a burst
// key never acts unseen: "1 kept; 5 dropped, 2 of them never shown". It is
// empty for entries that change no frame.
func Summary(e Entry) string {
	var parts []string
	for _, a := range []Answer{Yes, No, Part, Open} {
		n, unseen := 0, 0
		for _, c := range e.Changes {
			if c.After == a {
				n++
				if !c.Shown {
					unseen++
				}
			}
		}
		if n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s%s", n, deed(a, e), unseenWords(n, unseen, a, e.Verb)))
		}
	}
	return strings.Join(parts, "; ")
}

// Named names the first few frames of an entry, and says how many more there are.
func Named(changes []Change, most int, name func(ID) string) string {
	var names []string
	for _, c := range changes[:min(len(changes), most)] {
		names = append(names, name(c.Frame))
	}
	text := strings.Join(names, ", ")
	if len(changes) > most {
		text += fmt.Sprintf(" and %d more", len(changes)-most)
	}
	return text
}

func deed(a Answer, e Entry) string {
	again := ""
	if e.Verb == VerbUndo || e.Verb == VerbRedo {
		again = " again"
	}
	if a == Open {
		return "open again"
	}
	if a == Part {
		return "marked as part" + again
	}
	switch {
	case e.Pass == RescuePass && a == Yes:
		return "brought back" + again
	case e.Pass == RescuePass:
		return "left dropped" + again
	case e.Pass != KeepPass:
		return "answered " + a.String() + again
	case a == Yes:
		return "kept" + again
	}
	return "dropped" + again
}

func unseenWords(n, unseen int, a Answer, v Verb) string {
	switch {
	case unseen == 0 || a == Open || v == VerbUndo || v == VerbRedo:
		return ""
	case unseen == n:
		return ", never shown"
	}
	return fmt.Sprintf(", %d of them never shown", unseen)
}
