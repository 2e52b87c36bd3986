//go:build !darwin

package intake

import "io/fs"

func immutable(fs.FileInfo) bool { return false }
