package proofs

// Paper is a format of contact sheets.
type Paper int

// The formats: ISO 216 A4, and North American letter.
const (
	A4 Paper = iota
	Letter
)

var papers = [...]struct {
	name, title   string
	width, height float64 // points of 1/72 inch
}{
	A4:     {"a4", "A4", 595.28, 841.89}, // 210 x 297 mm
	Letter: {"letter", "Letter", 612, 792},
}

func (p Paper) known() bool { return p >= 0 && int(p) < len(papers) }

func (p Paper) title() string { return papers[p].title }

// String returns the name that ParsePaper takes.
func (p Paper) String() string {
	if !p.known() {
		return "unknown"
	}
	return papers[p].name
}

// ParsePaper returns the format of a name: "a4" or "letter".
func ParsePaper(name string) (Paper, bool) {
	for i, p := range papers {
		if p.name == name {
			return Paper(i), true
		}
	}
	return 0, false
}
