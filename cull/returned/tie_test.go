package returned

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"garner/cull"
)

var noon = time.Date(2026, 6, 13, 12, 0, 0, 0, time.UTC)

func at(seconds float64, digits int) cull.Stamp {
	return cull.Stamp{Wall: noon.Add(time.Duration(seconds * float64(time.Second))), Digits: digits, ZoneIs: cull.ZoneUnknown}
}

// two are two bodies of one model whose names are equal and whose clocks agree: a
// burst of three each at the same hundredths, then a bracket of A, then a lone frame
// of each that looks like nothing else. B's clock is corrected by an hour.
func two() []Frame {
	var fs []Frame
	add := func(letter string, n int, seconds float64, moment int, answer cull.Answer) {
		f := Frame{ID: cull.ID(fmt.Sprintf("%s%015d", strings.ToLower(letter), n)), Name: fmt.Sprintf("%s/IMG_%04d", letter, n), Letter: letter,
			Taken: at(seconds, 2), Make: "Varnholt", Model: "Varnholt V6", Serial: "00" + letter + "417", Counter: int64(n),
			Width: 6000, Height: 4000, Looked: true, Answer: answer, Moment: moment, Place: len(fs), Series: moment == 2}
		f.Files = []string{f.Name + ".CR3", f.Name + ".JPG"}
		f.Corrected = f.Taken
		if letter == "B" {
			f.Corrected.Wall = f.Corrected.Wall.Add(time.Hour)
		}
		fs = append(fs, f)
	}
	for moment, letter := range []string{"A", "B"} {
		for n := range 3 {
			add(letter, n+1, 0.1*float64(n), moment, cull.Open)
		}
	}
	add("A", 4, 10, 2, cull.Yes)
	add("A", 5, 10.2, 2, cull.Part)
	add("A", 6, 10.4, 2, cull.Part)
	add("A", 7, 100, 3, cull.Yes)
	add("B", 7, 100, 4, cull.Yes)
	return fs
}

func id(name string) cull.ID {
	return cull.ID(fmt.Sprintf("%s%015s", strings.ToLower(name[:1]), name[1:]))
}

// looks says which frames a picture looks like.
func looks(bits float64, names ...string) (likes []Like) {
	for _, n := range names {
		likes = append(likes, Like{id(n), bits, 1})
	}
	for _, f := range two() {
		if !slices.ContainsFunc(likes, func(l Like) bool { return l.Frame == f.ID }) {
			likes = append(likes, Like{f.ID, 26, 0.5})
		}
	}
	return likes
}

func TestFind(t *testing.T) {
	frames := two()
	frames[0].Documents = []string{"uuid:5f3a9c01d2e84b6f8a11", "uuid:copied-from-a-template"}
	frames[1].Documents = []string{"uuid:copied-from-a-template"}
	for _, i := range []int{6, 7, 8} {
		frames[i].Documents = []string{fmt.Sprintf("uuid:bracket-number-%d", i)}
	}
	burst := looks(2, "A1", "A2", "A3", "B1", "B2", "B3")
	body := func(p Picture, letter string) Picture {
		p.Make, p.Model, p.Serial = "VARNHOLT", "V6", strings.ToLower(letter)+"417"
		return p
	}
	for _, c := range []struct {
		name string
		p    Picture
		want string // frames; "" = open
		why  string // part of the reasons
	}{
		{"nothing", Picture{}, "", "was not compared"},
		{"like none", Picture{Likes: looks(25)}, "", "looks like no frame"},
		{"like a burst", Picture{Likes: burst}, "", "several frames"},
		{"like a lone frame", Picture{Likes: looks(12, "A7")}, "A7", "like no other"},
		{"like a lone frame, from far", Picture{Likes: looks(18, "A7")}, "", ""},
		{"like two lone frames", Picture{Likes: looks(3, "A7", "B7")}, "", ""},
		{"like frames of a merge", Picture{Likes: looks(6, "A4", "A5", "A6")}, "A4 A5 A6", "material"},

		{"name of two bodies", Picture{Path: "finished/IMG_0002.jpg", Likes: burst}, "", "2 frames"},
		{"name and letter", Picture{Path: "finished/0412-B-IMG_0002-Edit.jpg", Likes: burst}, "B2", "its name has B/IMG_0002"},
		{"name and folder", Picture{Path: "finished/a/IMG_0002 (1).tif", Likes: burst}, "A2", ""},
		{"name, and like one body's", Picture{Path: "finished/IMG_0007.jpg", Likes: looks(10, "B7")}, "B7", ""},
		{"name, but like others", Picture{Path: "finished/A-IMG_0007.jpg", Likes: looks(4, "A1", "A2")}, "", "but it looks like A/IMG_0001"},
		{"name, like none", Picture{Path: "finished/A-IMG_0007.jpg", Likes: looks(26)}, "", "nothing else says so"},
		{"name of a body without that frame", Picture{Path: "finished/0005-B-IMG_0005.jpg", Likes: looks(5, "A5")}, "", ""},
		{"a longer number", Picture{Path: "finished/A-IMG_00023.jpg", Likes: burst}, "", ""},

		{"time of two bodies", Picture{Taken: at(0.1, 2), Likes: burst}, "", "2 frames"},
		{"time and serial", body(Picture{Taken: at(0.1, 2), Likes: burst}, "B"), "B2", "taken when B/IMG_0002"},
		{"corrected time", Picture{Taken: at(3600.1, 2), Likes: burst}, "B2", ""},
		{"time of two bodies and the name with a letter", Picture{Path: "finished/A-IMG_0002.jpg", Taken: at(0.1, 2), Likes: burst}, "A2", ""},
		{"time without hundredths", body(Picture{Taken: at(0, 0), Likes: burst}, "A"), "", "3 frames"},
		{"time without hundredths, and name", body(Picture{Path: "finished/IMG_0003.jpg", Taken: at(0, 0), Likes: burst}, "A"), "A3", ""},
		{"time and name that differ", body(Picture{Path: "finished/IMG_0003.jpg", Taken: at(0.1, 2), Likes: burst}, "A"), "", "but its name has"},
		{"time, but like others", body(Picture{Taken: at(100, 2), Likes: burst}, "A"), "", "but it looks like"},
		{"time of nobody, and name", Picture{Path: "finished/A-IMG_0001.jpg", Taken: at(7777, 0), Likes: burst}, "A1", ""},
		{"serial of nobody", Picture{Path: "finished/A-IMG_0001.jpg", Taken: at(0, 2), Serial: "9", Likes: burst}, "", "serial number"},
		{"the model without its maker", Picture{Path: "finished/A-IMG_0001.jpg", Model: "VARNHOLT V6", Likes: burst}, "A1", ""},
		{"another camera, without its maker", Picture{Path: "finished/A-IMG_0001.jpg", Model: "Varnholt V7", Likes: burst}, "", "camera"},
		{"another camera", Picture{Path: "finished/A-IMG_0001.jpg", Make: "Varnholt", Model: "Varnholt V7", Likes: burst}, "", "camera"},
		{"a lone look and another body", Picture{Serial: "b417", Likes: looks(3, "A7")}, "", "serial number"},
		{"a second alone", Picture{Taken: at(100, 0), Serial: "", Likes: looks(26)}, "", ""},

		{"document", Picture{Documents: []string{"uuid:5f3a9c01d2e84b6f8a11"}, Likes: burst}, "A1", "documents"},
		{"a template's document", Picture{Documents: []string{"uuid:copied-from-a-template"}, Likes: burst}, "", "2 frames"},
		{"document and time that differ", body(Picture{Documents: []string{"uuid:5f3a9c01d2e84b6f8a11"}, Taken: at(0.1, 2), Likes: burst}, "A"), "", "but it was taken when"},
		{"name inside", Picture{Sources: []string{"B-IMG_0003.CR3"}, Likes: burst}, "B3", "comes from B/IMG_0003"},
		{"ingredients", Picture{Ingredients: [][]string{{"uuid:bracket-number-8"}, {"uuid:bracket-number-6"}}, Likes: looks(25)}, "A4 A6", "put together"},
		{"names of a merge", Picture{Path: "finished/A-IMG_0002-A-IMG_0003-merged.tif", Likes: burst}, "A2 A3", ""},
		{"names of two moments", Picture{Path: "finished/A-IMG_0002-A-IMG_0007.tif", Likes: burst}, "A2", "looks like it"},
		{"the lead of a merge", Picture{Path: "finished/IMG_0004-2.tif", Likes: looks(9, "A4", "A5", "A6")}, "A4 A5 A6", "material"},

		{"by hand", Picture{Path: "finished/A-IMG_0002.jpg", Said: true, Shows: []cull.ID{id("B3")}}, "B3", "by hand"},
		{"by hand none", Picture{Path: "finished/A-IMG_0002.jpg", Said: true, Likes: burst}, "none", "by hand"},
		{"by hand a frame that is gone", Picture{Said: true, Shows: []cull.ID{"gone"}}, "", "not in the job"},
	} {
		tie := Find([]Picture{c.p}, frames).Ties[0]
		var got []string
		for _, f := range tie.Frames {
			got = append(got, strings.ToUpper(string(f[:1]))+strings.TrimLeft(string(f[1:]), "0"))
		}
		if tie.State == Foreign {
			got = append(got, "none")
		}
		if g := strings.Join(got, " "); g != c.want || !strings.Contains(strings.Join(tie.Why, ", "), c.why) {
			t.Errorf("%s: %q (%v), want %q with %q", c.name, g, tie.Why, c.want, c.why)
		}
		if len(tie.Why) == 0 || (tie.State == Open) != (len(got) == 0) {
			t.Errorf("%s: %+v", c.name, tie)
		}
	}
}

// Of a burst nothing is tied by what was kept; that is what is proposed first. A closer
// look may tell the frame, one that was dropped as well, as long as it was taken at all
// that the picture may show, and nothing else is said.
func TestOfABurst(t *testing.T) {
	frames := two()
	for i := range 3 {
		frames[i].Answer = cull.No
	}
	frames[1].Answer = cull.Yes
	all := []cull.ID{id("A3"), id("A1"), id("A2")}
	closely := func(shows string, among ...cull.ID) Picture {
		p := Picture{Likes: looks(3, "A1", "A2", "A3"), Close: Close{Method: closeMethod, Among: among}}
		if shows != "" {
			p.Close.Shows = id(shows)
		}
		return p
	}
	timed := closely("A3", all...)
	timed.Taken, timed.Serial = at(0, 0), "A417"
	later := timed
	later.Taken = at(10, 0)
	other := closely("A3", all...)
	other.Serial = "b417"
	for _, c := range []struct {
		name    string
		p       Picture
		want    string // "" = open
		nearest string
	}{
		{"nobody looked closer", Picture{Likes: looks(3, "A1", "A2", "A3")}, "", "A2"},
		{"a closer look tells nothing", closely("", all...), "", "A2"},
		{"it tells one that was dropped", closely("A3", all...), "A3", ""},
		{"it was not taken at all of them", closely("A3", all[:2]...), "", "A2"},
		{"by the second too", timed, "A3", ""},
		{"of another second", later, "", "A4"},
		{"of another body", other, "", "A2"},
	} {
		tie := Find([]Picture{c.p}, frames).Ties[0]
		if c.want == "" && (tie.State != Open || tie.Nearest[0] != id(c.nearest)) || c.want != "" && (tie.State != Tied || tie.Frames[0] != id(c.want)) {
			t.Errorf("%s: %+v", c.name, tie)
		}
	}
	undecided := two()
	if tie := Find([]Picture{closely("", all...)}, undecided).Ties[0]; tie.State != Open || tie.Nearest[0] != id("A3") {
		t.Errorf("what fits best comes first where nobody decided: %+v", tie)
	}
	undecided[0].Looked = false
	if tie := Find([]Picture{closely("A3", all[0], all[2])}, undecided).Ties[0]; tie.State != Open {
		t.Errorf("one could not be compared: %+v", tie)
	}
}

// A time that was written down in another zone is the same instant.
func TestTimeInAnotherZone(t *testing.T) {
	frames := two()
	for i := range frames {
		frames[i].Taken.Zone, frames[i].Taken.ZoneIs = 120, cull.ZoneKnown
		frames[i].Corrected = frames[i].Taken
	}
	p := Picture{Taken: at(100-7200, 2), Serial: "B417", Likes: looks(26)}
	p.Taken.ZoneIs = cull.ZoneKnown // Greenwich
	if tie := Find([]Picture{p}, frames).Ties[0]; tie.State != Tied || tie.Frames[0] != id("B7") {
		t.Errorf("%+v", tie)
	}
}

// Numbers of another kind than the job's say nothing where all pictures of a model have
// such; a single one is of another body.
func TestNumbersOfAnotherKind(t *testing.T) {
	var pictures []Picture
	for i := range otherNumbers {
		pictures = append(pictures, Picture{Path: fmt.Sprintf("finished/%d-A-IMG_0001.jpg", 100+i), Taken: at(0, 2), Make: "Varnholt", Model: "Varnholt V6",
			Serial: "internal 7", Likes: looks(2, "A1", "A2", "A3")})
	}
	for n := 1; n <= otherNumbers; n++ {
		want := Open
		if n == otherNumbers {
			want = Tied
		}
		for _, tie := range Find(pictures[:n], two()).Ties {
			if tie.State != want {
				t.Errorf("%d pictures: %+v", n, tie)
			}
		}
	}
	known := pictures[0]
	known.Serial = "a417"
	ties := Find(append(pictures, known), two()).Ties
	if ties[0].State != Open || ties[otherNumbers].State != Tied {
		t.Errorf("beside a known one: %+v, %+v", ties[0], ties[otherNumbers])
	}
}

func TestVersions(t *testing.T) {
	pictures := []Picture{{Path: "finished/b.jpg", Likes: looks(4, "A7")}, {Path: "finished/c.jpg", Likes: looks(4, "B7")}, {Path: "finished/a.jpg", Likes: looks(5, "A7")}}
	ties := Find(pictures, two()).Ties
	got := [][2]int{}
	for _, tie := range ties {
		got = append(got, [2]int{tie.Version, tie.Versions})
	}
	if want := [][2]int{{2, 2}, {1, 1}, {1, 2}}; !reflect.DeepEqual(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
	back := slices.Clone(pictures)
	slices.Reverse(back)
	for i, tie := range Find(back, two()).Ties {
		if !reflect.DeepEqual(tie, ties[len(ties)-1-i]) {
			t.Errorf("in another order %+v, want %+v", tie, ties[len(ties)-1-i])
		}
	}
}

// No text of a picture brings it to a stop, and what is tied is a frame.
func FuzzFind(f *testing.F) {
	f.Add("finished/0412-B-IMG_0002-Edit.jpg", "IMG_0003.CR3", "uuid:bracket-number-8", int64(0), 2, 4.0)
	f.Add("IMG_0001-IMG_0002-IMG_0003", "a/../..", "", int64(-1), 99, -1.0)
	f.Add(strings.Repeat("IMG_0001-", 40), "\x00\xff", "x", int64(1<<62), -5, 1e300)
	f.Fuzz(func(t *testing.T, path, source, document string, seconds int64, digits int, bits float64) {
		p := Picture{Path: path, Sources: []string{source}, Documents: []string{document}, Taken: cull.Stamp{Wall: time.Unix(seconds, 0).UTC(), Digits: digits},
			Ingredients: [][]string{{document}, {source}}, Likes: looks(bits, "A1", "B7")}
		tie := Find([]Picture{p}, two()).Ties[0]
		if (tie.State == Tied) != (len(tie.Frames) > 0) || len(tie.Why) == 0 || len(tie.Nearest) > mostNearest {
			t.Fatalf("%+v", tie)
		}
	})
}
