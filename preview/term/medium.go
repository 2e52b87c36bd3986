package term

import (
	"os"
	"path/filepath"
)

// medium is how pixels get to a terminal that keeps pictures (kitty graphics
// protocol, "The transmission medium").
type medium int

// The mediums, the fastest first.
const (
	sharedMemory medium = iota
	tempFile
	inBand // between the other bytes
)

// sharedDir is where POSIX shared memory objects are files. Where it is not
// there (it is Linux's), temporary files do.
const sharedDir = "/dev/shm"

// writeShared makes a shared memory object that only this user can read, under
// a name that nobody can have taken before. It fails where there is none.
func writeShared(dir string, data []byte) (path string, err error) {
	if dir == "" {
		return "", os.ErrNotExist
	}
	return writeNew(dir, "garner-*", data)
}

// sharedName is the object's name as shm_open(3) takes it.
func sharedName(path string) []byte { return []byte("/" + filepath.Base(path)) }

// writeTemp makes a file that the terminal may delete: it asks for this word in
// the name.
func writeTemp(dir string, data []byte) (path string, err error) {
	return writeNew(dir, "tty-graphics-protocol-garner-*", data)
}

func writeNew(dir, pattern string, data []byte) (path string, err error) {
	f, err := os.CreateTemp(dir, pattern) // 0600, never an existing one
	if err != nil {
		return "", err
	}
	_, err = f.Write(data)
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	if err != nil {
		_ = os.Remove(f.Name())
		return "", err
	}
	return f.Name(), nil
}
