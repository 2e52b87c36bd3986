package awake

import (
	"os"
	"strconv"
)

// keep makes an assertion against idle sleep that lasts while this process does
// (caffeinate(8), -i and -w). caffeinate reads no input: release ends it.
func keep(string) func() {
	return hold(0, "caffeinate", "-i", "-w", strconv.Itoa(os.Getpid()))
}
