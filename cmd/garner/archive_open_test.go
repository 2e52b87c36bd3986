package main

import (
	"errors"
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

// A bag of which nothing can be believed is named once, with what can be done.
func TestABagThatCannotBeRead(t *testing.T) {
	err := openBagHint(&reopen.UnreadError{Err: errors.New("manifest-sha256.txt has no sum in line 3")}, "Shelf/Job", "Again")
	var hint *hintedError
	if err.Error() != "Shelf/Job: manifest-sha256.txt has no sum in line 3" || !errors.As(err, &hint) || !strings.Contains(hint.hints[0], "--check Shelf/Job") {
		t.Errorf("it says %q", err)
	}
}
