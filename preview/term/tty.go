package term

import "os"

// TTY is a Screen that passes for the terminal's file with programs that ask
// its descriptor for the size of the window. Closing it does nothing.
type TTY struct {
	screen *Screen
	file   *os.File
}

// File returns the screen as a file: what is written goes to the screen, all
// else is f's.
func (s *Screen) File(f *os.File) TTY { return TTY{s, f} }

// Write queues p on the screen.
func (t TTY) Write(p []byte) (int, error) { return t.screen.Write(p) }

// Read reads from the file.
func (t TTY) Read(p []byte) (int, error) { return t.file.Read(p) }

// Fd returns the file's descriptor.
func (t TTY) Fd() uintptr { return t.file.Fd() }

// Close leaves both open: they are not the program's that got the TTY.
func (t TTY) Close() error { return nil }
