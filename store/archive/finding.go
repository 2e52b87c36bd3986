package archive

import (
	"cmp"
	"fmt"
	"slices"
)

// Kind is what a finding is about.
type Kind uint8

// The kinds of findings.
const (
	Form      Kind = iota // a tag file is not written as BagIt says
	Missing               // listed and not there
	Unlisted              // there and not listed
	Differs               // has other bytes than those listed
	Unread                // could not be read
	Irregular             // a link, pipe or device: a bag holds files
	Unfetched             // to be had from elsewhere, by fetch.txt
	Growing               // files are being added, or that was interrupted
)

var kindNames = [...]string{"form", "missing", "unlisted", "differs", "unreadable", "irregular", "unfetched", "growing"}

// String returns the kind as one word.
func (k Kind) String() string { return kindNames[k] }

// Finding is something about a bag that a person has to know. Path and What hold
// bytes of the bag: clean them before they reach a terminal.
type Finding struct {
	Fault bool // the bag is not valid; else a warning
	Kind  Kind
	Path  string // in the bag, "/"-separated; empty: the bag
	What  string // goes on where the path ends: "is missing"
}

// String returns the finding as a sentence without a full stop.
func (f Finding) String() string {
	if f.Path == "" {
		return "the bag " + f.What
	}
	return f.Path + " " + f.What
}

// maxFindings is how many faults, and how many warnings, are kept: a file of
// millions of lines that all are wrong must not fill the memory.
const maxFindings = 5000

// findings collects.
type findings struct {
	faults, warnings []Finding
	more             int // that were not kept
}

func (f *findings) add(list *[]Finding, n Finding) {
	if len(*list) == maxFindings {
		f.more++
		return
	}
	*list = append(*list, n)
}

func (f *findings) fault(kind Kind, path, format string, args ...any) {
	f.add(&f.faults, Finding{true, kind, path, fmt.Sprintf(format, args...)})
}

func (f *findings) warn(kind Kind, path, format string, args ...any) {
	f.add(&f.warnings, Finding{false, kind, path, fmt.Sprintf(format, args...)})
}

// since is a fault in bags of version 1.0, and a warning in those of before, whose
// rules were laxer.
func (f *findings) since(v version, path, format string, args ...any) {
	if v.strict() {
		f.fault(Form, path, format, args...)
	} else {
		f.warn(Form, path, format, args...)
	}
}

// sorted returns the faults, then the warnings, each by path and said once.
func (f *findings) sorted() []Finding {
	for _, list := range []*[]Finding{&f.faults, &f.warnings} {
		slices.SortStableFunc(*list, func(a, b Finding) int {
			return cmp.Or(cmp.Compare(a.Path, b.Path), cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.What, b.What))
		})
		*list = slices.Compact(*list)
	}
	return slices.Concat(f.faults, f.warnings)
}
