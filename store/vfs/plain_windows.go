package vfs

import (
	"io/fs"
	"os"
)

// openAtOnce opens a file; what would be waited for has other names here.
func openAtOnce(path string) (*os.File, error) { return os.Open(path) }

// Touched is not known from what Stat gives.
func Touched(fs.FileInfo) int64 { return 0 }
