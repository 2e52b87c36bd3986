package handoff

import (
	"encoding/json"
	"path"
	"slices"
	"strings"
	"testing"
	"time"

	"garner/cull"
)

// change saves frames and the layout anew.
func (b *bench) change(frame func(i int, f *cull.Frame), place func(i int, p *cull.Place), order ...int) {
	b.t.Helper()
	frames, err := b.j.Frames()
	if err != nil {
		b.t.Fatal(err)
	}
	l, err := b.j.Layout()
	if err != nil {
		b.t.Fatal(err)
	}
	var list []cull.Frame
	for i := range b.n {
		f := frames[b.id(i)]
		if frame != nil {
			frame(i, &f)
		}
		list = append(list, f)
		if place != nil {
			place(i, &l.Places[i])
		}
	}
	if len(order) > 0 {
		was := slices.Clone(l.Places)
		for to, from := range order {
			l.Places[to] = was[from]
		}
	}
	for _, err := range []error{b.j.SaveFrames(list), b.j.SaveLayout(l)} {
		if err != nil {
			b.t.Fatal(err)
		}
	}
}

func TestListsSayTheLight(t *testing.T) {
	b := newBench(t, "A/F_01.NEF", "A/F_02.NEF", "A/F_03.NEF", "A/F_04.NEF", "A/F_05.NEF")
	fired, not := true, false
	b.change(func(i int, f *cull.Frame) {
		f.Luma, f.HasFingerprint, f.Shot.Flash = 0.46, true, &not
		switch i {
		case 1:
			f.Shot.Seconds, f.Luma = 0.005, 0.5 // a third of a stop more
		case 2:
			f.Shot.Flash, f.Luma = &fired, 0.6
		case 4:
			f.HasFingerprint = false
		}
	}, func(i int, p *cull.Place) { p.Scene, p.Moment = 0, []int{0, 1, 2, 3, 3}[i] })
	looks := map[cull.ID]cull.Look{}
	for i := range 5 {
		looks[b.id(i)] = cull.Look{Method: 1, Grey: i == 2}
	}
	if err := b.j.SaveLooks(looks); err != nil {
		t.Fatal(err)
	}
	b.answer(cull.Yes, 0, 1, 2, 3)
	b.answer(cull.Part, 4)
	b.run(Options{})
	for _, line := range []string{
		",A/F_01,0.00,ev100,7.94,no,no\r\n", ",A/F_01,0.32,ev100,7.61,no,no\r\n", ",A/F_01,0.83,luma,,yes,yes\r\n", ",A/F_01,0.00,ev100,7.94,no,no\r\n",
		",A/F_04,,,7.94,no,\r\n", // the keeper of its moment
	} {
		if got := b.read(ListCSV); !strings.Contains(got, line) {
			t.Errorf("no %q in\n%s", line, got)
		}
	}
	var list struct {
		Keeps []struct {
			Lead  *cull.ID
			Light jsonLight
		}
	}
	if err := json.Unmarshal([]byte(b.read(ListJSON)), &list); err != nil || len(list.Keeps) != 5 {
		t.Fatalf("%v, %+v", err, list)
	}
	second, third, material := list.Keeps[1], list.Keeps[2], list.Keeps[4]
	if *second.Lead != b.id(0) || *second.Light.Offset != 0.32 || *second.Light.By != "ev100" || *second.Light.EV100 != 7.61 || *second.Light.Flash || *second.Light.Grey {
		t.Errorf("%+v", second)
	}
	if third.Light.EV100 != nil || *third.Light.By != "luma" || !*third.Light.Flash || !*third.Light.Grey {
		t.Errorf("%+v", third)
	}
	if *material.Lead != b.id(3) || material.Light.Offset != nil || material.Light.By != nil || material.Light.Grey != nil {
		t.Errorf("%+v", material)
	}
}

// names are those of the copied raws, in the order in which a person sees them.
func (b *bench) names(told []string) (names []string) {
	for _, line := range told {
		name, _, _ := strings.Cut(line, " ")
		if strings.HasSuffix(name, ".NEF") {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names
}

// The order of the layout is not that of the day where look-alikes stand beside
// each other or a moment was joined by hand: names follow the day, but material for
// a merge lies beside its lead.
func TestNamesFollowTheDay(t *testing.T) {
	for _, c := range []struct {
		name    string
		moments []int // of each frame, by time
		order   []int // frames as the layout has them
		kept    []int
		part    []int
		want    []string
	}{
		{"look-alikes beside each other", []int{0, 2, 1, 3, 4}, []int{0, 2, 1, 3, 4}, []int{0, 1, 2, 3, 4}, nil,
			[]string{"01/0001-A-F_01.NEF", "01/0002-A-F_02.NEF", "01/0003-A-F_03.NEF", "01/0004-A-F_04.NEF", "01/0005-A-F_05.NEF"}},
		{"joined over time, both kept", []int{0, 1, 0, 2, 3}, []int{0, 2, 1, 3, 4}, []int{0, 1, 2}, nil,
			[]string{"01/0001-A-F_01.NEF", "01/0002-A-F_02.NEF", "01/0003-A-F_03.NEF"}},
		{"joined over time, one is material", []int{0, 1, 2, 0, 3}, []int{0, 3, 1, 2, 4}, []int{1, 2, 3, 4}, []int{0},
			[]string{"01/0001-A-F_01.NEF", "01/0002-A-F_04.NEF", "01/0003-A-F_02.NEF", "01/0004-A-F_03.NEF", "01/0005-A-F_05.NEF"}},
		{"the same, the lead is the earlier one", []int{0, 1, 2, 3, 1}, []int{0, 1, 4, 2, 3}, []int{0, 1, 2, 3}, []int{4},
			[]string{"01/0001-A-F_01.NEF", "01/0002-A-F_02.NEF", "01/0003-A-F_05.NEF", "01/0004-A-F_03.NEF", "01/0005-A-F_04.NEF"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := newBench(t, "A/F_01.NEF", "A/F_02.NEF", "A/F_03.NEF", "A/F_04.NEF", "A/F_05.NEF")
			b.change(nil, func(i int, p *cull.Place) { p.Scene, p.Moment = 0, c.moments[i] }, c.order...)
			b.answer(cull.Yes, c.kept...)
			if len(c.part) > 0 {
				b.answer(cull.Part, c.part...)
			}
			_, told := b.run(Options{To: path.Join(t.TempDir(), "edit")})
			if got := b.names(told); !slices.Equal(got, c.want) {
				t.Errorf("%v\nwant %v", got, c.want)
			}
		})
	}
}

// Material that comes later than its lead lies beside it, also when the scene has
// another name by then and the order has changed.
func TestMaterialGoesBesideItsLead(t *testing.T) {
	b := newBench(t, "A/F_01.NEF", "A/F_02.NEF", "A/F_03.NEF", "A/F_04.NEF")
	to := path.Join(t.TempDir(), "edit")
	b.change(nil, func(i int, p *cull.Place) { p.Scene, p.Moment = 0, []int{0, 1, 2, 2}[i] })
	b.answer(cull.Yes, 2)
	if _, told := b.run(Options{To: to}); !slices.Equal(b.names(told), []string{"01/0003-A-F_03.NEF"}) {
		t.Fatalf("%v", told)
	}
	b.answer(cull.Part, 3)
	l, err := b.j.Layout()
	if err != nil {
		t.Fatal(err)
	}
	l.Scenes[0].Name = "Church"
	for i := range l.Places {
		if l.Places[i].Frame == b.id(0) { // its clock was wrong
			l.Places[i].Corrected.Wall = l.Places[i].Corrected.Wall.Add(24 * time.Hour)
		}
	}
	if err := b.j.SaveLayout(l); err != nil {
		t.Fatal(err)
	}
	if _, told := b.run(Options{To: to}); !slices.Equal(b.names(told), []string{"01/0003-A-F_03.NEF", "01/0003-A-F_04.NEF"}) {
		t.Errorf("%v", told)
	}
}
