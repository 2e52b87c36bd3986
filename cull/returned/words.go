package returned

import (
	"fmt"
	"strings"
)

// reasons is what speaks for a frame, a clause for each claim.
func (c *judging) reasons(f int) (why []string) {
	for _, one := range c.claims {
		if one.frames.has(f) {
			why = append(why, one.kind.clause(c.frames[f].Name))
		}
	}
	return why
}

// claimed is the same in one clause.
func (c *judging) claimed(f int) string {
	if why := c.reasons(f); len(why) > 0 {
		return strings.Join(why, ", ")
	}
	return "it may be " + c.frames[f].Name
}

func (k kind) clause(name string) string {
	switch k {
	case byDocument:
		return "its documents are those of " + name
	case bySource:
		return "it says that it comes from " + name
	case byTime:
		return "it was taken when " + name + " was"
	default:
		return "its name has " + name + " in it"
	}
}

// contradiction says that claims name different frames.
func (c *judging) contradiction() string {
	var what []string
	for _, one := range c.claims {
		first := one.kind.clause(c.frames[one.frames[0]].Name)
		if n := len(one.frames); n > 1 {
			first += fmt.Sprintf(" or %d more", n-1)
		}
		what = append(what, first)
	}
	return strings.Join(what, ", but ")
}
