// Package tui is the station's screen: keys become acts of the desk
// (cull/station), the state of the desk becomes panes (cull/tui/pane), and the
// picture goes to the terminal beside them (preview/term). It is the only
// importer of Bubble Tea, with one model.
//
//	tty ─▶ term.Listen ─▶ keyMsg ────▶ Update ─▶ Desk.Do
//	           │          pasteMsg        │
//	           └─ answer ─▶ Screen        ├─▶ View ── renderer ──▶ Screen ─▶ tty
//	                          │           └─▶ pictures ─ Shot ───▶ Screen
//	                          └─ landedMsg ─▶ Update ─▶ Desk.Drawn
//	Desk.Next ─▶ newsMsg ─▶ Update ─▶ Desk.Take
//
// The picture is not part of View, which would send it again with every change
// of a line and could not tell when it is on the screen. View leaves a hole where
// the picture is: the cursor jumps over it.
package tui
