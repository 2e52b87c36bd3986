package plan

import (
	"cmp"
	"path"
	"slices"
	"strings"
	"time"

	"garner/cull/scan"
)

// shown is one exposure with the files that the sources have of it.
type shown struct {
	letter string
	at     time.Time     // zero = unknown
	on     map[int]*file // by source: the leading file
}

// slotKey is what a source has of one body.
type slotKey struct {
	source int
	letter string
}

// span is the time that a source's exposures of a body cover.
type span struct {
	count       int
	first, last time.Time
}

// slots compares the sources that were two slots of one body: those that share at
// least half of what the smaller one has of it, as twins or as raw and JPEG.
func (p *planner) slots() []Slots {
	all := p.exposures()
	type pairKey struct {
		a, b   int
		letter string
	}
	spans := map[slotKey]*span{}
	shared := map[pairKey]int{}
	for _, e := range all {
		on := sortedKeys(e.on)
		for i, a := range on {
			k := slotKey{a, e.letter}
			if spans[k] == nil {
				spans[k] = &span{}
			}
			spans[k].add(e.at)
			for _, b := range on[i+1:] {
				shared[pairKey{a, b, e.letter}]++
			}
		}
	}
	var pairs []pairKey
	for k, n := range shared {
		if 2*n >= min(spans[slotKey{k.a, k.letter}].count, spans[slotKey{k.b, k.letter}].count) {
			pairs = append(pairs, k)
		}
	}
	slices.SortFunc(pairs, func(x, y pairKey) int {
		return cmp.Or(cmp.Compare(x.a, y.a), cmp.Compare(x.b, y.b), cmp.Compare(x.letter, y.letter))
	})
	var out []Slots
	for _, k := range pairs {
		s := Slots{A: k.a, B: k.b, Letter: k.letter, Shared: shared[k], Missing: p.missing(all, k.a, k.b, k.letter, spans)}
		back := p.missing(all, k.b, k.a, k.letter, spans)
		if len(s.Missing) > 0 || len(back) == 0 {
			out = append(out, s)
		}
		if len(back) > 0 {
			out = append(out, Slots{A: k.b, B: k.a, Letter: k.letter, Shared: s.Shared, Missing: back})
		}
	}
	return out
}

// missing names what a has and b lacks. What was taken before b's first exposure
// was not meant for it; what came after its last was, unless a third source has
// it: the next card of that slot.
func (p *planner) missing(all []*shown, a, b int, letter string, spans map[slotKey]*span) []string {
	covers := spans[slotKey{b, letter}]
	var lost []*shown
	for _, e := range all {
		if e.letter != letter || e.on[a] == nil || e.on[b] != nil || !e.at.IsZero() && e.at.Before(covers.first) {
			continue
		}
		if e.at.After(covers.last) && len(e.on) > 1 {
			continue
		}
		lost = append(lost, e)
	}
	slices.SortStableFunc(lost, func(x, y *shown) int { return x.at.Compare(y.at) })
	names := make([]string, 0, len(lost))
	for _, e := range lost {
		home := p.homeOf(e.on[a])
		names = append(names, strings.TrimSuffix(home, path.Ext(home)))
	}
	return names
}

// homeOf is where a file lies, or would lie if it were not aside.
func (p *planner) homeOf(f *file) string {
	if h := f.place(); h != nil {
		return h.home
	}
	return p.steps[f.step].To
}

func (s *span) add(t time.Time) {
	s.count++
	if t.IsZero() {
		return
	}
	if s.first.IsZero() || t.Before(s.first) {
		s.first = t
	}
	if t.After(s.last) {
		s.last = t
	}
}

// exposures lists the exposures of the sources whose body has a letter, in the
// order of the steps.
func (p *planner) exposures() []*shown {
	if len(p.sources) < 2 {
		return nil
	}
	letters := lettering{p.o.Letters}
	x := newExposures()
	var of []*shown // by number in x
	var all []*shown
	for _, f := range p.files {
		if f.shot == nil || p.steps[f.step].Action == Leave {
			continue
		}
		stem := scan.Stem(f.src.Path)
		var e *shown
		for _, i := range x.find(f.shot, stem) {
			if e == nil || of[i] != e && of[i].on[f.source] == nil && e.on[f.source] != nil {
				e = of[i]
			}
		}
		if e == nil {
			e = &shown{on: map[int]*file{}}
			all = append(all, e)
		}
		x.add(f.shot, stem)
		of = append(of, e)
		if e.letter == "" {
			e.letter = letters.of(f.shot)
		}
		if e.at.IsZero() {
			e.at = f.shot.Taken.Wall
		}
		if lead := e.on[f.source]; lead == nil || f.shot.Class < lead.shot.Class {
			e.on[f.source] = f
		}
	}
	return slices.DeleteFunc(all, func(e *shown) bool { return e.letter == "" })
}

func sortedKeys(m map[int]*file) []int {
	keys := make([]int, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
