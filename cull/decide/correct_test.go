package decide

import (
	"bytes"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"garner/cull"
	"garner/cull/job"
)

func lines(s ...string) *strings.Reader { return strings.NewReader(strings.Join(s, "\n") + "\n") }

// groupsOf writes the moments as the numbers of their frames.
func groupsOf(t *testing.T, j *job.Job) string {
	t.Helper()
	l, err := j.Layout()
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	for i, p := range l.Places {
		switch {
		case i > 0 && p.Scene != l.Places[i-1].Scene:
			b.WriteString(" || ")
		case i > 0 && p.Moment != l.Places[i-1].Moment:
			b.WriteString(" | ")
		case i > 0:
			b.WriteString(" ")
		}
		for n := 1; n < 100; n++ {
			if p.Frame == id(n) {
				b.WriteString(string(rune('a' + n - 1)))
			}
		}
	}
	return b.String()
}

func TestCorrectionsByLines(t *testing.T) {
	j := testJob(t, 9)
	out, _ := answer(t, j, "anna", lines(
		"correct join A/F_03 A/F_04", "correct split #0000000000abc001 / A/F_02", "correct out A/F_08", "correct scene-begins A/F_07",
		"correct join A/F_01 A/F_99", "correct split A/F_01", "correct join A/F_05", "correct out A/F_08", "correct scene-goes-on A/F_01",
		`correct has "Rings" A/F_02 #0000000000abc003`, `correct finished "finished/a b.jpg" A/F_02 A/F_03`, "correct finished finished/c.jpg none",
		"correct finished finished/c.jpg A/F_99", "merge A/F_02", "burst drop A/F_02", "merge A/F_08", "undo", "undo", "undo", "redo"))
	want := `ok correct join A/F_03 A/F_04 ; 2 frames joined into one moment
ok correct split #0000000000abc001 / A/F_02 ; split into 1 and 1 frame
ok correct out A/F_08 ; 1 frame taken out of the moment
ok correct scene-begins A/F_07 ; a scene begins here
no correct join A/F_01 A/F_99 : no such frame: nothing is named "A/F_99"
no correct split A/F_01 : cannot be done: correct split names frames by one word or by #id, split two lists of them with / between
no correct join A/F_05 : cannot be done: one frame alone cannot be joined or let go
no correct out A/F_08 : nothing to do: the frames are grouped like that already
no correct scene-goes-on A/F_01 : cannot be done: the first scene of the job begins with its first moment
ok correct has "Rings" A/F_02 #0000000000abc003
ok correct finished "finished/a b.jpg" A/F_02 A/F_03
ok correct finished finished/c.jpg none
no correct finished finished/c.jpg A/F_99 : no such frame: nothing is named "A/F_99"
ok merge A/F_02 ; 1 kept, never shown; 4 marked as part, never shown
no burst drop A/F_02 : nothing to do: every frame of the moment has that answer or was decided by itself
no merge A/F_08 : nothing to do: its moment has no other frame to merge it with
ok undo ; 5 open again: A/F_02, A/F_03, A/F_04, A/F_05 and 1 more
ok undo ; taken back: a scene begins here
ok undo ; taken back: 1 frame taken out of the moment
ok redo ; again: 1 frame taken out of the moment
`
	if d := cmp.Diff(want, out); d != "" {
		t.Error(d)
	}
	if got := groupsOf(t, j); got != "a | b c d e f | g i | h" {
		t.Errorf("groups: %s", got)
	}
}

// Two people correct two copies: the corrections of the second are taken over in
// their order, with who made them and when, and hold where they contradict.
func TestTwoPeoplesCorrections(t *testing.T) {
	one, two := testJob(t, 9), testJob(t, 9)
	answer(t, one, "anna", lines("correct join A/F_03 A/F_04", "scene A/F_01 Church", "keep A/F_01"))
	answer(t, two, "ben", lines("correct split A/F_03 / A/F_04", "correct join A/F_06 A/F_07", "correct out A/F_02", "undo", "scene A/F_01 Chapel", `correct has "Rings" A/F_02`, "correct finished finished/c.jpg A/F_02"))
	if got := groupsOf(t, two); got != "a b c | d e f g h i" {
		t.Errorf("two: %s", got)
	}
	var dump bytes.Buffer
	if err := Dump(two, &dump); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(dump.String(), "correct out") || strings.Count(dump.String(), "\n") != 4 {
		t.Errorf("dump:\n%s", dump.String())
	}
	journal := whole(t, two)
	out, sum := answer(t, one, "carla", strings.NewReader(journal))
	// The split says nothing in two, where the frames are apart already.
	if sum.Refused != 0 || !strings.Contains(out, "ok undo ; taken back: 1 frame taken out") {
		t.Errorf("%+v\n%s", sum, out)
	}
	if got := groupsOf(t, one); got != "a b c d e f g h i" {
		t.Errorf("one: %s", got)
	}
	s, err := one.Session()
	if err != nil {
		t.Fatal(err)
	}
	if s.Layout().Scenes[0].Name != "Chapel" || s.Decision(cull.KeepPass, id(1)).Answer != cull.Yes {
		t.Errorf("%+v, %+v", s.Layout().Scenes, s.Decision(cull.KeepPass, id(1)))
	}
	entries, err := one.Entries()
	if err != nil {
		t.Fatal(err)
	}
	by := map[string]int{}
	for _, e := range entries {
		by[e.Who]++
	}
	if by["ben"] != 5 || by["carla"] != 1 { // the undo is carla's
		t.Errorf("%v", by)
	}
	// Once more: nothing is left to do, and no line takes back what is ours.
	answer(t, one, "anna", lines("keep A/F_09"))
	undo := cull.FormatEntry(cull.Entry{Verb: cull.VerbUndo, Seq: 9, Of: 3, Who: "ben", At: tick()()})
	if out, _ = answer(t, one, "carla", lines(undo)); !strings.HasPrefix(out, "no undo : nothing to do: what this line takes back") {
		t.Errorf("%s", out)
	}
}

// Two copies of a job number their lines alike. In one stream, what the second
// takes back of its own and was not taken over from it is not the first one's.
func TestTwoJournalsInOneStream(t *testing.T) {
	home, one, two := testJob(t, 9), testJob(t, 9), testJob(t, 9)
	answer(t, one, "anna", lines("correct join A/F_03 A/F_04"))
	answer(t, two, "ben", lines("correct join A/F_03 A/F_04", "undo"))
	out, sum := answer(t, home, "carla", strings.NewReader(whole(t, one)+whole(t, two)))
	if got := groupsOf(t, home); got != "a b c d e f | g h i" || sum.Refused != 2 {
		t.Errorf("groups: %s\n%s", got, out)
	}
}

// Taken over once more, a dump says nothing new: nothing is journalled again.
func TestDumpTwice(t *testing.T) {
	one, two := testJob(t, 9), testJob(t, 9)
	answer(t, two, "ben", lines("burst drop A/F_01", "merge A/F_05", "keep A/F_08"))
	var dump bytes.Buffer
	if err := Dump(two, &dump); err != nil {
		t.Fatal(err)
	}
	if out, sum := answer(t, one, "anna", strings.NewReader(dump.String())); sum.Refused != 0 {
		t.Errorf("%s", out)
	}
	if out, sum := answer(t, one, "anna", strings.NewReader(dump.String())); sum.Done != 0 {
		t.Errorf("%s", out)
	}
}

// whole is the journal of a job as its copies have it.
func whole(t *testing.T, j *job.Job) string {
	t.Helper()
	entries, err := j.Entries()
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	for _, e := range entries {
		b.WriteString(cull.FormatEntry(e) + "\n")
	}
	return b.String()
}
