package output

import (
	"fmt"
	"path"
	"slices"
	"strings"
	"unicode/utf8"

	"garner/cull"
	intake "garner/cull/intake/plan"
)

// maxStem leaves room for what tells equal names apart, and the extension.
const maxStem = 200

// extension is that of all files of sets.
const extension = ".jpg"

// stem is what a pattern of names gives for a picture.
func stem(pattern string, set Set, p *picture) string {
	base := path.Base(p.path)
	base = strings.TrimSuffix(base, path.Ext(base))
	frame := strings.ReplaceAll(p.tie.Frame, "/", "-")
	if frame == "" {
		frame = base
	}
	date, clock := "", ""
	if t := p.taken; t.Known() {
		date, clock = t.Wall.Format("2006-01-02"), t.Wall.Format("150405")
	}
	s := fill(pattern, "{name}", base, "{number}", numbered(p.number), "{date}", date, "{time}", clock,
		"{frame}", frame, "{scene}", p.tie.Scene, "{body}", p.tie.Body, "{set}", set.Name)
	for len(s) > maxStem {
		_, n := utf8.DecodeLastRuneInString(s)
		s = s[:len(s)-n]
	}
	if s = cull.PortableName(s); s == "" {
		s = "_"
	}
	return s
}

// numbered is a picture's number as names and clients have it.
func numbered(n int) string { return fmt.Sprintf("%04d", n) }

// signs part the fields of a pattern.
const signs = "-_ "

// fill puts values into a pattern, each after its field. A field of which nothing is
// known goes with the sign that parts it from the others, so that no name begins or
// ends with one.
func fill(pattern string, values ...string) string {
	for i := 0; i < len(values); i += 2 {
		if field := values[i]; values[i+1] == "" {
			for _, sign := range signs {
				pattern = strings.ReplaceAll(pattern, field+string(sign), "")
			}
			if rest, last := strings.CutSuffix(pattern, field); last {
				pattern = strings.TrimRight(rest, signs)
			}
		}
	}
	return strings.NewReplacer(values...).Replace(pattern)
}

// fold is the same for names that some file system takes for one.
func fold(file string) string { return intake.Fold(file) }

// taken are the names of a set's folder that are given, folded, each with the number
// that is tried for the next picture of that name.
type taken map[string]int

// free returns the name for a stem that nobody has, and takes it.
func (t taken) free(stem string) string {
	file := stem + extension
	for first := fold(file); !t.take(file); t[first]++ {
		file = fmt.Sprintf("%s-%d%s", stem, t[first], extension)
	}
	return file
}

// take gives a name away; false if somebody has it.
func (t taken) take(file string) bool {
	key := fold(file)
	if t[key] > 0 {
		return false
	}
	t[key] = 2
	return true
}

// number gives pictures without a number those after the last one, in the order of the
// day; those whose time nobody knows come after the others.
func number(pictures []*picture, last int) {
	var fresh []*picture
	for _, p := range pictures {
		if p.number == 0 {
			fresh = append(fresh, p)
		}
	}
	slices.SortStableFunc(fresh, byTime)
	for i, p := range fresh {
		p.number = last + 1 + i
	}
}

// byTime is the order of the day.
func byTime(a, b *picture) int {
	switch x, y := a.taken, b.taken; {
	case x.Known() != y.Known():
		if x.Known() {
			return -1
		}
		return 1
	case !x.Wall.Equal(y.Wall):
		return x.Wall.Compare(y.Wall)
	}
	return natural(a.path, b.path)
}
