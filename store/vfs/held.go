package vfs

import "os"

// FileOf is a file that was opened in another way, such as within an [os.Root].
func FileOf(f *os.File) File { return osFile{f} }

// Links returns how many names an open file has, where the system says so. A file
// with several is not removed with one of them.
func Links(f File) (n int, known bool) {
	if f, ok := f.(interface{ Links() (int, bool) }); ok {
		return f.Links()
	}
	return 0, false
}
