package job

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"sort"

	"garner/cull"
)

// journalText is what a text journal holds, read line by line.
type journalText struct {
	entries map[uint64]string // by number; of several lines with one number the first
	good    int64             // length up to the end of the last whole line
	torn    bool              // bytes follow that are no whole line
	open    bool              // the last whole line lacks only its newline
	faults  []fault
}

// fault is a line that is passed over.
type fault struct {
	line int // from 1
	text string
}

// readJournal reads a text journal. Faults of lines are reported in the result;
// an error means that the bytes could not be read. No line makes it hold more
// than cull.MaxLine bytes besides the good lines.
func readJournal(r io.Reader) (*journalText, error) {
	t := &journalText{entries: map[uint64]string{}}
	in := bufio.NewReaderSize(r, 64<<10)
	var at int64
	for number := 1; ; number++ {
		line, size, err := readLine(in)
		if size == 0 && err == io.EOF {
			return t, nil
		}
		if err != nil && err != io.EOF {
			return nil, fmt.Errorf("reading the journal: %w", err)
		}
		at += size
		fresh, why := t.take(line)
		switch {
		case err != io.EOF:
			t.good = at
			if why != "" {
				t.faults = append(t.faults, fault{number, why})
			}
		case fresh: // only the newline is missing, and the checksum vouches for the rest
			t.good, t.open = at, true
		default:
			t.torn = true
		}
		if err == io.EOF {
			return t, nil
		}
	}
}

// take keeps the entry of a line, or says why it can't.
func (t *journalText) take(line []byte) (fresh bool, why string) {
	if len(bytes.TrimSpace(line)) == 0 {
		return false, ""
	}
	e, err := cull.ParseEntry(string(line))
	if err != nil {
		return false, err.Error()
	}
	switch old, twice := t.entries[e.Seq]; {
	case e.Seq == 0:
		return false, "the entry has no number"
	case !twice:
		t.entries[e.Seq] = string(line)
		return true, ""
	case old != string(line):
		return false, fmt.Sprintf("another entry %d came before it", e.Seq)
	}
	return true, ""
}

// readLine reads up to a newline and returns the line without it (and without
// the carriage return of an editor), cut at a length that no entry has, and how
// many bytes it took.
func readLine(in *bufio.Reader) (line []byte, size int64, err error) {
	for {
		part, err := in.ReadSlice('\n')
		size += int64(len(part))
		if room := cull.MaxLine + 1 - len(line); room > 0 {
			line = append(line, part[:min(room, len(part))]...)
		}
		if err == bufio.ErrBufferFull {
			continue
		}
		line = bytes.TrimSuffix(line, []byte("\n"))
		line = bytes.TrimSuffix(line, []byte("\r"))
		return line, size, err
	}
}

// numbers lists the numbers of the entries, rising.
func (t *journalText) numbers() []uint64 {
	out := make([]uint64, 0, len(t.entries))
	for n := range t.entries {
		out = append(out, n)
	}
	sort.Slice(out, func(i, k int) bool { return out[i] < out[k] })
	return out
}
