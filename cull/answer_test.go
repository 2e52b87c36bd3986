package cull

import (
	"strings"
	"testing"
)

func TestAnswerWords(t *testing.T) {
	for _, a := range []Answer{Open, Yes, No, Part} {
		for _, pass := range []string{KeepPass, "retouch"} {
			if back, ok := ParseAnswer(a.Word(pass)); !ok || back != a {
				t.Errorf("%v in %s is %q and reads back as %v", a, pass, a.Word(pass), back)
			}
		}
	}
	if Yes.Word(KeepPass) != "keep" || No.Word(KeepPass) != "drop" || Yes.Word("album") != "yes" || No.Word("album") != "no" || Answer(9).String() != "unknown" {
		t.Error("the words are others")
	}
	if _, ok := ParseAnswer("Keep"); ok {
		t.Error("words are lower case")
	}
}

func TestValidPassName(t *testing.T) {
	for _, good := range []string{"keep", "retouch", "album-2", "a_b", strings.Repeat("x", 40)} {
		if !ValidPassName(good) {
			t.Errorf("%q refused", good)
		}
	}
	for _, bad := range []string{"", "Album", "2nd", "-a", "a b", "ä", "a;b", "yes", "drop", "open", "part", "burst", "only", "undo", "redo", "pass", "scene", "letter", "offset", "correct", "answer", "from", strings.Repeat("x", 41)} {
		if ValidPassName(bad) {
			t.Errorf("%q accepted", bad)
		}
	}
}

func TestSummary(t *testing.T) {
	change := func(a Answer, shown bool) Change { return Change{After: a, Shown: shown} }
	for _, tc := range []struct {
		want string
		e    Entry
	}{
		{"", Entry{Verb: VerbLetter}},
		{"1 kept", Entry{Verb: VerbAnswer, Pass: KeepPass, Changes: []Change{change(Yes, true)}}},
		{"1 dropped, never shown", Entry{Verb: VerbAnswer, Pass: KeepPass, Changes: []Change{change(No, false)}}},
		{"1 marked as part", Entry{Verb: VerbAnswer, Pass: KeepPass, Changes: []Change{change(Part, true)}}},
		{"2 open again", Entry{Verb: VerbBurst, Pass: KeepPass, Changes: []Change{change(Open, true), change(Open, false)}}},
		{"1 kept; 3 dropped, 1 of them never shown", Entry{Verb: VerbOnly, Pass: KeepPass, Changes: []Change{change(Yes, true), change(No, true), change(No, false), change(No, true)}}},
		{"1 answered yes; 1 answered no, never shown", Entry{Verb: VerbOnly, Pass: "album", Changes: []Change{change(Yes, true), change(No, false)}}},
		{"1 kept again; 1 open again", Entry{Verb: VerbUndo, Pass: KeepPass, Changes: []Change{change(Open, false), change(Yes, false)}}},
	} {
		if got := Summary(tc.e); got != tc.want {
			t.Errorf("got %q, want %q", got, tc.want)
		}
	}
}
