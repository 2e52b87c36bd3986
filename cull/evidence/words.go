package evidence

import (
	"fmt"
	"math"

	"garner/cull"
)

// Pair is a fact for people: what it is about and what is known.
type Pair struct{ Label, Value string }

// Words says what is known of the light of a scene, and of one of its frames. Name
// gives the name of a frame as people see it.
func Words(s Scene, id cull.ID, name func(cull.ID) string) []Pair {
	var out []Pair
	if s.Frames == 0 {
		return nil
	}
	out = append(out, lightWords(s))
	if s.Grey > 0 {
		out = append(out, Pair{"previews", fmt.Sprintf("black-and-white: %s; their colour is ignored", share(s.Grey, s.Frames))})
	}
	if s.Lead == "" {
		return out
	}
	out = append(out, Pair{"lead", name(s.Lead)})
	if o, ok := s.Of(id); ok && id != s.Lead {
		out = append(out, Pair{"this one", o.Words()})
	}
	if n := len(s.Odd()); n > 0 {
		out = append(out, Pair{"odd", fmt.Sprintf("%d of %d kept are more than %g EV away from the lead", n, s.Kept, OddEV)})
	}
	return out
}

func lightWords(s Scene) Pair {
	p := Pair{Label: "even light"}
	switch {
	case s.WithEV == 0 && s.Flash > 0:
		p = Pair{"light", fmt.Sprintf("flash in %s: the settings say nothing of it", share(s.Flash, s.Frames))}
	case s.WithEV == 0:
		p = Pair{"light", "not known: the files do not say how they were exposed"}
	default:
		if s.Around > OddEV || s.Flash > 0 {
			p.Label = "light"
		}
		p.Value = fmt.Sprintf("%.1f EV ± %.1f", s.EV100, s.Around)
		if s.Flash > 0 {
			p.Value += fmt.Sprintf(", without the flash in %s", share(s.Flash, s.Frames))
		}
	}
	p.Value += ", " + string(s.WhiteBalance) + " white balance"
	return p
}

// Words is an offset for people: "0.3 EV darker than the lead".
func (o Offset) Words() string {
	how := ""
	switch o.By {
	case Unknown:
		return "it cannot be told how bright it is beside the lead"
	case ByEV100:
		how = "by its settings"
	case ByLuma:
		how = "as the preview looks"
	}
	v := math.Abs(math.Round(o.EV*10) / 10)
	if v == 0 {
		return "as bright as the lead, " + how
	}
	word := "brighter"
	if o.EV < 0 {
		word = "darker"
	}
	return fmt.Sprintf("%.1f EV %s than the lead, %s", v, word, how)
}

func share(n, of int) string {
	if n == of {
		return "all"
	}
	return fmt.Sprintf("%d of %d", n, of)
}
