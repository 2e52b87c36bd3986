// Package testterm is a terminal for tests: what a person in front of the
// station would see, in a form that a test can ask questions of.
//
// A Grid understands the bytes a full-screen program writes and keeps the
// cells, the modes and the pictures (kitty graphics, half blocks) that a
// terminal would show. An Answerer makes it answer queries as a terminal
// does. A Run puts a program on a pseudo terminal in front of a Grid, types
// keys, and waits for what shall appear.
//
// The emulator follows ECMA-48 (5th edition, 1991) and, where that is silent,
// xterm's "Control Sequences" page; pictures and key events follow kitty's
// published protocols. What it does not know it does not silently accept: see
// Grid.Complaints.
//
// # Caveats
//
// A Grid has no scrollback and does not reflow lines when it is resized. It is
// not safe for concurrent use; a Run locks its own.
package testterm
