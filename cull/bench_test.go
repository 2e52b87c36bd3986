package cull

import (
	"fmt"
	"testing"
	"time"
)

// bigJob is 20,000 frames in bursts of five.
func bigJob() (Layout, map[ID]string) {
	sizes := make([]int, 4000)
	for i := range sizes {
		sizes[i] = 5
	}
	return testLayout(sizes...)
}

// bigJournal decides every frame of the job once.
func bigJournal(l Layout) []Entry {
	journal := make([]Entry, len(l.Places))
	for i, p := range l.Places {
		journal[i] = Entry{Seq: uint64(i + 1), At: at(int64(i)), Who: "anna", Verb: VerbAnswer, Pass: KeepPass,
			Changes: []Change{{p.Frame, Open, Answer(1 + i%2), true, true}}}
	}
	return journal
}

// BenchmarkKey is what the reducer adds to one key of the station: plan, text
// of the journal line, commit with the cursor's move, counts.
func BenchmarkKey(b *testing.B) {
	l, names := bigJob()
	s := NewSession(l, names)
	for i := 0; b.Loop(); i++ {
		if i%len(l.Places) == len(l.Places)-1 { // begin again before nothing is open
			b.StopTimer()
			s = NewSession(l, names)
			b.StartTimer()
		}
		e, err := s.Plan(Decide{Pass: KeepPass, Frames: []ID{s.Cursor()}, Answer: Yes, Shown: true}, time.UnixMilli(int64(i)), "anna")
		if err != nil {
			b.Fatal(err)
		}
		_ = FormatEntry(e)
		if err := s.Commit(e); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkKeyNothingOpen is the same where the search for an open frame goes
// round the whole job in vain.
func BenchmarkKeyNothingOpen(b *testing.B) {
	l, names := bigJob()
	s := NewSession(l, names)
	for _, e := range bigJournal(l) {
		if err := s.Commit(e); err != nil {
			b.Fatal(err)
		}
	}
	for i := 0; b.Loop(); i++ {
		e, err := s.Plan(Decide{Pass: KeepPass, Frames: []ID{s.Cursor()}, Answer: Answer(1 + i%2), Shown: true}, time.UnixMilli(int64(i)), "anna")
		if err != nil {
			continue
		}
		if err := s.Commit(e); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkProgress(b *testing.B) {
	l, names := bigJob()
	s := NewSession(l, names)
	for b.Loop() {
		s.Progress(KeepPass)
	}
}

// BenchmarkReplay reads and commits a journal of 20,000 lines.
func BenchmarkReplay(b *testing.B) {
	l, names := bigJob()
	journal := bigJournal(l)
	lines := make([]string, len(journal))
	for i, e := range journal {
		lines[i] = FormatEntry(e)
	}
	for b.Loop() {
		s := NewSession(l, names)
		for _, line := range lines {
			e, err := ParseEntry(line)
			if err != nil {
				b.Fatal(err)
			}
			if err := s.Commit(e); err != nil {
				b.Fatal(err)
			}
		}
	}
}

// A job in which every frame has a former id: each may cost a step, not a look at
// all the others (a hundred thousand of those looks take minutes).
func TestManyAliases(t *testing.T) {
	const n = 100_000
	l, names := testLayout(1, 1)
	s := NewSession(l, names)
	began := time.Now()
	for i := range n {
		s.SetAlias(ID(fmt.Sprintf("former%010d", i)), ID(fmt.Sprintf("later%011d", i%(n/2))))
	}
	s.SetAlias("later00000000007", "newest0000000007")
	for _, former := range []ID{"former0000000007", "former0000050007", "later00000000007"} {
		if got := s.canon(former); got != "newest0000000007" {
			t.Errorf("%s is known as %s", former, got)
		}
	}
	if took := time.Since(began); took > 10*time.Second {
		t.Errorf("%d aliases took %v", n, took)
	}
}

// BenchmarkWith corrects 20,000 frames, and parts of them, in one place of fifty.
func BenchmarkWith(b *testing.B) {
	l, cs := correctedJob(400)
	for _, n := range []int{5000, 10_000, 20_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			part := Layout{l.Places[:n], l.Scenes[:l.Places[n-1].Scene+1]}
			for b.Loop() {
				part.With(cs[:n/50])
			}
		})
	}
}

// BenchmarkCorrect is one key of correction in such a job.
func BenchmarkCorrect(b *testing.B) {
	l, cs := correctedJob(400)
	_, names := bigJob()
	s := NewSession(l, names)
	for _, c := range cs {
		s.made = append(s.made, made{c: c})
	}
	s.SetLayout(l)
	for b.Loop() {
		e, err := s.Plan(Out{testID(7)}, at(0), "anna")
		if err != nil {
			b.Fatal(err)
		}
		for _, e := range []Entry{e, {Verb: VerbUndo, Seq: e.Seq + 1, Of: e.Seq}} {
			if err := s.Commit(e); err != nil {
				b.Fatal(err)
			}
		}
	}
}

// correctedJob is the big job with look-alikes in every scene, and corrections of
// all kinds spread over it.
func correctedJob(n int) (Layout, []Correction) {
	l, _ := bigJob()
	for i, p := range l.Places {
		if p.Moment%3 < 2 {
			l.Places[i].Alike = p.Scene + 1
		}
	}
	var cs []Correction
	for k := range n {
		at := k * (len(l.Places) / n)
		ids := make([]ID, 10)
		for i := range ids {
			ids[i] = l.Places[at+i].Frame
		}
		kind := []CorrectionKind{JoinMoment, SplitAt, TakeOut, LetGo, BeginScene}[k%5]
		c := Correction{Kind: kind, Frames: ids}
		switch kind {
		case SplitAt:
			c.Frames, c.Others = ids[:2], ids[2:5]
		case TakeOut, BeginScene:
			c.Frames = ids[1:2]
		}
		cs = append(cs, c)
	}
	return l, cs
}
