package cull

import (
	"errors"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestParseLine(t *testing.T) {
	plain := func(names ...string) (out []Name) {
		for _, n := range names {
			out = append(out, Name{Text: n})
		}
		return out
	}
	ids := func(names ...string) (out []Name) {
		for _, n := range names {
			out = append(out, Name{n, true})
		}
		return out
	}
	for line, want := range map[string]Command{
		"":                            {},
		"  \t ":                       {},
		"; keep A/IMG_0001":           {},
		"keep A/IMG_0001":             {Verb: VerbAnswer, Pass: "keep", Answer: Yes, Names: plain("A/IMG_0001")},
		"drop  A/IMG_0002 \r\n":       {Verb: VerbAnswer, Pass: "keep", Answer: No, Names: plain("A/IMG_0002")},
		"part C/Day one/IMG 3 ; note": {Verb: VerbAnswer, Pass: "keep", Answer: Part, Names: plain("C/Day one/IMG 3")},
		"open A;B":                    {Verb: VerbAnswer, Pass: "keep", Answer: Open, Names: plain("A;B")},
		`keep A/5" x#1 "y`:            {Verb: VerbAnswer, Pass: "keep", Answer: Yes, Names: plain(`A/5" x#1 "y`)},
		"keep yes A/1":                {Verb: VerbAnswer, Pass: "keep", Answer: Yes, Names: plain("yes A/1")},
		"yes A/1":                     {Verb: VerbAnswer, Pass: "keep", Answer: Yes, Names: plain("A/1")},
		`drop #ABCdef "a ; b" #0123456789abcdef ;`: {Verb: VerbAnswer, Pass: "keep", Answer: No, Names: []Name{{"abcdef", true}, {"a ; b", false}, {"0123456789abcdef", true}}},
		`keep "\ud83d\ude00\udcff\u202e"`:          {Verb: VerbAnswer, Pass: "keep", Answer: Yes, Names: plain("😀\xff\u202e")},
		"retouch yes A/1":                          {Verb: VerbAnswer, Pass: "retouch", Answer: Yes, Names: plain("A/1")},
		`"retouch" open #012345`:                   {Verb: VerbAnswer, Pass: "retouch", Answer: Open, Names: ids("012345")},
		"burst drop A/1":                           {Verb: VerbBurst, Pass: "keep", Answer: No, Names: plain("A/1")},
		"burst drop #012345 #678901":               {Verb: VerbBurst, Pass: "keep", Answer: No, Names: ids("012345", "678901"), Exact: true},
		"album burst yes A/1":                      {Verb: VerbBurst, Pass: "album", Answer: Yes, Names: plain("A/1")},
		"only A/1":                                 {Verb: VerbOnly, Pass: "keep", Names: plain("A/1")},
		"album only A/1":                           {Verb: VerbOnly, Pass: "album", Names: plain("A/1")},
		"undo":                                     {Verb: VerbUndo},
		"redo ; again":                             {Verb: VerbRedo},
		"pass album":                               {Verb: VerbPass, Define: Pass{Name: "album"}},
		`pass album "In it?"`:                      {Verb: VerbPass, Define: Pass{Name: "album", Question: "In it?"}},
		`pass album from keep part "In it?" ; x`:   {Verb: VerbPass, Define: Pass{"album", "In it?", Source{"keep", Part}}},
		`pass album from keep yes`:                 {Verb: VerbPass, Define: Pass{Name: "album", Source: Source{"keep", Yes}}},
		"scene A/1 First dance":                    {Verb: VerbScene, Names: plain("A/1"), Args: []string{"First dance"}},
		`scene #012345 ""`:                         {Verb: VerbScene, Names: ids("012345"), Args: []string{""}},
		"letter model:X #0123456789abcdef":         {Verb: VerbLetter, Args: []string{"model:X", "#0123456789abcdef"}},
	} {
		got, err := ParseLine(line)
		if err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("%q:\ngot  %+v, %v\nwant %+v", line, got, err, want)
		}
	}
}

func TestParseLineRefuses(t *testing.T) {
	whole := FormatEntry(Entry{Seq: 1, At: at(0), Verb: VerbAnswer, Pass: KeepPass, Changes: []Change{{testID(0), Open, No, true, true}}})
	for line, reason := range map[string]string{
		"keep":                     "the line names no frame",
		"keep #0123456789abcdef;c": "an id is # and 6 to 16",
		"keep #12345":              "an id is # and 6 to 16",
		"keep #012345 A/1":         "each is an id or a quoted name",
		`keep "A/1`:                "no end",
		`keep "A/1"x`:              "followed by a space",
		"undo twice":               "nothing may follow",
		"burst A/1":                "expected an answer",
		"retouch":                  "comes yes, no",
		"retouch maybe A/1":        "expected an answer",
		"Keep A/1":                 `no pass named "Keep"`,
		"delete\u202e A/1":         "control or format",
		"keep A/\x1b[2J":           "control or format",
		"keep A/\xff":              "not UTF-8",
		"#012345 keep":             "begins with a verb",
		"pass":                     "a pass is named",
		"pass undo":                "a pass is named",
		"pass album from keep":     "after from",
		"pass album why":           "in quotes",
		`pass album "a" "b"`:       "nothing may follow",
		"scene A/1":                "scene needs",
		"offset":                   "needs words",
		strings.Replace(whole, "drop", "keep", 1): "checksum",
		whole[:len(whole)-3]:                      "checksum",
		strings.Repeat("k", MaxLine+1):            "too long",
	} {
		c, err := ParseLine(line)
		var le *LineError
		if !errors.As(err, &le) || !strings.Contains(le.Reason, reason) || !reflect.DeepEqual(c, Command{}) {
			t.Errorf("%.60q: %+v, %v; want a reason with %q", line, c, err, reason)
		}
	}
}

// TestJournalLineMeansItsFrames: a burst of one frame in a journal is that
// frame, not the moment that holds it by now.
func TestJournalLineMeansItsFrames(t *testing.T) {
	s := NewSession(testLayout(3))
	line := FormatEntry(Entry{Seq: 7, At: at(0), Verb: VerbBurst, Pass: KeepPass, Changes: []Change{{testID(1), Open, No, true, false}}})
	for _, tc := range []struct{ line, want string }{{line, "ono"}, {line[:strings.Index(line, " ;")], "nnn"}} {
		c, err := ParseLine(tc.line)
		if err != nil {
			t.Fatal(err)
		}
		a, err := s.Action(c)
		if err != nil {
			t.Fatal(err)
		}
		do(t, s, a)
		wantAnswers(t, s, tc.want)
	}
	if !s.Decision(KeepPass, testID(1)).Shown || s.Decision(KeepPass, testID(0)).Shown {
		t.Error("the journal line knows what had been shown, the other does not")
	}
}

// TestJournalIsDecide feeds the journal of one session to another as lines of
// decide: the same decisions come out, shown as they had been.
func TestJournalIsDecide(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, fresh := genSession(t)
		journal := play(t, s, 30)
		again := fresh()
		for _, e := range journal {
			c, err := ParseLine(FormatEntry(e))
			if err != nil || c.Entry == nil || !reflect.DeepEqual(*c.Entry, e) {
				t.Fatalf("%s: %+v, %v", FormatEntry(e), c, err)
			}
			a, err := again.Action(c)
			if err != nil {
				t.Fatal(err)
			}
			p, err := again.Plan(a, e.At, e.Who)
			if err != nil {
				t.Fatalf("%s: %v", FormatEntry(e), err)
			}
			same(t, "entry", p, e)
			commit(t, again, p)
		}
		same(t, "state", stateOf(again), stateOf(s))
	})
}

func TestResolve(t *testing.T) {
	s := NewSession(Layout{}, map[ID]string{
		"0123450000000000": "A/IMG_0001", "0123451111111111": "A/IMG_0002", "ffffff0000000000": "B/IMG_0001", "eeeeee0000000000": "B/IMG_0003.JPG", "eeeeee1111111111": "B/IMG_0003",
	})
	for _, tc := range []struct {
		name Name
		want ID
		err  error
	}{
		{Name{"A/IMG_0001", false}, "0123450000000000", nil},
		{Name{"A/IMG_0001.CR3", false}, "0123450000000000", nil},
		{Name{"IMG_0002", false}, "0123451111111111", nil},
		{Name{"IMG_0002.CR3", false}, "0123451111111111", nil},
		{Name{"B/IMG_0003.JPG", false}, "eeeeee0000000000", nil},
		{Name{"B/IMG_0003.CR3", false}, "eeeeee1111111111", nil},
		{Name{"IMG_0001", false}, "", ErrAmbiguous},
		{Name{"IMG_0009", false}, "", ErrUnknownFrame},
		{Name{"012345", true}, "", ErrAmbiguous},
		{Name{"0123451", true}, "0123451111111111", nil},
		{Name{"ffffff0000000000", true}, "ffffff0000000000", nil},
		{Name{"fffffff", true}, "", ErrUnknownFrame},
	} {
		if id, err := s.Resolve(tc.name); id != tc.want || !errors.Is(err, tc.err) {
			t.Errorf("%+v: %s, %v; want %s, %v", tc.name, id, err, tc.want, tc.err)
		}
	}
}

// FuzzParseLine: an error comes with nothing else and with a reason that is
// safe to print; a line that was read names what it can spell again.
func FuzzParseLine(f *testing.F) {
	for _, line := range []string{"keep A/IMG_0001", `drop #ABCdef "a ; b" ; c`, "retouch burst no A/1", `pass album from keep yes "In?"`, "scene A/1 First dance", "merge A/1", "merge yes A/1", `"merge" no A/1`, "correct split #0123456789abcdef / A/1",
		FormatEntry(Entry{Seq: 1, At: at(0), Verb: VerbOnly, Pass: KeepPass, Changes: []Change{{testID(0), Open, Yes, true, true}}})} {
		f.Add(line)
	}
	f.Fuzz(func(t *testing.T, line string) {
		c, err := ParseLine(line)
		if err != nil {
			if !reflect.DeepEqual(c, Command{}) || checkText(err.Error()) != nil {
				t.Fatalf("%+v, %q", c, err)
			}
			return
		}
		if c.Verb != VerbAnswer || c.Entry != nil {
			return
		}
		words := []string{c.Pass, c.Answer.String()}
		for _, n := range c.Names {
			switch {
			case !n.ByID:
				words = append(words, quote(n.Text))
			case isHex(n.Text):
				words = append(words, "#"+n.Text)
			default:
				words = append(words, "#"+quote(n.Text))
			}
		}
		if words[0] == KeepPass {
			words = words[1:]
		}
		back, err := ParseLine(strings.Join(words, " "))
		if err != nil || !reflect.DeepEqual(back, c) {
			t.Fatalf("%q: %+v\nspelled again %+v, %v", line, c, back, err)
		}
		if len(c.Names) == 1 && !c.Names[0].ByID {
			if one, err := ParseLine("keep " + Spell(c.Names[0].Text)); err != nil || one.Names[0] != c.Names[0] {
				t.Fatalf("%q spelled as %s", c.Names[0].Text, Spell(c.Names[0].Text))
			}
		}
	})
}
