package station

import (
	"fmt"

	"garner/cull/output"
)

// TrialFacts says what a file is, in the order in which a person wants to know it.
func TrialFacts(h TrialHere) []string {
	c := h.Cut
	if c == nil {
		return nil
	}
	facts := []string{fmt.Sprintf("%dx%d", c.Width, c.Height), megabytes(int64(len(c.Bytes))), stampWords(h.Set, c)}
	if c.Cropped() {
		away := 1 - float64(c.Kept.Dx())*float64(c.Kept.Dy())/(float64(c.Full.X)*float64(c.Full.Y))
		facts = append(facts, fmt.Sprintf("%.0f %% cut away", 100*away))
	}
	facts = append(facts, fmt.Sprintf("quality %d", c.Quality), h.Set.Space.String(), fmt.Sprintf("%d ppi", c.PPI))
	if c.Width != c.Full.X || c.Height != c.Full.Y {
		facts = append(facts, fmt.Sprintf("from %dx%d", c.Full.X, c.Full.Y))
	}
	return facts
}

func stampWords(s output.Set, c *output.Shown) string {
	switch {
	case c.Stamped:
		return "stamped"
	case s.Stamp:
		return "no stamp: none is set"
	}
	return "no stamp"
}
