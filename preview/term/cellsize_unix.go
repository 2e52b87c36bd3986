//go:build unix

package term

import "golang.org/x/sys/unix"

// CellSize returns the size of a cell in pixels as the terminal of a descriptor
// told the system, 0 if it did not. It may be a fraction.
func CellSize(fd uintptr) (width, height float64) {
	ws, err := unix.IoctlGetWinsize(int(fd), unix.TIOCGWINSZ)
	if err != nil || ws.Col == 0 || ws.Row == 0 || ws.Xpixel == 0 || ws.Ypixel == 0 {
		return 0, 0
	}
	return float64(ws.Xpixel) / float64(ws.Col), float64(ws.Ypixel) / float64(ws.Row)
}
