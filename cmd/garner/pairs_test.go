package main

import (
	"slices"
	"strings"
	"testing"
)

func TestJoinPairs(t *testing.T) {
	for in, want := range map[string]string{
		"clocks JOB --same A:1 B:2":                "clocks|JOB|--same|A:1 B:2",
		"clocks --same A:1 B:2 JOB":                "clocks|--same|A:1 B:2|JOB",
		"clocks --same=A:1 B:2 JOB --same A:3 C:4": "clocks|--same=A:1 B:2|JOB|--same|A:3 C:4",
		"clocks JOB --same A:1 --json":             "clocks|JOB|--same|A:1|--json",
		"clocks JOB --same":                        "clocks|JOB|--same",
		"clocks JOB --same A:1":                    "clocks|JOB|--same|A:1",
		"clocks -- --same A:1 B:2":                 "clocks|--|--same|A:1|B:2",
	} {
		if got := strings.Join(joinPairs(strings.Fields(in)), "|"); got != want {
			t.Errorf("%s: %s, want %s", in, got, want)
		}
	}
	quoted := []string{"clocks", "--same", "A:1 B:2", "JOB"}
	if got := joinPairs(quoted); !slices.Equal(got, quoted) {
		t.Errorf("both in one word: %q", got)
	}
}
