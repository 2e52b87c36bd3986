package plan

import (
	"path"
	"slices"

	"garner/cull/scan"
)

// planner is a plan in the making.
type planner struct {
	o       Options
	sources []Source
	steps   []Step
	files   []*file // by step

	taken     *taken
	answers   *answers
	known     map[content][]*held // of the job, by content
	sights    map[string][]*held  // of the job, by path but for the round
	seen      *exposures
	seenHeld  []*held           // by number in seen
	rounds    map[string]bool   // letters, folded: no round may be called so
	lastAside map[string]string // home → the last path aside that was given for it
}

// Make plans what becomes of each file of the sources, given what the job has.
// The same input gives the same plan.
func Make(sources []Source, have []Have, o Options) Plan {
	p := newPlanner(sources, have, o)
	findStandIns(p.files)
	var all [][]*object
	var majority []string
	n := 0
	for s, src := range sources {
		files := p.files[n : n+len(src.Files)]
		n += len(src.Files)
		objects, most := p.objectsOf(s, files)
		all, majority = append(all, objects), append(majority, most)
		p.giveDays(files, objects)
	}
	p.findContents()
	n = 0
	for s, src := range sources {
		files := p.files[n : n+len(src.Files)]
		n += len(src.Files)
		// Pictures come first, so that nothing else is taken for their companions.
		for _, o := range all[s] {
			if o.lead() != nil {
				p.settle(o)
			}
		}
		p.settleOthers(s, all[s])
		for _, o := range all[s] {
			if o.lead() == nil {
				p.settle(o)
			}
		}
		p.settleTree(s, majority[s], outside(files))
	}
	p.finish()
	return Plan{Steps: p.steps, Days: p.days(), Slots: p.slots()}
}

func newPlanner(sources []Source, have []Have, o Options) *planner {
	n := 0
	for _, s := range sources {
		n += len(s.Files)
	}
	p := &planner{o: o, sources: sources, steps: make([]Step, 0, n), files: make([]*file, 0, n),
		taken: newTaken(n + len(have)), answers: newAnswers(), known: map[content][]*held{}, sights: map[string][]*held{},
		seen: newExposures(), rounds: map[string]bool{}, lastAside: map[string]string{}}
	for _, letter := range o.Letters {
		p.rounds[Fold(topOf(letter))] = true
	}
	room := make([]file, n)
	for s := range sources {
		for i := range sources[s].Files {
			src := &sources[s].Files[i]
			f := &room[len(p.files)]
			name, _ := Portable(path.Base(src.Path))
			*f = file{src: src, step: len(p.files), source: s, name: name, key: Fold(name), tree: sources[s].DCIM && !inDCIM(src.Path)}
			if !f.tree { // a still among clips is part of its tree
				f.shot, f.broken = pictureOf(src.Path, &src.Shot), brokenFile(src)
			}
			p.files = append(p.files, f)
			p.steps = append(p.steps, Step{Source: s, File: i, After: -1, Twin: -1})
		}
	}
	for i := range have {
		h := holdJob(i, &have[i])
		p.hold(h)
		if h.hasEnds {
			p.known[h.content] = append(p.known[h.content], h)
		}
		sight := withoutRound(h.key)
		p.sights[sight] = append(p.sights[sight], h)
	}
	return p
}

// hold lets a file be found by name, content and exposure.
func (p *planner) hold(h *held) {
	p.taken.put(h)
	if h.shot == nil || h.broken {
		p.answers.add(h)
	}
	if h.shot != nil {
		p.seen.add(h.shot, scan.Stem(h.ref.Path))
		p.seenHeld = append(p.seenHeld, h)
	}
}

// same lists the files with a place that are of one exposure.
func (p *planner) same(f *file) []*held {
	var out []*held
	for _, i := range p.seen.find(f.shot, scan.Stem(f.src.Path)) {
		if h := p.seenHeld[i]; h.step != f.step {
			out = append(out, h)
		}
	}
	return out
}

// objectsOf puts a source's files into objects and gives them their letters.
func (p *planner) objectsOf(s int, files []*file) ([]*object, string) {
	src := p.sources[s]
	inside := files
	if src.DCIM {
		inside = nil
		for _, f := range files {
			if !f.tree {
				inside = append(inside, f)
			}
		}
	}
	letters := lettering{p.o.Letters}
	objects := group(s, src.DCIM, inside)
	if !src.DCIM {
		objects = letters.split(objects)
	}
	most := letters.give(objects, src.DCIM)
	for _, o := range objects {
		for _, f := range o.files {
			p.steps[f.step].Letter = o.letter
		}
	}
	return objects, most
}

// outside lists the files of a card that are outside DCIM.
func outside(files []*file) []*file {
	var out []*file
	for _, f := range files {
		if f.tree {
			out = append(out, f)
		}
	}
	return out
}

// giveDays finds the day of each file, and leaves those of others.
func (p *planner) giveDays(files []*file, objects []*object) {
	for _, o := range objects {
		var picture *scan.Exposure
		if lead := o.lead(); lead != nil {
			picture = lead.shot
		}
		for _, f := range o.files {
			f.day = dayOfFile(f, picture)
		}
	}
	for _, f := range files {
		if f.day == "" {
			f.day = dayOfFile(f, nil)
		}
		st := &p.steps[f.step]
		st.Day = f.day
		if len(p.o.Days) > 0 && !slices.Contains(p.o.Days, f.day) {
			st.Action, f.done = Leave, true
		}
	}
}

// days counts each source's files by day.
func (p *planner) days() []map[string]int {
	days := make([]map[string]int, len(p.sources))
	for i := range days {
		days[i] = map[string]int{}
	}
	for _, st := range p.steps {
		days[st.Source][st.Day]++
	}
	return days
}

// topOf is the top folder of a letter.
func topOf(letter string) string {
	if letter == "" {
		return unknownFolder
	}
	name, _ := Portable(letter)
	return name
}
