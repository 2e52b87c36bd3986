// Package term puts pictures onto a terminal and takes its answers in: bytes
// only, no framework. It knows the kitty graphics protocol (classic placement
// and Unicode placeholders), files inside of the text (OSC 1337), sixels, half
// blocks and quadrants for every other terminal, and tmux in between.
//
// Decoder turns what the terminal sends into keys, pastes and answers; Probe
// asks what it can; Screen is the one writer of all bytes; Painter makes the
// bytes of pictures.
//
// # Ways and sheets
//
// A way (way.go) is one protocol: it prepares a picture in a size and a look, and
// shows what it has prepared at a place. What is prepared is a sheet; the store
// (store.go) keeps sheets that were shown or will be, bounded, and Painter keeps
// what is on the screen. A new way is one file and a line in newWay.
//
// # Ahead
//
// Want says what will probably be shown next. The painter's goroutine prepares
// it; where the terminal keeps pictures under ids, Ready says that Ahead has
// bytes, and Screen.Ahead writes them when nothing else is to be written and
// everything before has been answered. Showing such a picture then is a command
// or the cells that stand for it. What the terminal has lost meanwhile it refuses
// to show; after Refused it is sent anew.
//
// # Security
//
// A terminal's input is hostile: it may hold answers to questions that another
// program asked, text that somebody pasted, or the output of a file somebody
// showed. An answer never becomes a key, whole or cut, and memory is bounded
// whatever arrives.
package term
