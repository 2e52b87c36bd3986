package job

import (
	"bufio"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"slices"
	"strings"
)

// Sum is the SHA-256 of a file.
type Sum [32]byte

// String gives the sum in lower-case hexadecimal digits.
func (s Sum) String() string { return hex.EncodeToString(s[:]) }

// This file writes the form that sha256sum of GNU coreutils writes and checks
// ("cksum output modes" in its manual): digits, two spaces, name. Where a name
// holds a backslash or a newline, the line begins with a backslash, and in the
// name these are \\ and \n; likewise \r for a carriage return, which sha256sum
// would take for the end of a line from another system.

// Manifest returns the sums of the originals by their paths in the job; none is
// no error. Lines that can't be read are an error: a manifest that silently
// loses files proves nothing.
func (j *Job) Manifest() (map[string]Sum, error) {
	f, err := os.Open(j.manifestPath())
	if errors.Is(err, fs.ErrNotExist) {
		return map[string]Sum{}, nil
	}
	if err != nil {
		return nil, fmt.Errorf("manifest: %w", err)
	}
	defer f.Close()
	sums, err := ReadManifest(f)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", manifestName, err)
	}
	return sums, nil
}

// RecordManifest adds sums to the manifest, or replaces those of the same paths.
func (j *Job) RecordManifest(add map[string]Sum) error {
	return j.changeManifest(func(sums map[string]Sum) {
		for path, sum := range add {
			sums[path] = sum
		}
	})
}

// RenameManifest gives files of the manifest their new paths; "" takes a file
// out.
func (j *Job) RenameManifest(moved map[string]string) error {
	return j.changeManifest(func(sums map[string]Sum) {
		found := map[string]Sum{}
		for from, to := range moved {
			if sum, ok := sums[from]; ok && to != "" {
				found[to] = sum
			}
			delete(sums, from)
		}
		for to, sum := range found {
			sums[to] = sum
		}
	})
}

func (j *Job) changeManifest(change func(map[string]Sum)) error {
	if j.o.ReadOnly {
		return errReadOnly
	}
	return j.db.Exclusively(func() error {
		sums, err := j.Manifest()
		if err != nil {
			return err
		}
		change(sums)
		return replaceFile(j.manifestPath(), func(w io.Writer) error { return WriteManifest(w, sums) })
	})
}

// WriteManifest writes sums in the order of their paths.
func WriteManifest(w io.Writer, sums map[string]Sum) error {
	paths := make([]string, 0, len(sums))
	for path := range sums {
		paths = append(paths, path)
	}
	slices.Sort(paths)
	out := bufio.NewWriter(w)
	for _, path := range paths {
		mark, name := escapeName(path)
		fmt.Fprintf(out, "%s%s  %s\n", mark, sums[path], name)
	}
	return out.Flush()
}

func escapeName(path string) (mark, name string) {
	if path == "-" { // alone it would mean the standard input
		path = "./-"
	}
	if !strings.ContainsAny(path, "\\\n\r") {
		return "", path
	}
	return `\`, strings.NewReplacer(`\`, `\\`, "\n", `\n`, "\r", `\r`).Replace(path)
}

// maxManifestLine bounds a line: a name of the greatest length that systems
// allow, every byte of it escaped.
const maxManifestLine = 128 << 10

// ReadManifest reads what WriteManifest and sha256sum write, binary marks (an
// asterisk before the name) included.
func ReadManifest(r io.Reader) (map[string]Sum, error) {
	sums := map[string]Sum{}
	lines := bufio.NewScanner(r)
	lines.Buffer(make([]byte, 0, 4096), maxManifestLine)
	// Not ScanLines: it would take a carriage return off a name's end.
	lines.Split(splitNewline)
	for n := 1; lines.Scan(); n++ {
		if lines.Text() == "" {
			continue
		}
		path, sum, ok := parseManifestLine(lines.Text())
		if !ok {
			return nil, fmt.Errorf("line %d is no sum and name", n)
		}
		if old, twice := sums[path]; twice && old != sum {
			return nil, fmt.Errorf("line %d gives %s a second sum", n, showPath(path))
		}
		sums[path] = sum
	}
	if err := lines.Err(); err != nil {
		return nil, err
	}
	return sums, nil
}

func splitNewline(data []byte, atEOF bool) (advance int, token []byte, err error) {
	for i, c := range data {
		if c == '\n' {
			return i + 1, data[:i], nil
		}
	}
	if atEOF && len(data) > 0 {
		return len(data), data, nil
	}
	return 0, nil, nil
}

func parseManifestLine(line string) (path string, sum Sum, ok bool) {
	line, escaped := strings.CutPrefix(line, `\`)
	if len(line) < 2*len(sum)+3 {
		return "", sum, false
	}
	raw, err := hex.DecodeString(line[:2*len(sum)])
	path = line[2*len(sum):]
	if err != nil || path[0] != ' ' || (path[1] != ' ' && path[1] != '*') {
		return "", sum, false
	}
	copy(sum[:], raw)
	path = path[2:]
	if escaped {
		if path, ok = unescapeName(path); !ok {
			return "", Sum{}, false
		}
	}
	path = strings.TrimPrefix(path, "./")
	return path, sum, path != ""
}

func unescapeName(s string) (string, bool) {
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		if s[i] != '\\' {
			b.WriteByte(s[i])
			continue
		}
		if i++; i == len(s) {
			return "", false
		}
		switch s[i] {
		case '\\':
			b.WriteByte('\\')
		case 'n':
			b.WriteByte('\n')
		case 'r':
			b.WriteByte('\r')
		default:
			return "", false
		}
	}
	return b.String(), true
}
