package tui

import (
	"time"

	"garner/cull/station"
	"garner/preview/term"
)

// The messages of the model, besides tea.WindowSizeMsg.
type (
	keyMsg     term.Key
	pasteMsg   term.Paste
	answerMsg  term.Answer  // of the terminal; fences go straight to the screen
	landedMsg  term.Landing // what became of a picture
	newsMsg    struct{ news station.News }
	broughtMsg struct{ news station.Brought } // of a desk beside the station's
	tickMsg    time.Time
	timerMsg   struct { // a timer that was set has run out
		what  timer
		about uint64 // what it was set for, where that may have passed
	}
	inputEndedMsg struct{ err error } // nothing can be typed any more
	stopMsg       struct{}            // the program is to end
	lostMsg       struct{}            // the screen missed part of the text
)

// timer names what a timer is for.
type timer int

const (
	probeSoon  timer = iota // the first picture has waited long enough for the terminal's answers
	probeAgain              // tmux may have dropped the questions
	probeOver               // what has not been answered yet never will be
	deaf                    // the terminal has never answered anything: it cannot
	slowShot                // a picture is so long in coming that it has to be said
	quietInput              // a dialog may wake up
)

// How long the timers run.
const (
	probeSoonAfter  = 60 * time.Millisecond
	probeAgainAfter = 150 * time.Millisecond
	probeOverAfter  = 2 * time.Second
	probeOnceMore   = 700 * time.Millisecond  // inside tmux, whose client may come late
	probeTmuxAfter  = 1500 * time.Millisecond // until then half blocks are shown
	deafAfter       = 8 * time.Second
	slowShotAfter   = 80 * time.Millisecond
	quietAfter      = 400 * time.Millisecond
	quietAtMost     = 1500 * time.Millisecond
)
