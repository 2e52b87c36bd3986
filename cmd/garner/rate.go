package main

import (
	"fmt"
	"time"
)

// rate says how fast bytes go by and how long the rest will take.
func rate(done, all int64, took time.Duration) string {
	text := size(done)
	if took < time.Second || done <= 0 {
		return text
	}
	perSecond := float64(done) / took.Seconds()
	text += fmt.Sprintf(", %s/s", size(int64(perSecond)))
	if all > done {
		text += ", " + left(time.Duration(float64(all-done)/perSecond*float64(time.Second)))
	}
	return text
}

// left is a remaining time in words.
func left(t time.Duration) string {
	switch {
	case t < time.Second:
		return "done in a moment"
	case t < 90*time.Second:
		return fmt.Sprintf("%d s left", int(t.Seconds()+0.5))
	}
	return fmt.Sprintf("%d min left", int(t.Minutes()+0.5))
}

// size is a number of bytes in decimal units, as disks and cards are sold.
func size(n int64) string {
	switch {
	case n >= 1e9:
		return fmt.Sprintf("%.1f GB", float64(n)/1e9)
	case n >= 1e6:
		return fmt.Sprintf("%.1f MB", float64(n)/1e6)
	case n >= 1e3:
		return fmt.Sprintf("%.0f kB", float64(n)/1e3)
	}
	return fmt.Sprintf("%d bytes", n)
}
