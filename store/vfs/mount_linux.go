package vfs

import (
	"bytes"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

const mountInfo = "/proc/self/mountinfo"

// MountOf returns the mount that a path, or the nearest existing folder above
// it, lies on.
func MountOf(path string) (Mount, error) {
	at, err := filepath.EvalSymlinks(existing(path))
	if err != nil {
		return Mount{}, err
	}
	table, err := os.ReadFile(mountInfo)
	if err != nil {
		return Mount{}, err
	}
	m, ok := findMount(table, at)
	if !ok {
		return Mount{}, &fs.PathError{Op: "find mount of " + at + " in", Path: mountInfo, Err: fs.ErrNotExist}
	}
	return m, nil
}

// Mounts returns all mounts that can be seen. Nothing is asked of the file
// systems themselves, so that a server that is away holds nobody up.
func Mounts() ([]Mount, error) {
	table, err := os.ReadFile(mountInfo)
	if err != nil {
		return nil, err
	}
	return parseMounts(table), nil
}

// parseMounts reads a mount table as proc(5) describes it: the fifth field of a
// line is the mount's root, the sixth its options, and a lone "-" after the
// optional fields precedes type, source and the file system's options. Of mounts
// with one root only the last is seen: it lies on top.
func parseMounts(table []byte) []Mount {
	var mounts []Mount
	at := map[string]int{}
	for line := range bytes.Lines(table) {
		fields := strings.Fields(string(line))
		if len(fields) < 10 {
			continue
		}
		dash := slices.Index(fields[6:], "-") + 6
		if dash < 6 || len(fields) < dash+4 {
			continue
		}
		root := unescape(fields[4])
		m := Mount{root, unescape(fields[dash+2]), unescape(fields[dash+1]), hasOption(fields[5], "ro") || hasOption(fields[dash+3], "ro")}
		if i, hidden := at[root]; hidden {
			mounts[i] = m
			continue
		}
		at[root] = len(mounts)
		mounts = append(mounts, m)
	}
	return mounts
}

// findMount looks a path without links up; the longest root counts.
func findMount(table []byte, path string) (best Mount, found bool) {
	for _, m := range parseMounts(table) {
		if covers(m.Root, path) && len(m.Root) >= len(best.Root) {
			best, found = m, true
		}
	}
	return best, found
}

func covers(root, path string) bool {
	return root == "/" && strings.HasPrefix(path, "/") || path == root || root != "" && strings.HasPrefix(path, root+"/")
}

func hasOption(list, option string) bool {
	return slices.Contains(strings.Split(list, ","), option)
}

// unescape turns the \040 of the table (space, tab, newline, backslash) back.
func unescape(s string) string {
	if !strings.Contains(s, `\`) {
		return s
	}
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		if s[i] == '\\' && i+3 < len(s) && octal(s[i+1]) && s[i+1] < '4' && octal(s[i+2]) && octal(s[i+3]) {
			b.WriteByte((s[i+1]-'0')<<6 | (s[i+2]-'0')<<3 | (s[i+3] - '0'))
			i += 3
			continue
		}
		b.WriteByte(s[i])
	}
	return b.String()
}

func octal(c byte) bool { return '0' <= c && c <= '7' }
