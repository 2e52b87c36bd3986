package job

import (
	"fmt"

	"garner/store/vfs"
)

// NetworkError refuses a state folder on a network file system: locks and maps,
// on which the catalogue relies, can't be trusted there.
type NetworkError struct {
	Path string // the state folder
	Kind string // what the system calls the file system
}

func (e *NetworkError) Error() string {
	return fmt.Sprintf("the catalogue can't be kept on a network file system (%s is on %s): keep it on a local disk with --state", showPath(e.Path), showPath(e.Kind))
}

func refuseNetwork(state string) error {
	if kind, network := (vfs.OS{}).IsNetwork(state); network {
		return &NetworkError{Path: state, Kind: kind}
	}
	return nil
}
