// Package pane holds the parts of the station's screen as plain values: the top
// line, the ladder, the ribbon, the bottom line, and what is shown instead of
// the picture or over it. Whoever builds the screen fills a struct and asks it
// for lines. A pane starts nothing, loads nothing and keeps no state, so the
// same value always gives the same lines.
//
// Every line is exactly as wide, and every list of lines exactly as long, as was
// asked for. Strings may come from files: what is in them never reaches the
// terminal raw (see clean), and a frame's state is told by a sign and by words,
// never by colour alone.
package pane
