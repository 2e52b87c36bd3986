// Package manifest keeps the sums of files in the form that sha256sum of GNU
// coreutils writes and checks ("cksum output modes" in its manual), so that what
// was copied can be proved without garner: sha256sum -c in the folder that the
// names are relative to.
//
// A line is the digits, two spaces, the name. Where a name holds a backslash or
// a newline, the line begins with a backslash, and in the name these are \\ and
// \n; likewise \r for a carriage return, which sha256sum would take for the end
// of a line from another system.
//
// Names are "/"-separated and the bytes that the system gives. A line that can't
// be read is an error, never passed over: a manifest that silently loses files
// proves nothing.
package manifest

// Sum is the SHA-256 of a file.
type Sum = [32]byte

// Bounds of what is read and written.
const (
	// maxLine, in bytes: a name of the greatest length that systems allow,
	// every byte of it escaped.
	maxLine = 128 << 10
	// maxSize, in bytes, is some millions of files.
	maxSize = 256 << 20
)
