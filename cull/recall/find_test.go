package recall

import (
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/closing/record"
)

// wedding is a bag of eight frames, over midnight.
func wedding(t testing.TB, dir, job string, firstID int) *invented {
	b := invent(t, dir, job)
	for i := range 8 {
		k := known(firstID+i, []string{"A/IMG_0001", "A/IMG_0002", "A/IMG_0412", "B/IMG_0001", "B/IMG_4123", "A/Groß", "B/\xff", "A/none"}[i], weddingDay.Add(time.Duration(i)*150*time.Minute))
		if i%2 == 1 {
			k.Frame.Body = "b"
			k.Answers["keep"] = cull.Decision{Answer: cull.No}
		} else {
			k.Answers["keep"] = cull.Decision{Answer: cull.Yes}
		}
		if i >= 4 {
			k.Place.Scene = 1
		}
		switch i {
		case 1: // dropped, but there is the camera's JPEG
			k.Frame.Files = append(k.Frame.Files, cull.File{Path: k.Frame.Name + ".JPG", Role: cull.RoleJPEG, Kind: "JPEG"})
		case 2:
			k.Answers["retouch"] = cull.Decision{Answer: cull.Yes}
		case 7: // nobody knows when
			k.Frame.Taken, k.Place.Corrected = cull.Stamp{}, cull.Stamp{}
		}
		b.add(k)
	}
	b.picture("finished/Braut.tif", 12, []cull.ID{b.content.Frames[3].ID}, record.Delivered{Set: "online", File: "0012-Braut.jpg"})
	return b
}

func TestFind(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "Meyer")
	wedding(t, dir, "Job 0613", 1).write()
	l := open(t, Options{}, dir)
	all := []string{"Job 0613 A/IMG_0001 original", "Job 0613 A/IMG_0002 camera JPEG", "Job 0613 A/IMG_0412 original", "Job 0613 B/IMG_0001 finished",
		"Job 0613 B/IMG_4123 original", "Job 0613 A/Groß small", "Job 0613 B/\xff original", "Job 0613 A/none small"}
	at := func(s string) time.Time { from, _, err := ParseTime(s); must(t, err); return from }
	until := func(s string) time.Time { _, to, err := ParseTime(s); must(t, err); return to }
	clock := func(s string) *Clock { c, err := ParseClock(s); must(t, err); return &c }
	pass := func(s string) []Answered { a, err := ParseAnswered(s); must(t, err); return []Answered{a} }
	for name, c := range map[string]struct {
		q    Query
		want []int
	}{
		"everything":                   {Query{}, []int{0, 1, 2, 3, 4, 5, 6, 7}},
		"from a minute":                {Query{From: at("2026-06-13T16:30")}, []int{3, 4, 5, 6}},
		"to the end of a minute":       {Query{To: until("2026-06-13T16:30")}, []int{0, 1, 2, 3}},
		"to the end of a day":          {Query{From: at("2026-06-13 20"), To: until("2026-06-13")}, []int{5}},
		"a clock":                      {Query{Clock: clock("14:00..16:30")}, []int{2, 3}},
		"a clock to before the minute": {Query{Clock: clock("14:00..16:29")}, []int{2}},
		"a clock over midnight":        {Query{Clock: clock("21:00..00:00")}, []int{5, 6}},
		"a scene":                      {Query{Scene: "cafe\u0301"}, []int{4, 5, 6, 7}},
		"a scene that is not there":    {Query{Scene: "Auszug"}, nil},
		"a letter":                     {Query{Body: "b"}, []int{1, 3, 5, 7}},
		"a serial number":              {Query{Body: "1001"}, []int{0, 2, 4, 6}},
		"part of a model":              {Query{Body: "mark ii"}, []int{0, 2, 4, 6}},
		"a name":                       {Query{Name: "img_0001"}, []int{0, 3}},
		"a name with its folder":       {Query{Name: "B/IMG"}, []int{3, 4}},
		"a name in another case":       {Query{Name: "GROSS"}, []int{5}},
		"a number":                     {Query{Name: "412"}, []int{2}},
		"a number with zeros":          {Query{Name: "00412"}, []int{2}},
		"a number that was delivered":  {Query{Name: "12"}, []int{3}},
		"a name that was delivered":    {Query{Name: "0012-braut.jpg"}, []int{3}},
		"no name":                      {Query{Name: "IMG_0003"}, nil},
		"a pass":                       {Query{Passes: pass("keep=no")}, []int{1, 3, 5, 7}},
		"a later pass":                 {Query{Passes: pass("retouch=yes")}, []int{2}},
		"what is open":                 {Query{Passes: append(pass("retouch=open"), pass("keep=yes")...)}, []int{0, 4, 6}},
		"a pass that is not there":     {Query{Passes: pass("album=yes")}, nil},
		"a job":                        {Query{Job: "job 06", Body: "A", Name: "0001"}, []int{0}},
		"a job by the name of its bag": {Query{Job: "meyer", Name: "412"}, []int{2}},
		"another job":                  {Query{Job: "0714"}, nil},
	} {
		want := []string{}
		for _, i := range c.want {
			want = append(want, all[i])
		}
		if got := found(t, l, c.q); !slices.Equal(got, want) {
			t.Errorf("%s: %q, want %q", name, got, want)
		}
	}
	f, err := l.Find(t.Context(), Query{Most: 3})
	if err != nil || f.Total != 8 || len(f.Hits) != 3 || f.Hits[2].Name != "A/IMG_0412" {
		t.Errorf("three of all: %+v, %v", f, err)
	}
	h := f.Hits[0]
	if h.Place != dir || h.Frame != "0000000000000001" || h.Scene != "Kirche" || h.Body.Letter != "A" || h.Answers["keep"] != cull.Yes || len(h.Answers) != 1 ||
		!h.Corrected.Wall.Equal(weddingDay) || h.Corrected.Zone != 120 || !h.Taken.Wall.Equal(weddingDay.Add(-7*time.Minute)) || h.Best.Path != filepath.Join(dir, "data/job/A/IMG_0001.CR3") {
		t.Errorf("%+v", h)
	}
}

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func TestWhatIsNoTime(t *testing.T) {
	for _, s := range []string{"", "14:00", "2026-13-01", "2026-06-13T25", "yesterday", "2026-06-13T14:00:00:00"} {
		if from, _, err := ParseTime(s); err == nil {
			t.Errorf("%q is %v", s, from)
		}
	}
	for _, s := range []string{"", "14:00", "14:00-15:00", "14..15", "..", "14:00..25:00"} {
		if c, err := ParseClock(s); err == nil {
			t.Errorf("%q is %v", s, c)
		}
	}
	for _, s := range []string{"", "keep", "keep=", "=yes", "keep=maybe", "KEEP=yes"} {
		if a, err := ParseAnswered(s); err == nil {
			t.Errorf("%q is %v", s, a)
		}
	}
	if c, err := ParseClock("18:00..24:00"); err != nil || c != (Clock{18 * time.Hour, 24 * time.Hour}) {
		t.Errorf("%v, %v", c, err)
	}
}

// What is named is there: of files that are gone, or to which a link leads out of the
// bag, the next best one is named.
func TestBestFileIsThere(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "0613")
	wedding(t, dir, "Job 0613", 1).write()
	l := open(t, Options{}, dir)
	kind := func(name string) string { return found(t, l, Query{Name: name})[0] }
	remove := func(path string) { must(t, os.Remove(filepath.Join(dir, filepath.FromSlash(path)))) }
	remove("data/job/finished/Braut.tif")
	if got := kind("B/IMG_0001"); got != "Job 0613 B/IMG_0001 delivered" {
		t.Errorf("without the finished picture: %s", got)
	}
	remove("data/job/sets/online/0012-Braut.jpg")
	if got := kind("B/IMG_0001"); got != "Job 0613 B/IMG_0001 small" {
		t.Errorf("without the delivered one: %s", got)
	}
	remove("data/small/B/IMG_0001.CR3.jpg")
	if got := kind("B/IMG_0001"); got != "Job 0613 B/IMG_0001 " {
		t.Errorf("without anything: %s", got)
	}
	outside := filepath.Join(t.TempDir(), "secret")
	must(t, os.WriteFile(outside, []byte("x"), 0o666))
	remove("data/job/A/IMG_0002.JPG")
	if err := os.Symlink(outside, filepath.Join(dir, "data", "job", "A", "IMG_0002.JPG")); err != nil {
		t.Skip(err)
	}
	if got := kind("A/IMG_0002"); got != "Job 0613 A/IMG_0002 small" {
		t.Errorf("a link that leads out is followed: %s", got)
	}
}

// A frame of several places is found once, with the best file of all.
func TestOnceWithTheBestFile(t *testing.T) {
	base := t.TempDir()
	one, two := filepath.Join(base, "one"), filepath.Join(base, "two")
	wedding(t, one, "Job 0613", 1).write()
	b := wedding(t, two, "Job 0613", 1)
	b.keep("A/IMG_0002.CR3") // which the other one left out
	b.write()
	must(t, os.Remove(filepath.Join(one, "data", "job", "A", "IMG_0412.CR3")))
	l := open(t, Options{}, one, two, one+"/../one")
	if places, frames := l.Places(); places != 2 || frames != 16 {
		t.Errorf("%d places, %d frames", places, frames)
	}
	f, err := l.Find(t.Context(), Query{})
	if err != nil || f.Total != 8 || len(f.Hits) != 8 {
		t.Fatalf("%d of %d, %v", len(f.Hits), f.Total, err)
	}
	for i, want := range map[int]string{0: "one", 1: "two", 2: "two", 4: "one"} {
		rel, err := filepath.Rel(base, f.Hits[i].Best.Path)
		if got, _, _ := cutPath(rel); err != nil || got != want || f.Hits[i].Best.Kind != Original {
			t.Errorf("frame %d is had from %s (%s)", i, rel, f.Hits[i].Best.Kind)
		}
	}
}

func cutPath(p string) (first, rest string, ok bool) {
	p = filepath.ToSlash(p)
	i := slices.Index([]byte(p), '/')
	if i < 0 {
		return p, "", false
	}
	return p[:i], p[i+1:], true
}
