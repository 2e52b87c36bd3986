// Package way says how far a job has come from the cards to the disk that is free
// again, and which command leads on. It looks at nothing itself: all of it follows
// from what job.Status, output.Stands, closing.Stands and free.Look have counted.
package way

import (
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"

	"garner/cull"
	"garner/cull/closing"
	"garner/cull/job"
	"garner/cull/output"
)

// State is how far a step of the way is.
type State uint8

// The states of a step.
const (
	NotYet State = iota
	Partly
	Done
	NotNeeded // there is nothing to be done in it
)

// String gives the words of the state.
func (s State) String() string {
	return [...]string{"not yet", "partly", "done", "not needed"}[s]
}

// Step is one step, by the word for a job that has it behind it.
type Step struct {
	Name  string
	State State
	Text  string // how far, in a few words
}

// Way is all steps, in the order in which they are taken.
type Way []Step

// Bags is how it stands with the bags of a job, and with what they stand for.
type Bags struct {
	closing.Standing
	Freeing *Freeing // nil = that was not looked at
}

// Freeing is what a look at the originals that may be freed has found.
type Freeing struct {
	Go      int  // that may go now
	Waiting bool // for keepers that have no finished picture yet: until then nothing goes
}

// Of says where a job stands. Nil bags were not looked at: nothing is said of them.
func Of(s job.Status, sets output.Standing, bags *Bags) Way {
	w := Way{offloaded(s), prepared(s), decided(s), handedOff(s), finished(s, sets), rendered(s, sets)}
	if bags != nil {
		w = append(w, archived(bags), freed(s, bags))
	}
	return w
}

// offloaded: a folder that somebody filled by other means needs no cards.
func offloaded(s job.Status) Step {
	safe := 0
	for _, c := range s.Cards {
		if c.Safe {
			safe++
		}
	}
	step := Step{Name: "offloaded"}
	switch n := len(s.Cards); {
	case n == 0 && s.Frames == 0:
		step.Text = "no files"
	case n == 0:
		step.State, step.Text = NotNeeded, "the files came without an offload"
	case safe < n:
		step.State, step.Text = Partly, fmt.Sprintf("%d of %s safe to format", safe, count(n, "card"))
	default:
		step.State, step.Text = Done, count(n, "card")
	}
	return step
}

func prepared(s job.Status) Step {
	if s.Moments == 0 {
		return Step{Name: "prepared", Text: "no frames"}
	}
	return Step{"prepared", Done, count(s.Frames-s.Gone, "frame")}
}

// decided takes in later passes once they were begun: a pass that nobody has asked yet
// holds nothing up.
func decided(s job.Status) Step {
	step := Step{Name: "decided", Text: "no frames"}
	if len(s.Passes) == 0 {
		return step
	}
	keep := s.Passes[0]
	switch later := laterOpen(s); {
	case keep.All() == 0:
	case keep.Open == keep.All():
		step.Text = fmt.Sprintf("all %d open", keep.Open)
	case keep.Open > 0:
		step.State, step.Text = Partly, fmt.Sprintf("%d of %d open", keep.Open, keep.All())
	case later != nil:
		step.State, step.Text = Partly, fmt.Sprintf("%d of %d open in the pass %s", later.Open, later.All(), later.Pass.Name)
	default:
		step.State, step.Text = Done, fmt.Sprintf("%d kept, %d dropped", keep.Yes+keep.Part, keep.No)
	}
	return step
}

func handedOff(s job.Status) Step {
	switch {
	case s.HandedOver > 0:
		return Step{"handed off", Done, count(s.HandedOver, "sidecar")}
	case nothingKept(s):
		return Step{"handed off", NotNeeded, "nothing was kept"}
	}
	return Step{Name: "handed off", Text: "no sidecars"}
}

// finished compares numbers alone: which frame a picture shows, garner render finds out.
func finished(s job.Status, sets output.Standing) Step {
	step := Step{Name: "finished", Text: "no pictures in " + output.FinishedFolder}
	switch n, keepers := sets.Finished, kept(s); {
	case n > 0 && n < keepers:
		step.State, step.Text = Partly, fmt.Sprintf("%s of %d keepers", count(n, "picture"), keepers)
	case n > 0:
		step.State, step.Text = Done, count(n, "picture")
	case nothingKept(s):
		step.State, step.Text = NotNeeded, "nothing was kept"
	}
	return step
}

func rendered(s job.Status, sets output.Standing) Step {
	var cut []string
	for _, name := range slices.Sorted(maps.Keys(sets.Sets)) {
		cut = append(cut, fmt.Sprintf("%s %d", cull.Plain(name), sets.Sets[name]))
	}
	step := Step{Name: "rendered", Text: "no sets"}
	switch {
	case sets.Finished > 0 && sets.Waiting == 0 && len(cut) == 0:
		step.State, step.Text = NotNeeded, "no set is wanted"
	case sets.Waiting > 0 && len(cut) > 0:
		step.State, step.Text = Partly, fmt.Sprintf("%s to be cut", count(sets.Waiting, "picture"))
	case sets.Waiting > 0:
		step.Text = fmt.Sprintf("%s to be cut", count(sets.Waiting, "picture"))
	case len(cut) > 0:
		step.State, step.Text = Done, strings.Join(cut, ", ")
	case sets.Finished == 0 && nothingKept(s):
		step.State, step.Text = NotNeeded, "nothing was kept"
	}
	return step
}

// archived: what is newer than the bags, or is not proven of them, is said by status in
// full.
func archived(b *Bags) Step {
	proven := 0
	for _, bag := range b.Bags {
		if bag.There && bag.Proven {
			proven++
		}
	}
	n := len(b.Bags)
	step := Step{"archived", Partly, ""}
	switch newer := newerThan(b); {
	case n == 0:
		step.State, step.Text = NotYet, "no bag"
	case b.Run == 0 && slices.ContainsFunc(b.Bags, func(b closing.Bag) bool { return b.There }):
		step.Text = "not proven here"
	case b.Run == 0:
		step.Text = "it was not finished"
	case newer != "":
		step.Text = newer + " newer than the record"
	case b.Touched > 0:
		step.Text = count(b.Touched, "file") + " to be read again"
	case proven < n:
		step.Text = fmt.Sprintf("%d of %s read back and there", proven, count(n, "bag"))
	default:
		step.State, step.Text = Done, count(n, "bag")
	}
	return step
}

// Archived reports whether the bags of a job have all that they should have.
func Archived(s closing.Standing) bool { return archived(&Bags{Standing: s}).State == Done }

func newerThan(b *Bags) string {
	var parts []string
	if b.Changed > 0 {
		parts = append(parts, count(b.Changed, "file"))
	}
	switch {
	case b.Entries == 1:
		parts = append(parts, "1 journal entry")
	case b.Entries > 1:
		parts = append(parts, fmt.Sprintf("%d journal entries", b.Entries))
	}
	return strings.Join(parts, " and ")
}

// freed counts originals that the bags hold small pictures of. Those that a look has found
// to stay, as ones that nobody saw before they were dropped, hold nothing up.
func freed(s job.Status, b *Bags) Step {
	step := Step{Name: "freed", Text: "no original"}
	stay := 0
	if b.Freeing != nil && !b.Freeing.Waiting {
		stay = max(b.Small-b.Freeing.Go, 0)
	}
	switch {
	case s.Freed > 0 && b.Small > stay:
		step.State, step.Text = Partly, fmt.Sprintf("%d of %s", s.Freed, count(s.Freed+b.Small, "original"))
	case s.Freed > 0:
		step.State, step.Text = Done, count(s.Freed, "original")
	case b.Small > stay:
		step.Text = fmt.Sprintf("%s of dropped frames", count(b.Small, "original"))
	case stay > 0:
		step.State = NotNeeded
	case b.Run > 0 || nothingDropped(s) || len(s.Passes) > 0 && s.Passes[0].No > 0 && s.Passes[0].No <= s.Pictured:
		step.State, step.Text = NotNeeded, "no original can be given up"
	}
	if b.Small > 0 && b.Small == stay {
		step.Text += fmt.Sprintf("; %s of dropped frames may not go", count(stay, "original"))
	}
	return step
}

// Line is the way in one line: what is done, what is on the way and how far, and what is
// to come.
func (w Way) Line() string {
	var done, coming, parts []string
	for _, s := range w {
		switch s.State {
		case Done:
			done = append(done, s.Name)
		case NotYet:
			coming = append(coming, s.Name)
		}
	}
	if len(done) > 0 {
		parts = append(parts, strings.Join(done, ", "))
	}
	for _, s := range w {
		if s.State == Partly {
			parts = append(parts, "partly "+s.Name+": "+s.Text)
		}
	}
	if len(coming) > 0 {
		parts = append(parts, "to come: "+strings.Join(coming, ", "))
	}
	return strings.Join(parts, "; ")
}

// Words are how a job and the folders of its bags are called in a command line.
type Words struct {
	Job   string
	Quote func(string) string // makes one word of a folder; nil = it is one
}

// Next is the command that leads on, or what has to be done first. Nil bags were not looked
// at.
func Next(w Words, s job.Status, sets output.Standing, bags *Bags) string {
	later := laterOpen(s)
	back := sets.Finished > 0 || nothingKept(s) // nothing is waited for any more
	switch {
	case s.Frames == 0 || s.Moments == 0:
		return "garner prepare " + w.Job
	case len(s.Passes) > 0 && s.Passes[0].Open > 0:
		return "garner cull " + w.Job
	case s.HandedOver == 0 && later != nil:
		return "garner cull " + w.Job + " --pass " + later.Pass.Name
	case s.HandedOver == 0 && !nothingKept(s):
		return "garner handoff " + w.Job
	case sets.Waiting > 0:
		return "garner render " + w.Job
	case bags != nil && back && archived(bags).State != Done:
		return w.archive(bags)
	case bags != nil && back && bags.Small > 0 && (bags.Freeing == nil || bags.Freeing.Go > 0 && !bags.Freeing.Waiting):
		return "garner archive " + w.Job + " --free --dry-run"
	case s.InManifest == 0:
		return "garner verify " + w.Job + " --record"
	case AtTheEditor(s, sets), back && bags != nil && bags.Freeing != nil && bags.Freeing.Waiting:
		return "garner render " + w.Job
	}
	return "garner verify " + w.Job
}

// archive brings all bags that can be reached up to date. One that is away or not whole
// leads on by nothing that could be typed for sure: a person has to see to it.
func (w Words) archive(b *Bags) string {
	quote := func(dir string) string {
		if w.Quote == nil {
			return dir
		}
		return w.Quote(dir)
	}
	var shelves []string
	away, ready := "", newerThan(b) == "" && b.Run > 0
	for _, bag := range b.Bags {
		if bag.Broken {
			return "see what is wrong: garner archive --check " + quote(bag.Dir) + ", and where that cannot be mended: garner archive " + w.Job + " --forget " + quote(bag.Dir)
		}
		if bag.Away {
			away = bag.Dir
			continue
		}
		shelves = append(shelves, quote(filepath.Dir(bag.Dir)))
		ready = ready && bag.There && bag.Proven
	}
	if away != "" && ready && len(shelves) > 0 {
		return "connect the disk of " + cull.Plain(away) + ", or if it is gone for good: garner archive " + w.Job + " --forget " + quote(away)
	}
	if len(shelves) == 0 {
		shelves = []string{"DIR"}
	}
	command := "garner archive " + w.Job + " --to " + strings.Join(shelves, " --also ")
	if b.Sets {
		command += " --sets"
	}
	if b.SmallPx > 0 {
		command += fmt.Sprintf(" --small %d", b.SmallPx)
	}
	return command
}

// AtTheEditor reports whether keepers were handed over and no picture of them has come
// back: what leads on then is not a command alone.
func AtTheEditor(s job.Status, sets output.Standing) bool {
	return s.HandedOver > 0 && sets.Finished == 0 && !nothingKept(s)
}

// laterOpen is the first later pass with open frames that was begun.
func laterOpen(s job.Status) *job.PassCount {
	for i := range s.Passes {
		if p := &s.Passes[i]; i > 0 && p.Open > 0 && p.Yes+p.No > 0 {
			return p
		}
	}
	return nil
}

// kept is how many frames an editor is given.
func kept(s job.Status) int {
	if len(s.Passes) == 0 {
		return 0
	}
	return s.Passes[0].Yes + s.Passes[0].Part
}

// nothingKept reports whether every frame was decided and none is wanted.
func nothingKept(s job.Status) bool {
	return len(s.Passes) > 0 && s.Passes[0].All() > 0 && s.Passes[0].Open == 0 && kept(s) == 0
}

func nothingDropped(s job.Status) bool {
	return len(s.Passes) > 0 && s.Passes[0].All() > 0 && s.Passes[0].Open == 0 && s.Passes[0].No == 0
}

func count(n int, noun string) string {
	if n != 1 {
		noun += "s"
	}
	return fmt.Sprintf("%d %s", n, noun)
}
