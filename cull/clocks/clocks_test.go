package clocks

import (
	"testing"
	"time"

	"garner/cull"
	"garner/cull/job"
)

func TestParseAdd(t *testing.T) {
	for in, want := range map[string]time.Duration{
		"B=-7m20s": -440 * time.Second, "B=-440": -440 * time.Second, "A=+1h": time.Hour, "C=0": 0, "B=1.5": 1500 * time.Millisecond,
	} {
		if s, err := ParseAdd(in); err != nil || s.Add == nil || *s.Add != want || s.Body != in[:1] {
			t.Errorf("%s: %+v %v", in, s, err)
		}
	}
	if s, err := ParseAdd("B=none"); err != nil || !s.Drop {
		t.Errorf("none: %+v %v", s, err)
	}
	for _, in := range []string{"", "B", "=5", "B=", "B=soon", "B=NaN", "B=1e300"} {
		if s, err := ParseAdd(in); err == nil {
			t.Errorf("%q gave %+v", in, s)
		}
	}
}

func TestParseZone(t *testing.T) {
	for in, want := range map[string]int{"B=+02:00": 120, "B=-09:30": -570, "B=+00:00": 0} {
		if s, err := ParseZone(in); err != nil || s.Zone == nil || *s.Zone != want {
			t.Errorf("%s: %+v %v", in, s, err)
		}
	}
	for _, in := range []string{"B", "B=2", "B=+2:00", "B=+02:61", "=+02:00"} {
		if s, err := ParseZone(in); err == nil {
			t.Errorf("%q gave %+v", in, s)
		}
	}
}

func TestParseFrom(t *testing.T) {
	want := time.Date(2026, 6, 13, 14, 0, 0, 0, time.UTC)
	for _, in := range []string{"2026-06-13 14:00", "2026-06-13T14:00:00", "2026-06-13T14:00"} {
		if got, err := ParseFrom(in); err != nil || !got.Equal(want) {
			t.Errorf("%s: %v %v", in, got, err)
		}
	}
	if got, err := ParseFrom("two o'clock"); err == nil {
		t.Errorf("%v", got)
	}
}

// An offset and a zone of one call are one correction, what is not said stays,
// and the last word for one moment counts.
func TestApply(t *testing.T) {
	j, err := job.Open(t.TempDir(), job.Options{Who: "anna"})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	if err := j.SaveBodies([]cull.Body{{Key: "k1", Model: "Five", Serial: "1001"}, {Key: "k2", Model: "Five", Serial: "2002"}}); err != nil {
		t.Fatal(err)
	}
	if _, err := j.Append(job.Letter("k1", "A"), job.Letter("k2", "B")); err != nil {
		t.Fatal(err)
	}
	apply := func(settings ...Setting) cull.Body {
		t.Helper()
		if err := Apply(j, settings); err != nil {
			t.Fatal(err)
		}
		bodies, err := j.Bodies()
		if err != nil {
			t.Fatal(err)
		}
		return bodies[1]
	}
	add := func(s string) Setting { v, _ := ParseAdd(s); return v }
	zone := func(s string) Setting { v, _ := ParseZone(s); return v }
	b := apply(add("b=-7m20s"), zone("2002=+01:00"))
	if len(b.Offsets) != 1 || b.Offsets[0].Add != -440*time.Second || *b.Offsets[0].Zone != 60 {
		t.Errorf("%+v", b.Offsets)
	}
	later := zone("B=+02:00")
	later.From = time.Date(2026, 6, 13, 14, 0, 0, 0, time.UTC)
	if b = apply(later); len(b.Offsets) != 2 || b.Offsets[1].Add != -440*time.Second || *b.Offsets[1].Zone != 120 {
		t.Errorf("from two o'clock on: %+v", b.Offsets)
	}
	if b = apply(add("B=none")); len(b.Offsets) != 1 || b.Offsets[0].From.IsZero() {
		t.Errorf("taken away: %+v", b.Offsets)
	}
	if err := Apply(j, []Setting{add("Q=5s")}); err == nil {
		t.Error("a body that is not there")
	}
}
