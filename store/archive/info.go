package archive

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// infoName is the file of what people are to know; before version 0.96 it had
// another name.
const (
	infoName    = "bag-info.txt"
	oldInfoName = "package-info.txt"
)

// Labels that Grow makes (RFC 8493 section 2.2.2).
const (
	oxumLabel = "Payload-Oxum"
	sizeLabel = "Bag-Size"
)

// Field is a line of bag-info.txt. Labels may come again.
type Field struct{ Label, Value string }

// parseInfo reads bag-info.txt: "Label: value", and lines that begin with a blank
// go on with the value.
func parseInfo(text, path string, v version, f *findings) []Field {
	var fields []Field
	var values [][]string // of each, line by line: put together once, however many there are
	for n, line := range lines(text) {
		if line != "" && (line[0] == ' ' || line[0] == '\t') && len(fields) > 0 {
			last := &values[len(values)-1]
			*last = append(*last, strings.TrimSpace(line))
			continue
		}
		label, value, ok := strings.Cut(line, ":")
		if label = strings.TrimSpace(label); !ok || label == "" {
			if strings.TrimSpace(line) != "" {
				f.since(v, path, "has in line %d no label: %s", n, quoted(line))
			}
			continue
		}
		fields, values = append(fields, Field{Label: label}), append(values, []string{strings.TrimSpace(value)})
	}
	for i, value := range values {
		value = slices.DeleteFunc(value, func(part string) bool { return part == "" })
		fields[i].Value = strings.Join(value, " ")
	}
	return fields
}

// formatInfo writes the fields, each in one line.
func formatInfo(fields []Field) []byte {
	var b strings.Builder
	for _, f := range fields {
		fmt.Fprintf(&b, "%s: %s\n", oneLine(f.Label), oneLine(f.Value))
	}
	return []byte(b.String())
}

// oneLine makes one line of text with line ends in it.
func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

// field returns the first value of a label; labels know no case.
func field(fields []Field, label string) (string, bool) {
	for _, f := range fields {
		if strings.EqualFold(f.Label, label) {
			return f.Value, true
		}
	}
	return "", false
}

// oxum is a payload in two numbers: octets and streams.
func oxum(bytes int64, files int) string { return fmt.Sprintf("%d.%d", bytes, files) }

// decimal writes a number of bytes as people do, for Bag-Size.
func decimal(n int64) string {
	const units = "kMGTPE"
	if n < 1000 {
		return strconv.FormatInt(n, 10) + " B"
	}
	x, u := float64(n)/1000, 0
	for ; x >= 999.95; u++ {
		x /= 1000
	}
	return fmt.Sprintf("%.1f %cB", x, units[u])
}
