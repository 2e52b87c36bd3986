// Package station is the desk of the full-screen station: a job's session, its
// pictures and its preparation behind one stream of news. It has no screen and
// does no work of its own: everything it does can be done and tested without a
// terminal.
//
//	                    Do(act, press)  Drawn(shot)
//	person ──▶ screen ─────────────────────────────▶ Desk ──▶ State, Shot, Facts …
//	              ▲                                   │ ▲
//	              │                    entry, wanted  │ │ Take(news)
//	           Next() ◀── mailbox ◀── job.Append ◀────┤ │
//	                         ▲  ◀──── pictures  ◀─────┤ │
//	                         └──◀──── preparation ◀───┘ │
//	              │                                     │
//	              └─────────────────────────────────────┘
//
// One goroutine, that of the screen, calls the methods of a Desk; none of them
// waits for a disk or a picture. What takes time runs beside it and puts its
// results into a mailbox. Next waits for them in a goroutine of its own, and
// Take folds them in.
//
// # Which keys decide
//
// A deciding act counts only while the picture of the frame under the cursor is
// on the screen: every change of what is to be seen gives a new Shot, and until
// the screen has reported that very Shot as drawn nothing is decided. So what is
// typed while nothing new can be seen decides nothing. An act is durable before
// the session, and with it the screen, shows it.
//
// In the fan a Shot has many tiles. Each says since which Shot it has looked as it
// does, and the cursor's since when the cursor has been on it; a Shot that was drawn
// counts for the tiles that looked the same in it. So pictures that come in one after
// the other hold nothing up, and a tile that waits for its own is not decided.
package station
