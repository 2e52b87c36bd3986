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
		if got := way.Next(way.Words{Job: "J"}, c.s, c.sets, nil); got != c.next {
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
	for _, step := range way.Of(job.Status{}, output.Standing{}, &way.Bags{}) {
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
	bag := closing.Bag{Dir: "/one/J", There: true, Proven: true}
	second := closing.Bag{Dir: "/two/J", There: true, Proven: true}
	away := closing.Bag{Dir: "/two/J", Proven: true, Away: true}
	freed := func(n int) job.Status { s := s; s.Freed = n; return s }
	looked := func(n int, waiting bool) *way.Freeing { return &way.Freeing{Go: n, Waiting: waiting} }
	pictured := s
	pictured.Pictured = 4
	const to, free, verify = "garner archive J --to DIR", "garner archive J --free --dry-run", "garner verify J"
	const again = "garner archive J --to /one"
	cases := []struct {
		name           string
		s              job.Status
		bags           closing.Standing
		freeing        *way.Freeing
		archived, free way.Step
		next           string
	}{
		{"no bag", s, closing.Standing{}, nil, way.Step{"archived", way.NotYet, "no bag"}, way.Step{"freed", way.NotYet, "no original"}, to},
		{"broken off", s, closing.Standing{Bags: []closing.Bag{{Dir: "/one/J"}}}, nil, way.Step{"archived", way.Partly, "it was not finished"}, way.Step{"freed", way.NotYet, "no original"}, again},
		{"opened from a bag", pictured, closing.Standing{Bags: []closing.Bag{{Dir: "/one/J", There: true}}}, nil, way.Step{"archived", way.Partly, "not proven here"}, way.Step{"freed", way.NotNeeded, "no original can be given up"}, again},
		{"archived", s, closing.Standing{Bags: []closing.Bag{bag, second}, Run: 1, Small: 4}, nil, way.Step{"archived", way.Done, "2 bags"}, way.Step{"freed", way.NotYet, "4 originals of dropped frames"}, free},
		{"archived, and looked at", s, closing.Standing{Bags: []closing.Bag{bag}, Run: 1, Small: 4}, looked(3, false), way.Step{"archived", way.Done, "1 bag"}, way.Step{"freed", way.NotYet, "4 originals of dropped frames"}, free},
		{"none may go", s, closing.Standing{Bags: []closing.Bag{bag}, Run: 1, Small: 4}, looked(0, false), way.Step{"archived", way.Done, "1 bag"}, way.Step{"freed", way.NotNeeded, "no original; 4 originals of dropped frames may not go"}, verify},
		{"keepers are waited for", s, closing.Standing{Bags: []closing.Bag{bag}, Run: 1, Small: 4}, looked(4, true), way.Step{"archived", way.Done, "1 bag"}, way.Step{"freed", way.NotYet, "4 originals of dropped frames"}, "garner render J"},
		{"one bag is away", s, closing.Standing{Bags: []closing.Bag{bag, away}, Run: 1, Small: 4}, nil, way.Step{"archived", way.Partly, "1 of 2 bags read back and there"}, way.Step{"freed", way.NotYet, "4 originals of dropped frames"}, "connect the disk of /two/J, or if it is gone for good: garner archive J --forget /two/J"},
		{"one bag is away, and something is new", s, closing.Standing{Bags: []closing.Bag{bag, away}, Run: 1, Entries: 1}, nil, way.Step{"archived", way.Partly, "1 journal entry newer than the record"}, way.Step{"freed", way.NotNeeded, "no original can be given up"}, again},
		{"all bags are away", s, closing.Standing{Bags: []closing.Bag{away}, Run: 1}, nil, way.Step{"archived", way.Partly, "0 of 1 bag read back and there"}, way.Step{"freed", way.NotNeeded, "no original can be given up"}, to},
		{"a bag is broken", s, closing.Standing{Bags: []closing.Bag{bag, {Dir: "/two/J", Broken: true}}, Run: 1}, nil, way.Step{"archived", way.Partly, "1 of 2 bags read back and there"}, way.Step{"freed", way.NotNeeded, "no original can be given up"}, "see what is wrong: garner archive --check /two/J, and where that cannot be mended: garner archive J --forget /two/J"},
		{"something new", s, closing.Standing{Bags: []closing.Bag{bag, second}, Run: 1, Changed: 1, Entries: 2, Sets: true, SmallPx: 2048}, nil, way.Step{"archived", way.Partly, "1 file and 2 journal entries newer than the record"}, way.Step{"freed", way.NotNeeded, "no original can be given up"}, again + " --also /two --sets --small 2048"},
		{"half freed", freed(3), closing.Standing{Bags: []closing.Bag{bag}, Run: 1, Small: 1}, nil, way.Step{"archived", way.Done, "1 bag"}, way.Step{"freed", way.Partly, "3 of 4 originals"}, free},
		{"freed but for what stays", freed(3), closing.Standing{Bags: []closing.Bag{bag}, Run: 1, Small: 1}, looked(0, false), way.Step{"archived", way.Done, "1 bag"}, way.Step{"freed", way.Done, "3 originals; 1 original of dropped frames may not go"}, verify},
		{"freed", freed(4), closing.Standing{Bags: []closing.Bag{bag}, Run: 1}, nil, way.Step{"archived", way.Done, "1 bag"}, way.Step{"freed", way.Done, "4 originals"}, verify},
	}
	for _, c := range cases {
		bags := way.Bags{Standing: c.bags, Freeing: c.freeing}
		w := way.Of(c.s, sets, &bags)
		if w[6] != c.archived || w[7] != c.free {
			t.Errorf("%s: %v, %v", c.name, w[6], w[7])
		}
		if got := way.Next(way.Words{Job: "J"}, c.s, sets, &bags); got != c.next {
			t.Errorf("%s: next is %q", c.name, got)
		}
	}
	// While pictures are waited for nothing leads to the archive.
	if got := way.Next(way.Words{Job: "J"}, s, output.Standing{}, &way.Bags{}); got != "garner render J" {
		t.Errorf("before the pictures are back, next is %q", got)
	}
}
