package review

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"garner/cull"
)

// Find returns the frames of a line of the page, named KIND:N, or of all lines of a
// kind, named KIND, each once. The error is a sentence with the names that there
// are.
func Find(p Page, name string) ([]cull.ID, error) {
	kind, number, one := strings.Cut(name, ":")
	n := 0
	if one {
		var err error
		if n, err = strconv.Atoi(number); err != nil || n < 1 {
			return nil, fmt.Errorf("%s is no line of the review: after %s: comes its number", cull.Plain(name), cull.Plain(kind))
		}
	}
	if !slices.Contains(kinds(), Kind(kind)) {
		return nil, fmt.Errorf("the review has no lines called %s; %s", cull.Plain(kind), p.names())
	}
	var ids []cull.ID
	seen, lines := map[cull.ID]bool{}, 0
	for _, l := range p.Lines {
		if l.Kind != Kind(kind) || one && l.N != n {
			continue
		}
		lines++
		for _, id := range l.Frames {
			if !seen[id] {
				seen[id] = true
				ids = append(ids, id)
			}
		}
	}
	switch {
	case lines == 0:
		return nil, fmt.Errorf("the review has no line %s now; %s", cull.Plain(name), p.names())
	case len(ids) == 0:
		return nil, fmt.Errorf("there is no frame to be shown for %s", cull.Plain(name))
	}
	return ids, nil
}

// names lists what Find knows on this page.
func (p Page) names() string {
	var words []string
	for _, k := range kinds() {
		n := p.count(k)
		switch {
		case n == 1:
			words = append(words, string(k))
		case n > 1:
			words = append(words, fmt.Sprintf("%s:1 to %s:%d", k, k, n))
		}
	}
	if len(words) == 0 {
		return "nothing is on it"
	}
	return "there are " + strings.Join(words, ", ")
}

func (p Page) count(k Kind) (n int) {
	for _, l := range p.Lines {
		if l.Kind == k {
			n++
		}
	}
	return n
}

// Name is how Find knows the line: with its number where the page has several of
// its kind.
func (p Page) Name(l Line) string {
	if p.count(l.Kind) == 1 {
		return string(l.Kind)
	}
	return fmt.Sprintf("%s:%d", l.Kind, l.N)
}

// OfKind returns the lines of a kind, in order.
func (p Page) OfKind(k Kind) []Line {
	var lines []Line
	for _, l := range p.Lines {
		if l.Kind == k {
			lines = append(lines, l)
		}
	}
	return lines
}

// Kinds lists the kinds of line that the page has, in its order.
func (p Page) Kinds() []Kind {
	var have []Kind
	for _, k := range kinds() {
		if p.count(k) > 0 {
			have = append(have, k)
		}
	}
	return have
}
