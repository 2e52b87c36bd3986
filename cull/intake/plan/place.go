package plan

import (
	"slices"
	"strings"
)

// roundFor chooses the round of an object: that in which files of its exposure
// lie under its name, else the first in which nothing has the name.
func (p *planner) roundFor(o *object, open []*file, anchors []*held) int {
	var rounds []int
	for _, h := range anchors {
		if r := p.roundOfHeld(o, h); r > 0 {
			rounds = append(rounds, r)
		}
	}
	for _, f := range o.files {
		if f.leader != nil && f.shot == nil {
			if r := p.roundOfHeld(o, f.leader); r > 0 {
				rounds = append(rounds, r)
			}
		}
	}
	slices.Sort(rounds)
	for _, r := range slices.Compact(rounds) {
		if len(open) == 0 || p.fits(o, r, open, anchors) {
			return r
		}
	}
	if len(open) == 0 {
		return 1
	}
	return p.freeRound(o)
}

// roundOfHeld is the round of the object in which a file lies under one of the
// object's names, 0 for none.
func (p *planner) roundOfHeld(o *object, h *held) int {
	top, rest, ok := strings.Cut(h.key, "/")
	if !ok || !slices.Contains(o.stems, h.stemKey()) || dirOf(rest) != o.relKey {
		return 0
	}
	return roundOf(Fold(topOf(o.letter)), top)
}

func (p *planner) dirKey(o *object, r int) string {
	return join(Fold(roundName(topOf(o.letter), r)), o.relKey)
}

// fits reports whether files can join the exposure's own in a round: no name of
// theirs is taken, and every picture of these names is of the exposure.
func (p *planner) fits(o *object, r int, open []*file, anchors []*held) bool {
	dir := p.dirKey(o, r)
	for _, f := range open {
		if p.taken.has(join(dir, f.key)) {
			return false
		}
	}
	for _, stem := range o.stems {
		for _, h := range p.taken.stems[place{dir, stem}] {
			if h.picture() && !slices.Contains(anchors, h) {
				return false
			}
		}
	}
	return true
}

// freeRound is the first round in which nothing has one of the object's names.
func (p *planner) freeRound(o *object) int {
	top := topOf(o.letter)
	begin := place{p.dirKey(o, 1), o.stems[0]}
	for r := max(p.taken.next[begin], 1); ; r++ {
		if r > 1 && p.rounds[Fold(roundName(top, r))] {
			continue // the folder of another body
		}
		dir := p.dirKey(o, r)
		if p.isFree(o, dir) {
			if len(o.stems) == 1 {
				p.taken.next[begin] = r
			}
			return r
		}
	}
}

func (p *planner) isFree(o *object, dir string) bool {
	for _, stem := range o.stems {
		if len(p.taken.stems[place{dir, stem}]) > 0 {
			return false
		}
	}
	for _, f := range o.files {
		if p.taken.has(join(dir, f.key)) {
			return false
		}
	}
	return true
}
