package main

import (
	"strings"
	"testing"

	"garner/cull/closing/reopen"
)

// The folder that has not room enough is the one that is named, not the bag.
func TestNoRoomForAJob(t *testing.T) {
	err := openBagHint(&reopen.RoomError{Needs: 11e6, Free: 4e6}, "Shelf/Job", "Again")
	if !strings.HasPrefix(err.Error(), "Again: there is not room enough: 11 MB") {
		t.Errorf("it says %q", err)
	}
}
