package vfs

import "golang.org/x/sys/windows"

// Links returns how many names the file has.
func (f osFile) Links() (int, bool) {
	var info windows.ByHandleFileInformation
	if windows.GetFileInformationByHandle(windows.Handle(f.Fd()), &info) != nil {
		return 0, false
	}
	return int(info.NumberOfLinks), true
}
