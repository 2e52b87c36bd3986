package main

import (
	"path/filepath"
	"strings"
	"testing"

	"garner/cull/recall"
)

// Jobs of one name, and one that was archived again under another, are told apart.
func TestJobsOfHits(t *testing.T) {
	at := func(place, job string) recall.Hit { return recall.Hit{Place: filepath.FromSlash(place), Job: job} }
	for name, c := range map[string]struct {
		hits []recall.Hit
		want string
	}{
		"one job":                       {[]recall.Hit{at("/s/Wedding", "Wedding"), at("/s/Wedding", "Wedding")}, "Wedding|Wedding"},
		"a bag of another name":         {[]recall.Hit{at("/s/Wedding", "Wedding"), at("/s/Wedding-2", "Wedding")}, "Wedding|Wedding (bag Wedding-2)"},
		"opened under another name":     {[]recall.Hit{at("/s/Wedding", "Again")}, "Again (bag Wedding)"},
		"bags of one name in two years": {[]recall.Hit{at("/s/25/Wedding", "Wedding"), at("/s/26/Wedding", "Wedding")}, "Wedding (in /s/25/Wedding)|Wedding (in /s/26/Wedding)"},
	} {
		called := jobsOf(c.hits)
		var got []string
		for _, h := range c.hits {
			got = append(got, called(h))
		}
		if s := filepath.ToSlash(strings.Join(got, "|")); s != c.want {
			t.Errorf("%s: %s, want %s", name, s, c.want)
		}
	}
}

// Whoever asks for a name sees under which one a frame was delivered: it may be that
// which was found.
func TestHitsSayHowTheyWereDelivered(t *testing.T) {
	h := recall.Hit{Name: "A/IMG_9991", Delivered: []string{"0003", "kiss.jpg"}}
	asked := recallFlags{q: recall.Query{Name: "3"}}
	if got := hitText(h, nil, "Job", asked); !strings.Contains(got, "delivered as 0003, kiss.jpg") {
		t.Errorf("asked for a name: %q", got)
	}
	if got := hitText(h, nil, "Job", recallFlags{}); strings.Contains(got, "delivered as") {
		t.Errorf("asked for none: %q", got)
	}
}
