package manifest

import (
	"bufio"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"garner/store"
)

// Write writes sums in the order of their names. It fails where [Read] could not
// read the result: an empty name, or one longer than any system's.
func Write(w io.Writer, sums map[string]Sum) error {
	out := bufio.NewWriter(w)
	size := 0
	for _, name := range slices.Sorted(maps.Keys(sums)) {
		mark, text := escape(name)
		line := mark + store.Hex(sums[name]) + "  " + text
		if size += len(line) + 1; name == "" || len(line) >= maxLine || size > maxSize {
			return fmt.Errorf("manifest: no room for the name %.80q (%d bytes)", name, len(name))
		}
		out.WriteString(line)
		out.WriteByte('\n') // Flush returns the first failure
	}
	return out.Flush()
}

func escape(name string) (mark, text string) {
	if name == "-" { // alone it would mean the standard input
		name = "./-"
	}
	if !strings.ContainsAny(name, "\\\n\r") {
		return "", name
	}
	return `\`, strings.NewReplacer(`\`, `\\`, "\n", `\n`, "\r", `\r`).Replace(name)
}
