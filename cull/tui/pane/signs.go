package pane

import (
	"path"

	"garner/cull"
)

// The signs of frames are ASCII, so that they are one cell wide everywhere.
const (
	signKept    = "+"
	signDropped = "-"
	signPart    = "&"
	signOpen    = "."
	signSeen    = "o" // open, but looked at
	signBroken  = "!" // cannot be shown
	signUnseen  = "?" // decided without having been shown
	signHere    = "▸"
	signWith    = "|" // of the moment where one is
	signBeside  = "┃" // beside the picture where one is
)

func sign(a cull.Answer) string {
	switch a {
	case cull.Yes:
		return signKept
	case cull.No:
		return signDropped
	case cull.Part:
		return signPart
	}
	return signOpen
}

// Legend explains the signs of frames in a pass, one sentence each.
func Legend(pass string) []string {
	return []string{
		signKept + " " + word(cull.Yes, pass) + "   " + signDropped + " " + word(cull.No, pass) +
			"   " + signPart + " part of a merge   " + signOpen + " open   " + signSeen + " open, seen",
		"(" + signKept + ") (" + signDropped + ") (" + signPart + ") decided with its burst   " + signUnseen + " never shown   " + signBroken + " cannot be shown",
	}
}

// word is what a frame is by its answer.
func word(a cull.Answer, pass string) string {
	yes, no := "yes", "no"
	switch pass {
	case "", cull.KeepPass:
		yes, no = "kept", "dropped"
	case cull.RescuePass:
		yes, no = "brought back", "left dropped"
	}
	switch a {
	case cull.Yes:
		return yes
	case cull.No:
		return no
	}
	return a.String()
}

// names are the ways to write a frame's name, longest first.
func names(name string) []string {
	name = clean(name)
	if base := path.Base(name); base != name && base != "." && base != "/" {
		return []string{name, base}
	}
	return []string{name}
}
