package term

import (
	"io"
	"time"
)

// newSource reads in a goroutine. A console's Read cannot be ended from
// outside, so it is left behind.
func newSource(r io.Reader) (source, error) {
	return newPump(r, 100*time.Millisecond), nil
}
