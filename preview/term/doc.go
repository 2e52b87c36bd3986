// Package term puts pictures onto a terminal and takes its answers in: bytes
// only, no framework. It knows the kitty graphics protocol (classic placement
// and Unicode placeholders), half blocks for every other terminal, and tmux in
// between.
//
// Decoder turns what the terminal sends into keys, pastes and answers; Probe
// asks what it can; Screen is the one writer of all bytes; Painter makes the
// bytes of a picture.
//
// # Security
//
// A terminal's input is hostile: it may hold answers to questions that another
// program asked, text that somebody pasted, or the output of a file somebody
// showed. An answer never becomes a key, whole or cut, and memory is bounded
// whatever arrives.
package term
