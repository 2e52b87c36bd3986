package main

import (
	"context"
	"errors"
	"io"
	"reflect"
	"strings"
	"testing"
)

func TestOffloadFlags(t *testing.T) {
	for _, tt := range []struct {
		name, args string
		want       offloadFlags
		usage      string // part of what is said
	}{
		{"one card", "/c --job j", offloadFlags{cards: []string{"/c"}, job: "j"}, ""},
		{"everything", "/c /d --job j --also a,b --also e --day 2026-06-13 --day 2026-06-14 --proven-in o --single-copy --dry-run --json --state s",
			offloadFlags{jobFlags: jobFlags{state: "s", json: true}, cards: []string{"/c", "/d"}, job: "j", also: []string{"a,b", "e"},
				days: []string{"2026-06-13", "2026-06-14"}, provenIn: []string{"o"}, single: true, dry: true}, ""},
		{"watch alone", "--watch /m --watch /drop --job j", offloadFlags{cards: []string{}, job: "j", watch: []string{"/m", "/drop"}}, ""},
		{"watch beside cards", "/c --watch /m --job j", offloadFlags{cards: []string{"/c"}, job: "j", watch: []string{"/m"}}, ""},
		{"no card", "--job j", offloadFlags{}, "wants a card"},
		{"no job", "/c", offloadFlags{}, "--job JOB"},
		{"a card without a name", "/c= --job j", offloadFlags{}, "the name of a card is empty"},
		{"a copy without a name", "/c --job j --also=", offloadFlags{}, "an --also folder is empty"},
		{"no day", "/c --job j --day 13.6.2026", offloadFlags{}, "not 13.6.2026"},
		{"a day that is none", "/c --job j --day 2026-02-30", offloadFlags{}, "not 2026-02-30"},
		{"proven without days", "/c --job j --proven-in o", offloadFlags{}, "--proven-in is about what --day leaves out"},
		{"dry watch", "--watch /m --job j --dry-run", offloadFlags{}, "does not go with --watch"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			var got *offloadFlags
			c := offloadCommand(func(_ context.Context, f offloadFlags) error { got = &f; return nil })
			args := strings.Fields(tt.args)
			for i, a := range args {
				if a == "/c=" { // an unset variable of a script
					args[i] = ""
				}
			}
			c.SetArgs(args)
			c.SetOut(io.Discard)
			c.SetErr(io.Discard)
			err := c.Execute()
			var usage *usageError
			switch {
			case tt.usage != "":
				if !errors.As(err, &usage) || !strings.Contains(usage.text, tt.usage) {
					t.Errorf("%v, want %q", err, tt.usage)
				}
				if got != nil {
					t.Error("it ran all the same")
				}
			case err != nil || got == nil:
				t.Errorf("%v", err)
			case !reflect.DeepEqual(*got, tt.want):
				t.Errorf("got %+v\nwant %+v", *got, tt.want)
			}
		})
	}
}

// What a person greps for must not stand in the help.
func TestOffloadHelpSaysNothingIsSafe(t *testing.T) {
	c := offloadCommand(nil)
	if text := c.Long + c.Example + c.UsageString(); strings.Contains(strings.ToLower(text), "safe to format") {
		t.Error(text)
	}
}
