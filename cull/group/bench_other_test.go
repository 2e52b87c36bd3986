//go:build !unix

package group

import "time"

var started = time.Now()

func spent() time.Duration { return time.Since(started) }
