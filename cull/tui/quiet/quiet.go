// Package quiet keeps libraries from asking the terminal questions of their own.
//
// Bubble Tea v1 asks for the background colour while the program is being
// loaded, in every command of garner, and waits up to five seconds for the
// answer: on a slow line the answer ends up among the keys. Which colours fit is
// found by preview/term, with everything else, so here the library is told one
// before it can ask. Go initialises packages in the order of their import paths
// as soon as what they import is ready (Go specification, "Package
// initialization"); "garner/…" comes before "github.com/…". A test in cmd/garner
// holds that nothing is asked.
package quiet

import "github.com/charmbracelet/lipgloss"

func init() { lipgloss.SetHasDarkBackground(true) }
