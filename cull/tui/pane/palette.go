package pane

import "github.com/charmbracelet/lipgloss"

// hue is one colour of the screen: what it is on dark and on light backgrounds,
// as true colour, in the 256-colour table and among the 16 colours that the
// user's own scheme defines. An empty string is the terminal's default. Of the 16
// only colours are taken: schemes give the greys any brightness, down to that of
// the background, and some terminals draw bold black as grey.
type hue struct {
	dark, light shade
}

type shade struct {
	true, table, basic string
}

func (h hue) color() lipgloss.CompleteAdaptiveColor {
	of := func(s shade) lipgloss.CompleteColor {
		return lipgloss.CompleteColor{TrueColor: s.true, ANSI256: s.table, ANSI: s.basic}
	}
	return lipgloss.CompleteAdaptiveColor{Dark: of(h.dark), Light: of(h.light)}
}

// palette is all colours there are. They are warm and low, because the room is
// dark and the picture is what counts; only what was kept and what needs the
// person stands out.
type palette struct {
	kept     hue // brighter than plain text
	dropped  hue // dimmer than quiet text, still readable
	quiet    hue
	accent   hue // where one is, what is asked, which key
	part     hue
	warn     hue
	band     hue // background of the large question
	bandText hue
	bandDim  hue
	here     hue // background of the line where one is
	bar      hue // the ribbon: kept, but in large areas
}

func colours() palette {
	return palette{
		kept:     hue{dark: shade{"#FFF8E7", "231", "15"}, light: shade{"#000000", "16", ""}},
		dropped:  hue{dark: shade{"#7C766E", "243", ""}, light: shade{"#857F77", "244", ""}},
		quiet:    hue{dark: shade{"#A39C91", "247", ""}, light: shade{"#635D54", "241", ""}},
		accent:   hue{dark: shade{"#E9B45C", "179", "3"}, light: shade{"#875400", "94", "4"}},
		part:     hue{dark: shade{"#7DB9C4", "110", "6"}, light: shade{"#1A6470", "23", "6"}},
		warn:     hue{dark: shade{"#F08C6C", "209", "1"}, light: shade{"#A8330F", "124", "1"}},
		bar:      hue{dark: shade{"#D6C7A6", "252", ""}, light: shade{"#4A4336", "238", ""}},
		band:     hue{dark: shade{"#5C4518", "94", ""}, light: shade{"#F3D999", "222", ""}},
		bandText: hue{dark: shade{"#FFEFC9", "231", ""}, light: shade{"#2E1F00", "16", ""}},
		bandDim:  hue{dark: shade{"#DCC590", "230", ""}, light: shade{"#5C4410", "58", ""}},
		here:     hue{dark: shade{"#332D22", "236", ""}, light: shade{"#F0E8D6", "254", ""}},
	}
}
