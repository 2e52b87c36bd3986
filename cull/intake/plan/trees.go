package plan

// tree is what a card has outside DCIM. It goes to one round as a whole, since
// its files know each other by their paths.
type tree struct {
	source int
	letter string // folder below clips/
	files  []*file
	rels   map[*file]string // portable path below the round
	keys   map[*file]string // Fold of it
}

// settleTree decides on the files of a card outside DCIM.
func (p *planner) settleTree(source int, letter string, files []*file) {
	t := tree{source: source, letter: letter, rels: map[*file]string{}, keys: map[*file]string{}}
	for _, f := range files {
		p.steps[f.step].Letter = letter
		if f.done {
			continue
		}
		rel, _ := portablePath(f.src.Path)
		t.files = append(t.files, f)
		t.rels[f], t.keys[f] = rel, Fold(rel)
	}
	p.knownInTrees(t)
	// Files whose names are equal by Fold are of different trees.
	var layers [][]*file
	count := map[string]int{}
	for _, f := range t.files {
		if f.done {
			continue
		}
		n := count[t.keys[f]]
		count[t.keys[f]]++
		if n == len(layers) {
			layers = append(layers, nil)
		}
		layers[n] = append(layers[n], f)
	}
	for _, layer := range layers {
		p.putTree(t, layer)
	}
}

func (t tree) top(r int) string { return join(clipsFolder, roundName(topOf(t.letter), r)) }

// knownInTrees finds the files that are below clips/ already, or at their own path.
func (p *planner) knownInTrees(t tree) {
	known := func(f *file, h *held) {
		if h != nil {
			h.answered = t.source + 1
			p.isKnown(f, h)
		}
	}
	for kind := range 3 {
		for _, f := range t.files {
			if f.done || !f.readable() || kind == 2 && f.src.Size < smallest {
				continue
			}
			text := withoutRound(join(Fold(t.top(1)), t.keys[f]))
			switch kind {
			case 1:
				text = f.key
			case 2:
				text = ""
			}
			known(f, p.answers.find(sameKey{"pnc"[kind], true, f.content(), text}, t.source))
		}
	}
	for _, f := range t.files {
		if f.done {
			continue
		}
		if h := p.taken.files[t.keys[f]]; h != nil && f.readable() && h.hasEnds && h.content == f.content() && h.answers(t.source) {
			known(f, h)
			continue
		}
		if s := f.stands; s != nil && s.held != nil && s.step < f.step {
			p.linkUnread(f, s.held)
		} else if s := f.stand; s != nil && s.held != nil && s.step < f.step {
			p.linkUnread(f, s.held)
		} else if h := p.treeBySight(t, f); h != nil {
			known(f, h)
		}
	}
}

// treeBySight is the job's only file of the path and size of one that could not be read.
func (p *planner) treeBySight(t tree, f *file) *held {
	if f.readable() {
		return nil
	}
	var found *held
	for _, h := range p.sights[withoutRound(join(Fold(t.top(1)), t.keys[f]))] {
		if h.aside || h.content.size != f.src.Size {
			continue
		}
		if found != nil {
			return nil
		}
		found = h
	}
	return found
}

// putTree gives files of a tree the first round in which none of their names is
// taken.
func (p *planner) putTree(t tree, files []*file) {
	var other *held // what is in the way in the first round
	r := 1
	for ; ; r++ {
		in := p.inTheWay(t, r, files)
		if in == nil && r == 1 || in == nil && p.noFolderOfAnother(t, r) {
			break
		}
		if other == nil && in != nil {
			other = in
		}
	}
	dir := p.taken.spell(t.top(r))
	for _, f := range files {
		home := join(dir, t.rels[f])
		if folder := dirOf(home); folder != "" {
			home = join(p.taken.spell(folder), f.name)
		}
		p.put(f, home, false)
		if r > 1 && other != nil {
			st := &p.steps[f.step]
			st.Notes, st.Other = append(st.Notes, NewRound), other.ref
		}
	}
}

func (p *planner) noFolderOfAnother(t tree, r int) bool {
	return !p.rounds[Fold(roundName(topOf(t.letter), r))]
}

// inTheWay is the first file that has the name of one of the tree in a round.
func (p *planner) inTheWay(t tree, r int, files []*file) *held {
	top := Fold(t.top(r))
	for _, f := range files {
		key := join(top, t.keys[f])
		if h := p.taken.files[key]; h != nil {
			return h
		}
		if p.taken.has(key) {
			return &held{step: -1, ref: Ref{-1, key}}
		}
	}
	return nil
}
