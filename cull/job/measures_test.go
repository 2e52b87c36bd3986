package job

import (
	"bytes"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"garner/cull"
)

// single is a number that single precision holds.
func single(r *rand.Rand) float64 { return float64(float32(r.NormFloat64() * 100)) }

func randomRegion(r *rand.Rand) cull.Region {
	return cull.Region{X: single(r), Y: single(r), W: single(r), H: single(r)}
}

func randomSharpness(r *rand.Rand) cull.Sharpness {
	return cull.Sharpness{Energy: single(r), Edge: single(r), Blur: single(r), Noise: single(r), Pixels: r.IntN(10000)}
}

func randomMeasures(r *rand.Rand) cull.Measures {
	m := cull.Measures{
		Focus: cull.Focus{Method: cull.FocusMethod, Width: r.IntN(20000), Height: r.IntN(20000), Small: r.IntN(2) == 0},
		Light: cull.Light{Method: cull.LightMethod, Highlights: single(r), AnyHigh: single(r), Shadows: single(r)},
		Faces: cull.Faces{Method: cull.FacesMethod, Width: r.IntN(20000), Height: r.IntN(20000)},
	}
	for range r.IntN(cull.MaxSpots + 1) {
		m.Focus.Spots = append(m.Focus.Spots, cull.Spot{Region: randomRegion(r), By: cull.SpotBy(r.IntN(int(cull.ByTile) + 1)), Sharpness: randomSharpness(r)})
	}
	for range r.IntN(cull.MaxFaces + 1) {
		m.Faces.List = append(m.Faces.List, cull.Face{
			Region: randomRegion(r), Score: single(r), Presence: single(r), Eyes: cull.Eyes(r.IntN(int(cull.EyesFaceUncertain) + 1)),
			Opening: single(r), EyeApart: single(r), Sharpness: randomSharpness(r), Luma: single(r), Clipped: single(r),
		})
	}
	return m
}

func TestMeasuresComeBackAsTheyWereWritten(t *testing.T) {
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	r := rand.New(rand.NewPCG(seed, 1))
	for range 300 {
		want := randomMeasures(r)
		var got cull.Measures
		var ok [3]bool
		got.Focus, ok[0] = decodeFocus(encodeFocus(want.Focus))
		got.Light, ok[1] = decodeLight(encodeLight(want.Light))
		got.Faces, ok[2] = decodeFaces(encodeFaces(want.Faces))
		if ok != [3]bool{true, true, true} || !reflect.DeepEqual(got, want) {
			t.Fatalf("%v %+v, want %+v", ok, got, want)
		}
	}
}

// A record that is cut, too long, of a later version, of no method or that counts
// more than it holds is none.
func TestDamagedMeasuresAreNone(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	m := randomMeasures(r)
	m.Focus.Spots = []cull.Spot{{By: cull.BySubject}}
	m.Faces.List = []cull.Face{{Eyes: cull.EyesOpen}, {}}
	for name, c := range map[string]struct {
		blob   []byte
		decode func([]byte) bool
		count  int // where the list is counted; 0 = there is none
		kind   int // where the first of it says its kind
	}{
		"focus": {encodeFocus(m.Focus), func(b []byte) bool { _, ok := decodeFocus(b); return ok }, focusBytes - 1, focusBytes},
		"light": {encodeLight(m.Light), func(b []byte) bool { _, ok := decodeLight(b); return ok }, 0, 0},
		"faces": {encodeFaces(m.Faces), func(b []byte) bool { _, ok := decodeFaces(b); return ok }, facesBytes - 1, facesBytes + 24},
		"tried": {encodeTried(Tried{Of: "a", Focus: 1, Why: "b"}), func(b []byte) bool { _, ok := decodeTried(b); return ok }, 4, 0},
	} {
		if !c.decode(c.blob) {
			t.Fatalf("%s: its own form is refused", name)
		}
		bad := map[string][]byte{"longer": append(slices.Clone(c.blob), 0)}
		for n := range c.blob {
			bad[fmt.Sprintf("cut at %d", n)] = c.blob[:n]
		}
		at := func(what string, i int, v byte) {
			b := slices.Clone(c.blob)
			b[i] = v
			bad[what] = b
		}
		at("a later version", 0, measuresVersion+1)
		if name != "tried" {
			at("no method", 1, 0)
		}
		if c.count > 0 {
			at("one more", c.count, c.blob[c.count]+1)
			at("many", c.count, 255)
		}
		if c.kind > 0 {
			at("an unknown kind", c.kind, 200)
		}
		for what, b := range bad {
			if c.decode(b) {
				t.Errorf("%s, %s: %x is taken for a record", name, what, b)
			}
		}
	}
	nan := encodeLight(cull.Light{Method: 1})
	copy(nan[2:], []byte{0x7f, 0xc0, 0, 0})
	if l, ok := decodeLight(nan); ok {
		t.Errorf("no number: %v", l)
	}
}

// What is measured wrongly is kept as far as it makes sense, and never so that it
// cannot be read.
func TestMeasuresOutOfBounds(t *testing.T) {
	f := cull.Focus{Method: 1, Width: -1, Spots: make([]cull.Spot, cull.MaxSpots+9)}
	f.Spots[0].Energy, f.Spots[1].Edge, f.Spots[2].X = math.NaN(), math.Inf(1), 1e300
	got, ok := decodeFocus(encodeFocus(f))
	if !ok || len(got.Spots) != cull.MaxSpots || got.Width != 0 || got.Spots[0].Energy != 0 || got.Spots[1].Edge != 0 || got.Spots[2].X != 0 {
		t.Errorf("%v %+v", ok, got)
	}
	faces, ok := decodeFaces(encodeFaces(cull.Faces{Method: 1, List: make([]cull.Face, 1000)}))
	if !ok || len(faces.List) != cull.MaxFaces {
		t.Errorf("%v, %d faces", ok, len(faces.List))
	}
	long := strings.Repeat("x", 1000)
	if got, ok := decodeTried(encodeTried(Tried{Of: long, Why: long})); !ok || got.Of != long[:255] || got.Why != long[:255] {
		t.Errorf("%v %+v", ok, got)
	}
}

// FuzzDecodeMeasures reads a record as every kind: what is taken is written again
// as it was, and holds no more than is allowed.
func FuzzDecodeMeasures(f *testing.F) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 2 {
		m := randomMeasures(r)
		f.Add(encodeFocus(m.Focus))
		f.Add(encodeLight(m.Light))
		f.Add(encodeFaces(m.Faces))
	}
	f.Add(encodeTried(Tried{Of: "12:34", Focus: 1, Why: "it is cut off"}))
	f.Add([]byte{})
	f.Fuzz(func(t *testing.T, b []byte) {
		same := func(what string, ok, known bool, again []byte) {
			if ok != known || ok && !bytes.Equal(again, b) {
				t.Fatalf("%s: %v, %v: %x becomes %x", what, ok, known, b, again)
			}
		}
		focus, ok := decodeFocus(b)
		same("focus", ok, focus.Known(), encodeFocus(focus))
		light, ok := decodeLight(b)
		same("light", ok, light.Known(), encodeLight(light))
		faces, ok := decodeFaces(b)
		same("faces", ok, faces.Known(), encodeFaces(faces))
		tried, ok := decodeTried(b)
		same("tried", ok, ok, encodeTried(tried))
		if len(focus.Spots) > cull.MaxSpots || len(faces.List) > cull.MaxFaces || len(tried.Of) > 255 || len(tried.Why) > 255 {
			t.Fatalf("%d spots, %d faces", len(focus.Spots), len(faces.List))
		}
	})
}

func measuredJob(t *testing.T, frames ...cull.Frame) *Job {
	t.Helper()
	j, err := Open(t.TempDir(), Options{Who: "anna"})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { j.Close() })
	if err := j.SaveFrames(frames); err != nil {
		t.Fatal(err)
	}
	return j
}

func frameWith(id cull.ID, head string) cull.Frame {
	path := "A/" + string(id) + ".CR3"
	return cull.Frame{ID: id, Name: "A/" + string(id), Files: []cull.File{{Path: path, Role: cull.RoleMain, Size: 1000, Head: head}},
		Previews: []cull.Preview{{File: path, Offset: 100, Length: 800, Width: 600, Height: 400, Whole: true}}}
}

const (
	one cull.ID = "0000000000000001"
	two cull.ID = "0000000000000002"
)

func wantMeasures(t *testing.T, j *Job, what string, want map[cull.ID]cull.Measures) {
	t.Helper()
	if got, err := j.Measures(); err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("%s: %v\n%+v, want\n%+v", what, err, got, want)
	}
	of, err := j.MeasuresOf(slices.Collect(maps.Keys(want))...)
	if err != nil || !reflect.DeepEqual(of, want) {
		t.Errorf("%s, of some: %v\n%+v, want\n%+v", what, err, of, want)
	}
}

func TestSaveMeasures(t *testing.T) {
	j := measuredJob(t, frameWith(one, "aa"), frameWith(two, "bb"))
	do := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	r := rand.New(rand.NewPCG(3, 4))
	a, b := randomMeasures(r), randomMeasures(r)
	want := map[cull.ID]cull.Measures{one: {Focus: a.Focus, Light: a.Light}, two: {Focus: b.Focus, Light: b.Light}}
	do(j.SaveMeasures(map[cull.ID]cull.Measures{one: a, two: b}))
	wantMeasures(t, j, "nobody said yes to faces", want)

	do(j.SetFaces(true))
	do(j.SaveMeasures(map[cull.ID]cull.Measures{one: {Faces: a.Faces}}))
	want[one] = a
	wantMeasures(t, j, "faces alone", want)

	// Damage counts as none.
	do(j.PutEvidence(cull.LightMethodName, map[cull.ID][]byte{two: {1, 2, 3}}))
	want[two] = cull.Measures{Focus: b.Focus}
	wantMeasures(t, j, "damage", want)

	// Another name takes everything along, other pixels take nothing.
	renamed := frameWith("0000000000000009", "aa")
	renamed.Aliases, renamed.Files, renamed.Previews = []cull.ID{one}, frameWith(one, "aa").Files, frameWith(one, "aa").Previews
	do(j.SaveFrames([]cull.Frame{renamed}))
	want["0000000000000009"] = want[one]
	delete(want, one)
	wantMeasures(t, j, "another name", want)
	moved := frameWith(two, "bb")
	moved.Files[0].Path, moved.Previews[0].File = "B/x.CR3", "B/x.CR3"
	do(j.SaveFrames([]cull.Frame{moved}))
	wantMeasures(t, j, "a file moved", want)
	moved.Files[0].Head = "cc"
	do(j.SaveFrames([]cull.Frame{moved}))
	delete(want, two)
	wantMeasures(t, j, "a file changed", want)
	do(j.ForgetFaces())
	want["0000000000000009"] = cull.Measures{Focus: a.Focus, Light: a.Light}
	wantMeasures(t, j, "faces forgotten", want)
}

func TestSaveMeasured(t *testing.T) {
	j := measuredJob(t, frameWith(one, "aa"), frameWith(two, "bb"))
	r := rand.New(rand.NewPCG(5, 6))
	a, b := randomMeasures(r), randomMeasures(r)
	save := func(id cull.ID, m cull.Measures, tried Tried) {
		t.Helper()
		if err := j.SaveMeasured(map[cull.ID]Measured{id: {m, tried}}); err != nil {
			t.Fatal(err)
		}
	}
	wantTried := func(what string, want map[cull.ID]Tried) {
		t.Helper()
		if got, err := j.Tried(); err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("%s: %v %+v, want %+v", what, err, got, want)
		}
	}
	save(one, a, Tried{Of: "x", Focus: 1, Light: 1, Faces: 1})
	save("00000000000000ff", a, Tried{Of: "x", Focus: 1})
	want := map[cull.ID]Tried{one: {Of: "x", Focus: 1, Light: 1}}
	wantTried("faces without a yes, and a frame that is not there", want)
	if err := j.SetFaces(true); err != nil {
		t.Fatal(err)
	}
	save(one, cull.Measures{Faces: a.Faces}, Tried{Of: "x", Faces: 1})
	save(two, cull.Measures{}, Tried{Of: "y", Focus: 1, Light: 1, Faces: 1, Why: "it is cut off"})
	want[one], want[two] = Tried{Of: "x", Focus: 1, Light: 1, Faces: 1}, Tried{Of: "y", Focus: 1, Light: 1, Faces: 1, Why: "it is cut off"}
	wantTried("faces later", want)
	wantMeasures(t, j, "faces later", map[cull.ID]cull.Measures{one: a})
	save(one, cull.Measures{Light: b.Light}, Tried{Of: "other pixels", Light: 1})
	want[one] = Tried{Of: "other pixels", Light: 1}
	wantTried("other pixels", want)
	wantMeasures(t, j, "other pixels", map[cull.ID]cull.Measures{one: {Light: b.Light}})
	if err := j.SetFaces(false); err != nil {
		t.Fatal(err)
	}
	want[two] = Tried{Of: "y", Focus: 1, Light: 1, Why: "it is cut off"}
	wantTried("withdrawn", want)
}

// Thousands of frames are read when a job is opened.
func TestMeasuresAreCompact(t *testing.T) {
	if n := len(encodeFaces(cull.Faces{Method: 1, List: make([]cull.Face, 4)})); n > 300 {
		t.Errorf("four faces take %d bytes", n)
	}
	if n := len(encodeFocus(cull.Focus{Method: 1, Spots: make([]cull.Spot, cull.MaxSpots)})); n > 600 {
		t.Errorf("all spots take %d bytes", n)
	}
}

// What was measured of 10,000 frames with five spots and four faces each, read as the
// station does when it opens.
func BenchmarkMeasuresOf10000(b *testing.B) {
	j, err := Open(b.TempDir(), Options{Who: "anna"})
	if err != nil {
		b.Fatal(err)
	}
	defer j.Close()
	r := rand.New(rand.NewPCG(1, 1))
	m := randomMeasures(r)
	m.Focus.Spots, m.Faces.List = make([]cull.Spot, 5), make([]cull.Face, 4)
	found := map[cull.ID]cull.Measures{}
	for i := range 10_000 {
		found[cull.ID(fmt.Sprintf("%016x", i+1))] = m
	}
	if err := j.SetFaces(true); err != nil {
		b.Fatal(err)
	}
	if err := j.SaveMeasures(found); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if got, err := j.Measures(); err != nil || len(got) != 10_000 {
			b.Fatal(len(got), err)
		}
	}
}
