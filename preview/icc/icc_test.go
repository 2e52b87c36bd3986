package icc

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"testing"

	"garner/testdata/testneed"
)

func parsed(t testing.TB, b []byte) *Profile {
	t.Helper()
	p, err := Parse(b)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestPublishedSpaces(t *testing.T) {
	own := map[string]*Profile{"sRGB": SRGB(), "Adobe RGB": AdobeRGB(), "Display P3": DisplayP3()}
	for _, s := range publishedSpaces() {
		p := parsed(t, s.writer().bytes())
		if p.Description != s.name || p.IsSRGB() != (s.name == "sRGB") {
			t.Errorf("%s: %q, is sRGB: %v", s.name, p.Description, p.IsSRGB())
		}
		for r := range 3 {
			for c := range 3 {
				if d := p.Matrix[r][c] - own[s.name].Matrix[r][c]; math.Abs(d) > 2e-4 {
					t.Errorf("%s: row %d column %d is %.5f in the profile, %.5f worked out", s.name, r, c, p.Matrix[r][c], own[s.name].Matrix[r][c])
				}
			}
		}
		for i := range 256 {
			if d := p.Curves[1][i] - own[s.name].Curves[1][i]; math.Abs(d) > 2e-5 {
				t.Errorf("%s: code %d is %.6f in the profile, %.6f worked out", s.name, i, p.Curves[1][i], own[s.name].Curves[1][i])
			}
		}
	}
}

// Values of the Adobe RGB (1998) and Display P3 primaries in linear and in coded
// sRGB as the matrices of CSS Color 4 give them.
func TestPrimariesInSRGB(t *testing.T) {
	for _, c := range []struct {
		name  string
		p     *Profile
		in    [3]float64
		coded bool
		want  [3]float64
	}{
		{"Adobe RGB green", AdobeRGB(), [3]float64{0, 1, 0}, false, [3]float64{-0.398283, 1, -0.042938}},
		{"Adobe RGB red", AdobeRGB(), [3]float64{1, 0, 0}, false, [3]float64{1.398283, 0, 0}},
		{"P3 red", DisplayP3(), [3]float64{1, 0, 0}, true, [3]float64{1.09307, -0.22674, -0.15013}},
		{"P3 green", DisplayP3(), [3]float64{0, 1, 0}, true, [3]float64{-0.51160, 1.01827, -0.31067}},
		{"P3 blue", DisplayP3(), [3]float64{0, 0, 1}, true, [3]float64{0, 0, 1.04202}},
	} {
		m := c.p.ToSRGB()
		for i, v := range m.Times(c.in) {
			if c.coded {
				v = math.Copysign(encode(math.Abs(v)), v)
			}
			if math.Abs(v-c.want[i]) > 5e-4 {
				t.Errorf("%s: component %d is %.5f, want %.5f", c.name, i, v, c.want[i])
			}
		}
	}
	if got := AdobeRGB().Convert([3]uint8{0, 255, 0}); got != [3]uint8{0, 255, 0} {
		t.Errorf("Adobe RGB green is clipped to %v", got)
	}
}

func TestCurves(t *testing.T) {
	at := func(x float64) int { return int(math.Round(x * 255)) }
	for _, c := range []struct {
		name string
		data []byte
		code int
		want float64
	}{
		{"identity", curvType(), 51, 0.2},
		{"gamma 563/256, Adobe RGB (1998) 4.3.1", curvType(563), 128, 0.219638},
		{"two samples", curvType(0, 65535), 51, 0.2},
		{"three samples", curvType(0, 16384, 65535), 51, 0.1},
		{"samples, upper half", curvType(0, 0, 65535), 204, 0.6},
		{"samples, white", curvType(0, 0, 65535), 255, 1},
		{"type 0", paraType(0, 2), 51, 0.04},
		{"type 1", paraType(1, 2, 2, -0.5), 51, 0},
		{"type 1 above", paraType(1, 2, 2, -0.5), at(0.6), 0.49},
		{"type 2", paraType(2, 2, 2, -0.5, 0.25), 51, 0.25},
		{"type 2 above", paraType(2, 2, 2, -0.5, 0.25), at(0.6), 0.74},
		{"type 3", srgbCurve, 128, 0.215861},
		{"type 3 below", srgbCurve, 5, 5.0 / 255 / 12.92},
		{"type 4", paraType(4, 1, 1, 0, 0.5, 0.5, 0.1, 0.2), 51, 0.3},
		{"type 4 above", paraType(4, 1, 1, 0, 0.5, 0.5, 0.1, 0.2), 204, 0.9},
		{"above one", paraType(4, 1, 8, 0, 0, 0, 0, 0), 204, 1},
		{"below zero", paraType(4, 1, -8, 0, 0, 0, 0, 0), 204, 0},
		{"no number", paraType(0, -2), 0, 1}, // 1/0
		{"a root of something negative", paraType(3, 0.5, -1, 0, 0, 0), 204, 0},
		{"type 1 without a slope", paraType(1, 2, 0, 0.5), 204, 0.25},
	} {
		var got [256]float64
		if err := curve(&got, c.data); err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if math.Abs(got[c.code]-c.want) > 1e-4 {
			t.Errorf("%s: code %d is %.6f, want %.6f", c.name, c.code, got[c.code], c.want)
		}
	}
}

func TestRefused(t *testing.T) {
	good := publishedSpaces()[1].writer()
	patch := func(at int, v ...byte) []byte {
		b := good.bytes()
		copy(b[at:], v)
		return b
	}
	var format FormatError
	var unsupported UnsupportedError
	for _, c := range []struct {
		name string
		b    []byte
		as   any
	}{
		{"nothing", nil, &format},
		{"cut header", good.bytes()[:100], &format},
		{"no signature", patch(36, 'x'), &format},
		{"longer than it is", patch(0, 0xFF), &format},
		{"shorter than its header", patch(0, 0, 0, 0, 9), &format},
		{"four thousand million tags", patch(128, 0xFF, 0xFF, 0xFF, 0xFF), &format},
		{"a tag more than there is room", good.bytes()[:len(good.bytes())-1], &format},
		{"printer", writer{"prtr", "RGB ", "XYZ ", good.tags}.bytes(), &unsupported},
		{"CMYK", writer{"mntr", "CMYK", "XYZ ", good.tags}.bytes(), &unsupported},
		{"grey", writer{"mntr", "GRAY", "XYZ ", good.tags}.bytes(), &unsupported},
		{"Lab tables", writer{"mntr", "RGB ", "Lab ", good.tags}.bytes(), &unsupported},
		{"tables only", good.without("rXYZ").with("A2B0", make([]byte, 64)).bytes(), &unsupported},
		{"no green", good.without("gXYZ").bytes(), &format},
		{"no curve", good.without("bTRC").bytes(), &format},
		{"short curve", good.with("bTRC", curvType(1, 2, 3)[:16]).bytes(), &format},
		{"curve of another type", good.with("bTRC", []byte("mAB \x00\x00\x00\x00\x00\x00\x00\x00")).bytes(), &unsupported},
		{"parametric curve of type 9", good.with("bTRC", paraType(9, 1)).bytes(), &unsupported},
		{"parametric curve without parameters", good.with("bTRC", paraType(4, 1)).bytes(), &format},
		{"short primary", good.with("rXYZ", xyzType(0.6)).bytes(), &format},
		{"blue twice as bright", good.with("bXYZ", xyzType(0.3, 0.12, 1.5)).bytes(), &unsupported},
		{"primaries far outside of all colours", good.with("rXYZ", xyzType(9, 0, 0)).with("gXYZ", xyzType(-8.0358, 1, 0)).with("bXYZ", xyzType(0, 0, 0.8249)).bytes(), &unsupported},
	} {
		p, err := Parse(c.b)
		if p != nil || !errors.As(err, c.as) {
			t.Errorf("%s: %v, %v", c.name, p != nil, err)
		}
	}
}

func TestDescription(t *testing.T) {
	good := publishedSpaces()[1].writer()
	for _, c := range []struct {
		name string
		data []byte
		want string
	}{
		{"version 4", mlucType("Adobe RGB (1998)"), "Adobe RGB (1998)"},
		{"version 2", descType("Adobe RGB (1998)"), "Adobe RGB (1998)"},
		{"cut", descType("Adobe RGB (1998)")[:17], "Adobe"},
		{"claims too much", append([]byte("desc\x00\x00\x00\x00\xFF\xFF\xFF\xFF"), "ab"...), "ab"},
		{"place outside", append([]byte("mluc\x00\x00\x00\x00\x00\x00\x00\x01\x00\x00\x00\x0cenUS\x00\x00\x00\x08\xFF\xFF\xFF\xFF"), 0), ""},
		{"of another type", []byte("text\x00\x00\x00\x00hello hello"), ""},
		{"not UTF-8", descType("a\xFFb"), "a\uFFFDb"},
	} {
		if p := parsed(t, good.with("desc", c.data).bytes()); p.Description != c.want {
			t.Errorf("%s: %q, want %q", c.name, p.Description, c.want)
		}
	}
	long := make([]byte, 4000)
	for i := range long {
		long[i] = 0xE9
	}
	if p := parsed(t, good.with("desc", descType(string(long))).bytes()); len(p.Description) > MaxText {
		t.Errorf("a description of %d bytes", len(p.Description))
	}
}

// Profiles that ghostscript's Debian package installs: what others wrote.
func TestProfilesOfOthers(t *testing.T) {
	dir := testneed.Folder(t, "/usr/share/color/icc/ghostscript", "libgs-common")
	for _, c := range []struct {
		name string
		srgb bool
		like *Profile // nil = refused
	}{
		{"srgb.icc", true, SRGB()}, {"a98.icc", false, AdobeRGB()}, {"default_cmyk.icc", false, nil}, {"default_gray.icc", false, nil}, {"lab.icc", false, nil},
	} {
		b, err := os.ReadFile(filepath.Join(dir, c.name))
		if err != nil {
			t.Fatal(err)
		}
		p, err := Parse(b)
		if c.like == nil {
			if p != nil {
				t.Errorf("%s: read as %q", c.name, p.Description)
			}
			continue
		}
		if err != nil || p.IsSRGB() != c.srgb {
			t.Errorf("%s: %v, %+v", c.name, err, p)
			continue
		}
		for _, rgb := range [][3]uint8{{0, 0, 0}, {255, 255, 255}, {128, 128, 128}, {200, 30, 90}, {10, 200, 10}, {40, 60, 250}, {255, 128, 0}} {
			got, want := p.Convert(rgb), c.like.Convert(rgb)
			for i := range got {
				if d := int(got[i]) - int(want[i]); d < -1 || d > 1 {
					t.Errorf("%s (%s): %v becomes %v, by the published numbers %v", c.name, p.Description, rgb, got, want)
					break
				}
			}
		}
	}
}

// Grey has no colour in any of the spaces, and stays so.
func TestGreyStaysGrey(t *testing.T) {
	for _, p := range []*Profile{AdobeRGB(), DisplayP3()} {
		for v := range 256 {
			got := p.Convert([3]uint8{uint8(v), uint8(v), uint8(v)})
			if got[0] != got[1] || got[1] != got[2] {
				t.Errorf("%s: grey %d becomes %v", p.Description, v, got)
			}
			if p.Description == "Display P3" && int(got[0]) != v {
				t.Errorf("%s has the curve of sRGB, yet %d becomes %d", p.Description, v, got[0])
			}
		}
	}
}
