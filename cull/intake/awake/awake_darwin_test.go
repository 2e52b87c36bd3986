package awake

import (
	"os"
	"strconv"
	"testing"
)

// The command line is that of caffeinate(8).
func TestKeepMakesAnAssertion(t *testing.T) {
	log := program(t, "caffeinate", `echo "$@" >"$AWAKE_LOG.new"; mv "$AWAKE_LOG.new" "$AWAKE_LOG"; cat`+"\n")
	release := hold(patience, "caffeinate", "-i", "-w", strconv.Itoa(os.Getpid()))
	release()
	if got, want := read(t, log), "-i -w "+strconv.Itoa(os.Getpid())+"\n"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}
