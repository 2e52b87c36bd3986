package store

import (
	"errors"
	"fmt"
	"io/fs"
	"testing"
)

func TestReason(t *testing.T) {
	theirs := &fs.PathError{Op: "open", Path: "/secret/a", Err: fs.ErrPermission}
	for want, err := range map[string]error{
		"broken":                  errors.New("broken"),
		"permission denied":       theirs,
		"read: permission denied": fmt.Errorf("copying: %w", Wrap("read", "/secret/a", theirs)),
	} {
		if got := Reason(err); got != want {
			t.Errorf("%v: %q, want %q", err, got, want)
		}
	}
}
