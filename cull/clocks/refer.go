package clocks

import (
	"fmt"
	"maps"
	"path"
	"slices"
	"strconv"
	"strings"
	"time"

	"garner/cull"
	"garner/cull/job"
)

// AmbiguousError says that a name fits several frames.
type AmbiguousError struct {
	Text  string
	Names []string // of the frames, in order
}

func (e *AmbiguousError) Error() string {
	const most = 4
	names := strings.Join(e.Names[:min(most, len(e.Names))], ", ")
	if more := len(e.Names) - most; more > 0 {
		names += fmt.Sprintf(" and %d more", more)
	}
	return cull.Plain(fmt.Sprintf("%s may be %s: name one of them", e.Text, names))
}

// frameNames are a job's frames, read when first asked for.
type frameNames struct{ all map[cull.ID]cull.Frame }

func (n *frameNames) read(j *job.Job) (err error) {
	if n.all == nil {
		n.all, err = j.Frames()
	}
	return err
}

// face is what a body's own clock showed at one of its frames.
func (n *frameNames) face(j *job.Job, b cull.Body, text string) (time.Time, error) {
	if err := n.read(j); err != nil {
		return time.Time{}, err
	}
	f, err := within(n.all, b, text)
	if err != nil {
		return time.Time{}, err
	}
	if !f.Taken.Known() {
		return time.Time{}, fmt.Errorf("%s has no capture time", cull.Plain(f.Name))
	}
	return f.Taken.Wall, nil
}

// Find finds the frame that a person means by "A:0123" (body and number of the file
// name), "A/IMG_0123" or "IMG_0123" (its name), or "#id".
func Find(frames map[cull.ID]cull.Frame, bodies []cull.Body, text string) (cull.Frame, error) {
	if body, rest, ok := strings.Cut(text, ":"); ok {
		b, err := find(bodies, body)
		if err != nil {
			return cull.Frame{}, err
		}
		return within(frames, b, rest)
	}
	return pick(frames, text, func(cull.Frame) bool { return true }, false)
}

// within finds one of a body's frames by number or name.
func within(frames map[cull.ID]cull.Frame, b cull.Body, text string) (cull.Frame, error) {
	f, err := pick(frames, text, func(f cull.Frame) bool { return f.Body == b.Key }, true)
	if _, many := err.(*AmbiguousError); err != nil && !many {
		name := b.Letter
		if name == "" {
			name = b.Serial
		}
		err = fmt.Errorf("body %s has no frame %s", cull.Plain(name), cull.Plain(text))
	}
	return f, err
}

// pick finds the one frame that a text names: its id or whole name before its name
// without folders before, if numbers may be used, the number in its name.
func pick(frames map[cull.ID]cull.Frame, text string, of func(cull.Frame) bool, numbers bool) (cull.Frame, error) {
	want, err := strconv.ParseUint(text, 10, 32)
	numbers = numbers && err == nil
	var ranks [3][]cull.Frame
	for _, id := range slices.Sorted(maps.Keys(frames)) {
		f := frames[id]
		if !of(f) || len(f.Files) == 0 {
			continue
		}
		base := path.Base(f.Name)
		n, numbered := number(base)
		switch {
		case "#"+string(f.ID) == text || f.Name == text:
			ranks[0] = append(ranks[0], f)
		case base == text:
			ranks[1] = append(ranks[1], f)
		case numbers && numbered && n == want:
			ranks[2] = append(ranks[2], f)
		}
	}
	for _, found := range ranks {
		if len(found) == 1 {
			return found[0], nil
		}
		if len(found) > 1 {
			e := &AmbiguousError{Text: text}
			for _, f := range found {
				e.Names = append(e.Names, f.Name)
			}
			slices.Sort(e.Names)
			return cull.Frame{}, e
		}
	}
	return cull.Frame{}, fmt.Errorf("no frame is called %s", cull.Plain(text))
}

// number is the last run of digits in a file's name: 412 of "IMG_0412".
func number(base string) (n uint64, ok bool) {
	isDigit := func(r rune) bool { return r >= '0' && r <= '9' }
	end := strings.LastIndexFunc(base, isDigit) + 1
	from := strings.LastIndexFunc(base[:end], func(r rune) bool { return !isDigit(r) }) + 1
	n, err := strconv.ParseUint(base[from:end], 10, 32)
	return n, err == nil
}
