package manifest

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"

	"garner/store"
)

var errTooLarge = errors.New("larger than any manifest")

// Read reads what [Write] and sha256sum write, also binary marks (an asterisk
// before the name) and a "./" before it. Beside an error there are no sums.
func Read(r io.Reader) (map[string]Sum, error) {
	sums := map[string]Sum{}
	bounded := &io.LimitedReader{R: r, N: maxSize + 1}
	lines := bufio.NewScanner(bounded)
	lines.Buffer(make([]byte, 0, 4096), maxLine)
	// Not ScanLines: it would take a carriage return off a name's end.
	lines.Split(splitNewline)
	for n := 1; lines.Scan(); n++ {
		if lines.Text() == "" {
			continue
		}
		name, sum, ok := parse(lines.Text())
		if !ok {
			return nil, fmt.Errorf("line %d is no sum and name", n)
		}
		if old, twice := sums[name]; twice && old != sum {
			return nil, fmt.Errorf("line %d gives %.200q a second sum", n, name)
		}
		sums[name] = sum
	}
	if err := lines.Err(); err != nil {
		return nil, err
	}
	if bounded.N == 0 {
		return nil, errTooLarge
	}
	return sums, nil
}

func splitNewline(data []byte, atEOF bool) (advance int, token []byte, err error) {
	if i := bytes.IndexByte(data, '\n'); i >= 0 {
		return i + 1, data[:i], nil
	}
	if atEOF && len(data) > 0 {
		return len(data), data, nil
	}
	return 0, nil, nil
}

func parse(line string) (name string, sum Sum, ok bool) {
	line, escaped := strings.CutPrefix(line, `\`)
	const digits = 2 * len(sum)
	if len(line) < digits+3 || line[digits] != ' ' || line[digits+1] != ' ' && line[digits+1] != '*' {
		return "", sum, false
	}
	sum, err := store.ParseHex(line[:digits])
	if err != nil {
		return "", sum, false
	}
	name, ok = line[digits+2:], true
	if escaped {
		if name, ok = unescape(name); !ok {
			return "", sum, false
		}
	}
	for strings.HasPrefix(name, "./") {
		name = name[2:]
	}
	return name, sum, name != ""
}

func unescape(s string) (string, bool) {
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
