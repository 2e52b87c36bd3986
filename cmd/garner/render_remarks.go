package main

import (
	"slices"
	"strings"

	"garner/cull"
	"garner/cull/output"
)

// mostRemarks is how many different remarks are said of one run.
const mostRemarks = 6

// remark is what a person should know of files of a set.
type remark struct {
	set, text string
	files     []string // names in the set, with the picture where it is called otherwise
}

// remarks gathers them: hundreds of files may have the same.
type remarks []*remark

func (r *remarks) add(l output.Line) {
	text := strings.Join(l.Remarks, "; ")
	name := l.File
	if l.Picture != l.File {
		name += " of " + l.Picture
	}
	for _, known := range *r {
		if known.set == l.Set && known.text == text {
			known.files = append(known.files, name)
			return
		}
	}
	*r = append(*r, &remark{l.Set, text, []string{name}})
}

// sayRemarks says what was gathered, of damaged files first.
func (d desk) sayRemarks(list remarks) {
	slices.SortStableFunc(list, func(a, b *remark) int {
		switch x, y := strings.Contains(a.text, output.Damaged), strings.Contains(b.text, output.Damaged); {
		case x && !y:
			return -1
		case y && !x:
			return 1
		}
		return 0
	})
	for _, r := range list[:min(len(list), mostRemarks)] {
		if len(r.files) == 1 {
			d.sayf("sets/%s/%s: %s", cull.Plain(r.set), cull.Plain(r.files[0]), cull.Plain(r.text))
			continue
		}
		d.sayf("sets/%s, %s: %s: %s", cull.Plain(r.set), count(len(r.files), "file"), cull.Plain(r.text), some(r.files))
	}
	more := 0
	for _, r := range list[min(len(list), mostRemarks):] {
		more += len(r.files)
	}
	if more > 0 {
		d.sayf("remarks on %s more (render --json --force lists them)", count(more, "file"))
	}
}
