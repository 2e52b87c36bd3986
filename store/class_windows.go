package store

import (
	"syscall"

	"golang.org/x/sys/windows"
)

// classSystem knows the codes of Windows ("System Error Codes" of its API
// reference).
func classSystem(e syscall.Errno) Failure {
	switch e {
	case windows.ERROR_NOT_READY, windows.ERROR_DEV_NOT_EXIST, windows.ERROR_NO_SUCH_DEVICE,
		windows.ERROR_DEVICE_NOT_CONNECTED, windows.ERROR_DEVICE_REMOVED, windows.ERROR_NO_MEDIA_IN_DRIVE,
		windows.ERROR_MEDIA_CHANGED, windows.ERROR_WRONG_DISK, windows.ERROR_BAD_UNIT,
		windows.ERROR_BAD_NETPATH, windows.ERROR_NETNAME_DELETED, windows.ERROR_UNEXP_NET_ERR:
		return DeviceGone
	case windows.ERROR_DISK_FULL, windows.ERROR_HANDLE_DISK_FULL, windows.ERROR_DISK_QUOTA_EXCEEDED:
		return NoSpace
	case windows.ERROR_ACCESS_DENIED, windows.ERROR_WRITE_PROTECT:
		return Permission
	case windows.ERROR_CRC, windows.ERROR_SECTOR_NOT_FOUND, windows.ERROR_READ_FAULT, windows.ERROR_SEEK,
		windows.ERROR_IO_DEVICE, windows.ERROR_GEN_FAILURE, windows.ERROR_FILE_CORRUPT, windows.ERROR_DISK_CORRUPT:
		return ReadError
	case windows.ERROR_WRITE_FAULT:
		return WriteError
	case windows.ERROR_FILE_TOO_LARGE:
		return TooLarge
	case windows.ERROR_INVALID_NAME, windows.ERROR_FILENAME_EXCED_RANGE:
		return BadName
	case windows.ERROR_SHARING_VIOLATION, windows.ERROR_LOCK_VIOLATION, windows.ERROR_BUSY:
		return Busy
	case windows.ERROR_FILE_NOT_FOUND, windows.ERROR_PATH_NOT_FOUND:
		return Missing
	case windows.ERROR_FILE_EXISTS, windows.ERROR_ALREADY_EXISTS:
		return Exists
	}
	return Unclassified
}
