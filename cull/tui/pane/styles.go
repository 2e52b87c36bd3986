package pane

import (
	"io"
	"strings"

	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"

	"garner/cull"
)

// Pen draws text in one style. The zero Pen leaves text as it is.
type Pen struct {
	on string // what switches the style on; a reset switches it off
}

const reset = "\x1b[0m"

// Paint returns text drawn with the pen. The text must be plain: a reset in it
// would end the style early.
func (p Pen) Paint(text string) string {
	if p.on == "" || text == "" {
		return text
	}
	return p.on + text + reset
}

// Styles are the pens of the screen by what they mean.
type Styles struct {
	Text   Pen // what has nothing to stand out for
	Strong Pen // headings
	Quiet  Pen // what one need not read

	Kept, Dropped, Part, Open Pen // a frame by its answer

	Here     Pen // the place where one is
	Key      Pen // names of keys
	Question Pen // the question of the pass keep
	Pending  Pen // half of a key sequence: what the next key will do
	Warn     Pen // refused, or to be looked at
	Fault    Pen // something went wrong
	Mark     Pen // what the camera or somebody else said of a frame

	Band, BandQuiet Pen // the large question of a later pass, and what stands beside it

	hereRow  [4]Pen // a frame by its answer where one is, with hereBack behind it
	hereDim  Pen
	hereKey  Pen
	hereWarn Pen
	hereMark Pen
	back     Pen

	ribbonKept, ribbonDropped, ribbonOpen, ribbonMixed, ribbonHere Pen
}

// NewStyles builds the pens for what the terminal can show. It never asks the
// terminal anything. The profile Ascii has no colours, only attributes.
func NewStyles(profile termenv.Profile, dark bool) *Styles {
	r := lipgloss.NewRenderer(io.Discard)
	r.SetHasDarkBackground(dark)
	r.SetColorProfile(profile)
	if profile == termenv.Ascii {
		// lipgloss leaves out the attributes too in this profile.
		r.SetColorProfile(termenv.ANSI)
	}
	b := builder{r: r, colour: profile != termenv.Ascii, grey: profile == termenv.TrueColor || profile == termenv.ANSI256}
	c := colours()

	kept := b.fore(c.kept).Bold(true)
	part := b.fore(c.part).Bold(true)
	dropped := b.dim(c.dropped).Strikethrough(true)
	accent := b.fore(c.accent).Bold(true)
	band := b.on(b.fore(c.bandText), c.band).Bold(true)
	plain := r.NewStyle()

	return &Styles{
		Text:   Pen{},
		Strong: pen(plain.Bold(true)),
		Quiet:  pen(b.dim(c.quiet)),

		Kept: pen(kept), Dropped: pen(dropped), Part: pen(part), Open: Pen{},

		Here:     pen(accent),
		Key:      pen(accent),
		Question: pen(accent),
		Pending:  pen(accent.Reverse(true)),
		Warn:     pen(b.fore(c.warn)),
		Mark:     pen(b.fore(c.part)),
		Fault:    pen(b.fore(c.warn).Bold(true).Reverse(true)),

		Band:      pen(band),
		BandQuiet: pen(b.on(b.fore(c.bandDim), c.band)),

		hereRow: [4]Pen{
			cull.Open: pen(b.lit(plain, c.here)), cull.Yes: pen(b.lit(kept, c.here)),
			cull.No: pen(b.lit(dropped, c.here)), cull.Part: pen(b.lit(part, c.here)),
		},
		hereDim:  pen(b.lit(b.dim(c.quiet), c.here)),
		hereKey:  pen(b.lit(accent, c.here)),
		hereWarn: pen(b.lit(b.fore(c.warn), c.here)),
		hereMark: pen(b.lit(b.fore(c.part), c.here)),
		back:     pen(b.lit(plain, c.here)),

		ribbonKept: pen(b.fore(c.bar)), ribbonDropped: pen(b.fore(c.quiet)),
		ribbonOpen: pen(b.dim(c.dropped)), ribbonMixed: pen(b.fore(c.quiet)), ribbonHere: pen(accent),
	}
}

// answer is the pen of a frame, here if one is there.
func (s *Styles) answer(a cull.Answer, here bool) Pen {
	if here {
		return s.hereRow[min(a, cull.Part)]
	}
	switch a {
	case cull.Yes:
		return s.Kept
	case cull.No:
		return s.Dropped
	case cull.Part:
		return s.Part
	}
	return s.Open
}

// builder makes lipgloss styles of hues as far as the profile has them.
type builder struct {
	r      *lipgloss.Renderer
	colour bool
	grey   bool // there are greys to choose from
}

func (b builder) fore(h hue) lipgloss.Style {
	if !b.colour {
		return b.r.NewStyle()
	}
	return b.r.NewStyle().Foreground(h.color())
}

// dim is text that stands back: a grey where there is one to be relied on, else
// the terminal's own faint text.
func (b builder) dim(h hue) lipgloss.Style {
	if b.grey {
		return b.fore(h)
	}
	return b.r.NewStyle().Faint(true)
}

// on sets a background that has to be seen: reversed text where there is no
// colour for it that goes with every scheme.
func (b builder) on(s lipgloss.Style, h hue) lipgloss.Style {
	if !b.grey {
		return s.Reverse(true)
	}
	return s.Background(h.color())
}

// lit sets a background that only just differs: a line below where there is none.
func (b builder) lit(s lipgloss.Style, h hue) lipgloss.Style {
	if !b.grey {
		return s.Underline(true)
	}
	return s.Background(h.color())
}

// pen takes out of lipgloss what switches a style on, once. Rendering line by
// line with lipgloss costs more than everything else a pane does.
func pen(s lipgloss.Style) Pen {
	on, _, _ := strings.Cut(s.Render("x"), "x")
	return Pen{on}
}
