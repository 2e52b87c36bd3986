// Package awake keeps the machine from going to sleep by itself while a long piece
// of work lasts: a laptop that falls asleep over a card is a card that is not done
// in the morning.
//
// Only documented ways are used, and none of them needs rights: on Linux the
// inhibitor locks of systemd-logind through systemd-inhibit(1), on macOS power
// assertions through caffeinate(8), on Windows SetThreadExecutionState (Microsoft,
// winbase.h). All of them end by themselves when the program is killed.
//
// # Caveats
//
// Where there is no such way, or it is refused, nothing happens and nothing is
// said: the work is as good without it. A lid that is closed, and a person who
// sends the machine to sleep, win.
package awake

// Keep keeps the machine awake until release is called, which returns when
// everything that Keep started has ended. why is a short reason that the system
// may show to the person.
func Keep(why string) (release func()) { return keep(why) }
