package way_test

import (
	"slices"
	"testing"

	"garner/cull"
	"garner/cull/closing"
	"garner/cull/job"
	"garner/cull/output"
	"garner/cull/way"
)

// pass is how far a pass has come.
func pass(name string, yes, no, part, open int) job.PassCount {
	return job.PassCount{Pass: cull.Pass{Name: name}, Counts: cull.Counts{Yes: yes, No: no, Part: part, Open: open}}
}

func counted(frames int, passes ...job.PassCount) job.Status {
	return job.Status{Counts: job.Counts{Frames: frames, Moments: frames, Passes: passes}}
}

// One job, from the empty folder to its sets.
func TestTheWayOfAJob(t *testing.T) {
	decided := func() job.Status { return counted(10, pass("keep", 5, 4, 1, 0)) }
	with := func(s job.Status, change func(*job.Status)) job.Status { change(&s); return s }
	handed := with(decided(), func(s *job.Status) { s.HandedOver = 6 })
	cases := []struct {
		name string
		s    job.Status
		sets output.Standing
		line string
		next string
	}{
		{"empty", job.Status{}, output.Standing{},
			"to come: offloaded, prepared, decided, handed off, finished, rendered", "garner prepare J"},
		{"a card that is not safe", with(counted(10, pass("keep", 0, 0, 0, 10)), func(s *job.Status) { s.Cards = []job.Card{{Safe: true}, {}} }), output.Standing{},
			"prepared; partly offloaded: 1 of 2 cards safe to format; to come: decided, handed off, finished, rendered", "garner cull J"},
		{"all cards safe", with(counted(10, pass("keep", 0, 0, 0, 10)), func(s *job.Status) { s.Cards = []job.Card{{Safe: true}} }), output.Standing{},
			"offloaded, prepared; to come: decided, handed off, finished, rendered", "garner cull J"},
		{"no cards at all", counted(10, pass("keep", 0, 0, 0, 10)), output.Standing{},
			"prepared; to come: decided, handed off, finished, rendered", "garner cull J"},
		{"half decided", counted(10, pass("keep", 2, 3, 0, 5)), output.Standing{},
			"prepared; partly decided: 5 of 10 open; to come: handed off, finished, rendered", "garner cull J"},
		{"a later pass nobody has begun", counted(10, pass("keep", 5, 5, 0, 0), pass("album", 0, 0, 0, 5)), output.Standing{},
			"prepared, decided; to come: handed off, finished, rendered", "garner handoff J"},
		{"a later pass half done", counted(10, pass("keep", 5, 5, 0, 0), pass("album", 1, 0, 0, 4)), output.Standing{},
			"prepared; partly decided: 4 of 5 open in the pass album; to come: handed off, finished, rendered", "garner cull J --pass album"},
		{"decided", decided(), output.Standing{},
			"prepared, decided; to come: handed off, finished, rendered", "garner handoff J"},
		{"all dropped", counted(10, pass("keep", 0, 10, 0, 0)), output.Standing{},
			"prepared, decided", "garner verify J --record"},
		{"handed off", handed, output.Standing{},
			"prepared, decided, handed off; to come: finished, rendered", "garner verify J --record"},
		{"handed off and recorded", with(handed, func(s *job.Status) { s.InManifest = 10 }), output.Standing{},
			"prepared, decided, handed off; to come: finished, rendered", "garner render J"},
		{"some pictures back", handed, output.Standing{Finished: 2, Waiting: 2},
			"prepared, decided, handed off; partly finished: 2 pictures of 6 keepers; to come: rendered", "garner render J"},
		{"some sets cut", handed, output.Standing{Finished: 6, Waiting: 1, Sets: map[string]int{"lab": 5}},
			"prepared, decided, handed off, finished; partly rendered: 1 picture to be cut", "garner render J"},
		{"sets cut", with(handed, func(s *job.Status) { s.InManifest = 10 }), output.Standing{Finished: 6, Sets: map[string]int{"lab": 6, "online": 6}},
			"prepared, decided, handed off, finished, rendered", "garner verify J"},
		{"no set is wanted", handed, output.Standing{Finished: 6},
			"prepared, decided, handed off, finished", "garner verify J --record"},
	}
	for _, c := range cases {
		if got := way.Of(c.s, c.sets, nil).Line(); got != c.line {
			t.Errorf("%s: the way is %q, want %q", c.name, got, c.line)
		}
		if got := way.Next("J", c.s, c.sets, nil); got != c.next {
			t.Errorf("%s: next is %q, want %q", c.name, got, c.next)
		}
	}
}

// Every step says how far it is, whatever its state: programs show the text.
func TestStepsSayHowFar(t *testing.T) {
	s := counted(10, pass("keep", 5, 4, 1, 0))
	s.Cards, s.HandedOver, s.Gone = []job.Card{{Safe: true}, {Safe: true}}, 6, 1
	want := way.Way{
		{"offloaded", way.Done, "2 cards"}, {"prepared", way.Done, "9 frames"}, {"decided", way.Done, "6 kept, 4 dropped"},
		{"handed off", way.Done, "6 sidecars"}, {"finished", way.Done, "6 pictures"}, {"rendered", way.Done, "lab 6, online 5"},
	}
	if got := way.Of(s, output.Standing{Finished: 6, Sets: map[string]int{"online": 5, "lab": 6}}, nil); !slices.Equal(got, want) {
		t.Errorf("the way is %v, want %v", got, want)
	}
	for _, step := range way.Of(job.Status{}, output.Standing{}, &closing.Standing{}) {
		if step.State != way.NotYet || step.Text == "" {
			t.Errorf("of an empty job %s is %s, %q", step.Name, step.State, step.Text)
		}
	}
}

// The end of the way: bags, and what may be given up once they are proven.
func TestTheEndOfTheWay(t *testing.T) {
	s := counted(10, pass("keep", 5, 4, 1, 0))
	s.HandedOver, s.InManifest = 6, 10
	sets := output.Standing{Finished: 6, Sets: map[string]int{"lab": 6}}
	bag := closing.Bag{There: true, Proven: true}
	freed := func(n int) job.Status { s := s; s.Freed = n; return s }
	pictured := s
	pictured.Pictured = 4
	const archive, free, verify = "garner archive J --to DIR", "garner archive J --free --dry-run", "garner verify J"
	cases := []struct {
		name           string
		s              job.Status
		bags           closing.Standing
		archived, free way.Step
		next           string
	}{
		{"no bag", s, closing.Standing{}, way.Step{"archived", way.NotYet, "no bag"}, way.Step{"freed", way.NotYet, "no original"}, archive},
		{"broken off", s, closing.Standing{Bags: []closing.Bag{{}}}, way.Step{"archived", way.Partly, "it was not finished"}, way.Step{"freed", way.NotYet, "no original"}, archive},
		{"opened from a bag", pictured, closing.Standing{Bags: []closing.Bag{{There: true}}}, way.Step{"archived", way.Partly, "not proven here"}, way.Step{"freed", way.NotNeeded, "no original can be given up"}, archive},
		{"archived", s, closing.Standing{Bags: []closing.Bag{bag, bag}, Run: 1, Small: 4}, way.Step{"archived", way.Done, "2 bags"}, way.Step{"freed", way.NotYet, "4 originals of dropped frames"}, free},
		{"one bag is away", s, closing.Standing{Bags: []closing.Bag{bag, {Proven: true}}, Run: 1, Small: 4}, way.Step{"archived", way.Partly, "1 of 2 bags read back and there"}, way.Step{"freed", way.NotYet, "4 originals of dropped frames"}, archive},
		{"something new", s, closing.Standing{Bags: []closing.Bag{bag}, Run: 1, Changed: 1, Entries: 2}, way.Step{"archived", way.Partly, "1 file and 2 journal entries newer than the record"}, way.Step{"freed", way.NotNeeded, "no original can be given up"}, archive},
		{"half freed", freed(3), closing.Standing{Bags: []closing.Bag{bag}, Run: 1, Small: 1}, way.Step{"archived", way.Done, "1 bag"}, way.Step{"freed", way.Partly, "3 of 4 originals"}, free},
		{"freed", freed(4), closing.Standing{Bags: []closing.Bag{bag}, Run: 1}, way.Step{"archived", way.Done, "1 bag"}, way.Step{"freed", way.Done, "4 originals"}, verify},
	}
	for _, c := range cases {
		w := way.Of(c.s, sets, &c.bags)
		if w[6] != c.archived || w[7] != c.free {
			t.Errorf("%s: %v, %v", c.name, w[6], w[7])
		}
		if got := way.Next("J", c.s, sets, &c.bags); got != c.next {
			t.Errorf("%s: next is %q", c.name, got)
		}
	}
	// While pictures are waited for nothing leads to the archive.
	if got := way.Next("J", s, output.Standing{}, &closing.Standing{}); got != "garner render J" {
		t.Errorf("before the pictures are back, next is %q", got)
	}
}
