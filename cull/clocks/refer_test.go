package clocks

import (
	"errors"
	"slices"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/job"
)

func shot(id, name, body string, at string) cull.Frame {
	f := cull.Frame{ID: cull.ID(id), Name: name, Body: body, Files: []cull.File{{Path: name + ".CR3", Role: cull.RoleMain, Kind: "CR3"}}}
	if at != "" {
		wall, err := time.Parse("15:04:05.999", at)
		if err != nil {
			panic(err)
		}
		f.Taken = cull.Stamp{Wall: wall.AddDate(2026, 5, 12), Digits: 2}
	}
	return f
}

func twoBodies() ([]cull.Frame, []cull.Body) {
	return []cull.Frame{
			shot("a1", "A/IMG_0001", "k1", "14:00:00"), shot("a2", "A/IMG_0412", "k1", "15:00:00"), shot("a3", "A2/IMG_0412", "k1", "17:00:00"),
			shot("b1", "B/IMG_0001", "k2", "14:07:20"), shot("b2", "B/IMG_0420", "k2", "15:07:21"), shot("b3", "B/IMG_0421", "k2", "16:40:00"),
			shot("b4", "B/IMG_0500", "k2", "17:10:20"), shot("b5", "B/late", "k2", ""), shot("u1", "unknown/x1", "", "14:00:00"),
		}, []cull.Body{
			{Key: "k1", Letter: "A", Serial: "1001"}, {Key: "k2", Letter: "B", Serial: "2002", Offsets: nil},
		}
}

func byID(list []cull.Frame) map[cull.ID]cull.Frame {
	m := map[cull.ID]cull.Frame{}
	for _, f := range list {
		m[f.ID] = f
	}
	return m
}

func TestFind(t *testing.T) {
	list, bodies := twoBodies()
	for text, want := range map[string]cull.ID{
		"A:1": "a1", "A:0001": "a1", "a:0001": "a1", "1001:IMG_0001": "a1", "B:0420": "b2", "A2/IMG_0412": "a3", "A:A/IMG_0412": "a2", "IMG_0420": "b2",
		"#b4": "b4", "B:late": "b5",
	} {
		if f, err := Find(byID(list), bodies, text); err != nil || f.ID != want {
			t.Errorf("%s: %s %v, want %s", text, f.ID, err, want)
		}
	}
	for text, want := range map[string][]string{
		"A:0412": {"A/IMG_0412", "A2/IMG_0412"}, "IMG_0001": {"A/IMG_0001", "B/IMG_0001"}, "A:IMG_0412": {"A/IMG_0412", "A2/IMG_0412"},
	} {
		var many *AmbiguousError
		if f, err := Find(byID(list), bodies, text); !errors.As(err, &many) || !slices.Equal(many.Names, want) {
			t.Errorf("%s: %s %v, want one of %v", text, f.ID, err, want)
		}
	}
	for _, text := range []string{"", ":", "A:", "A:99", "Q:0001", "0001", "IMG_7", "#zz", "A:+1", "A:99999999999999999999"} {
		if f, err := Find(byID(list), bodies, text); err == nil {
			t.Errorf("%q is %s", text, f.Name)
		}
	}
}

func TestSame(t *testing.T) {
	list, bodies := twoBodies()
	dir := t.TempDir()
	j, err := job.Open(dir, job.Options{Who: "anna"})
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	if err := errors.Join(j.SaveBodies(bodies), j.SaveFrames(list)); err != nil {
		t.Fatal(err)
	}
	zone := 60
	if _, err := j.Append(job.Letter("k1", "A"), job.Letter("k2", "B"), job.SetOffset("k1", cull.Offset{Add: time.Minute, Zone: &zone})); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		pairs []string
		adds  []time.Duration
		from  string // of the last
	}{
		"against the corrected clock": {[]string{"A:0001 B:0001"}, []time.Duration{-380 * time.Second}, ""},
		"two pairs that agree":        {[]string{"A:0001 B:0001", "A/IMG_0412 B:0420"}, []time.Duration{-380500 * time.Millisecond}, ""},
		"set in between":              {[]string{"A2/IMG_0412 B:0500", "A:0001 B:0001"}, []time.Duration{-380 * time.Second, -560 * time.Second}, "16:40:00"},
		"an hour's more":              {[]string{"A:0001 B:0001", "A2/IMG_0412 B:0420"}, []time.Duration{-380 * time.Second, 6819 * time.Second}, "15:07:21"},
	} {
		var pairs []Pair
		for _, s := range c.pairs {
			p, err := ParsePair(s)
			if err != nil {
				t.Fatal(err)
			}
			pairs = append(pairs, p)
		}
		got, err := Same(j, pairs)
		if err != nil || len(got) != len(c.adds) {
			t.Errorf("%s: %+v %v", name, got, err)
			continue
		}
		for i, s := range got {
			if *s.Add != c.adds[i] || s.Body != "B" || i == 0 && !s.From.IsZero() {
				t.Errorf("%s: %d: %s from %s, want %s", name, i, *s.Add, s.From, c.adds[i])
			}
		}
		if last := got[len(got)-1]; c.from != "" && last.From.Format("15:04:05") != c.from {
			t.Errorf("%s: from %s, want %s", name, last.From, c.from)
		}
	}
	for name, p := range map[string]Pair{
		"one body": {"B:0420", "B:0001"}, "no time": {"A:0001", "B:late"}, "unknown body": {"unknown/x1", "B:0001"}, "nobody": {"A:0001", "B:77"},
	} {
		if got, err := Same(j, []Pair{p}); err == nil {
			t.Errorf("%s: %+v", name, got)
		}
	}
	for _, s := range []string{"", "A:1", "A:1 B:2 C:3"} {
		if p, err := ParsePair(s); err == nil {
			t.Errorf("%q: %+v", s, p)
		}
	}
}

func TestSetFromAFrameOn(t *testing.T) {
	for in, want := range map[string]string{"B=+1h@0412": "0412", "B=none@B/IMG_0412": "B/IMG_0412", "B=-5": ""} {
		if s, err := ParseAdd(in); err != nil || s.At != want || s.Body != "B" {
			t.Errorf("%s: %+v %v", in, s, err)
		}
	}
	for _, in := range []string{"B=+1h@", "B=@0412"} {
		if s, err := ParseAdd(in); err == nil {
			t.Errorf("%q: %+v", in, s)
		}
	}
}
