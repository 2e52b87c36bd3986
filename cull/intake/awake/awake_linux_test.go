package awake

import (
	"strings"
	"testing"
)

// The command line is that of systemd-inhibit(1): options, then the command that
// holds the lock.
func TestKeepHoldsAnInhibitorLock(t *testing.T) {
	log := program(t, "systemd-inhibit", `for a in "$@"; do echo "$a" >>"$AWAKE_LOG"; done; while case "$1" in -*) true;; *) false;; esac; do shift; done; "$@"; echo "ended $?" >>"$AWAKE_LOG"`+"\n")
	Keep("cards are taken in")()
	want := "--what=idle:sleep\n--who=garner\n--why=cards are taken in\n--mode=block\ncat\nended 0\n"
	if got := read(t, log); got != want {
		t.Errorf("got %q, want %q", got, strings.TrimSpace(want))
	}
}
