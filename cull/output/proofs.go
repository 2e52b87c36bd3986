package output

import (
	"path"
	"strings"

	"garner/cull/job"
	"garner/preview/proofs"
	"garner/preview/resample"
)

// Proofs are cut as two sets, whose folders lie in that of the proofs: their names and
// numbers stay, and what has not changed is not cut again, as everywhere. What is
// particular is the page, and it comes last.

// Pages is what proofs have besides their pictures.
type Pages struct {
	Title  string // "" = the name of the job's folder
	Note   string // to the client
	Papers []proofs.Paper
	Sheet  proofs.Sheet // how a contact sheet looks, on any paper
}

// smallEdge is the long edge of pictures in the grid and on contact sheets.
const smallEdge = 480

// The folders of the two, in that of the proofs.
const (
	smallPart = "small"
	largePart = "large"
)

func pagesOf(s job.SetSettings) *Pages {
	p := &Pages{Title: or(s.Title, ""), Note: or(s.Note, ""), Sheet: proofs.Sheet{Columns: or(s.Columns, 0), Rows: or(s.Rows, 0)}}
	for _, name := range s.Paper {
		if paper, ok := proofs.ParsePaper(strings.ToLower(name)); ok {
			p.Papers = append(p.Papers, paper)
		}
	}
	return p
}

// parts has a set for every folder of files that is cut.
func parts(sets []Set) []Set {
	var all []Set
	for _, s := range sets {
		if s.Pages == nil {
			all = append(all, s)
			continue
		}
		small, large := s.part(smallPart), s.part(largePart)
		small.Size = resample.Size{Kind: resample.LongEdge, W: min(smallEdge, s.Size.W)}
		all = append(all, small, large)
	}
	return all
}

func (s Set) part(name string) Set {
	s.Name, s.Pages = path.Join(s.Name, name), nil
	return s
}

// inSet is a line as people know the set: a part is a folder in it.
func (l Line) inSet() Line {
	if set, part, ok := strings.Cut(l.Set, "/"); ok {
		l.Set, l.File = set, path.Join(part, l.File)
	}
	return l
}

// pictureOf is the set that a part belongs to, and whether its files are counted as
// pictures: of two sizes of one picture, one is.
func pictureOf(part string) (set string, counts bool) {
	set, size, parted := strings.Cut(part, "/")
	return set, !parted || size == largePart
}
