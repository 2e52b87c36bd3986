//go:build !linux

package jpeg

import "time"

var began = time.Now()

// cpuTime is as near as can be had here to the processor time of this thread.
func cpuTime() time.Duration { return time.Since(began) }
