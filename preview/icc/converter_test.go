package icc

import (
	"bytes"
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

func converter(t testing.TB, profile []byte, channels int, to Space, o Options) *Converter {
	t.Helper()
	c, err := NewConverter(profile, channels, to, o)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func linear(c *Converter, v ...uint16) [3]float64 {
	var dst [3]float32
	c.Linear(dst[:], v)
	return [3]float64{float64(dst[0]), float64(dst[1]), float64(dst[2])}
}

// Linear sRGB of pure colours of other spaces by the matrices of CSS Color 4, and codes
// of sRGB and of Adobe RGB (1998) by their curves.
func TestPublishedColours(t *testing.T) {
	adobe, p3 := Options{Assume: SpaceAdobeRGB}, Options{Assume: SpaceDisplayP3}
	own := func(name string) []byte {
		for _, s := range publishedSpaces() {
			if s.name == name {
				return s.writer().bytes()
			}
		}
		return nil
	}
	const full = 65535
	for _, c := range []struct {
		name    string
		o       Options
		profile string
		in      [3]uint16
		coded   bool
		want    [3]float64
	}{
		{"Adobe RGB green", adobe, "", [3]uint16{0, full, 0}, false, [3]float64{-0.398283, 1, -0.042938}},
		{"Adobe RGB green by profile", Options{}, "Adobe RGB", [3]uint16{0, full, 0}, false, [3]float64{-0.398283, 1, -0.042938}},
		{"Adobe RGB red", adobe, "", [3]uint16{full, 0, 0}, false, [3]float64{1.398283, 0, 0}},
		{"Adobe RGB white", adobe, "", [3]uint16{full, full, full}, false, [3]float64{1, 1, 1}},
		{"P3 red", p3, "", [3]uint16{full, 0, 0}, true, [3]float64{1.09307, -0.22674, -0.15013}},
		{"P3 green", p3, "", [3]uint16{0, full, 0}, true, [3]float64{-0.51160, 1.01827, -0.31067}},
		{"P3 blue", p3, "", [3]uint16{0, 0, full}, true, [3]float64{0, 0, 1.04202}},
		{"P3 blue by profile", Options{}, "Display P3", [3]uint16{0, 0, full}, true, [3]float64{0, 0, 1.04202}},
	} {
		got := linear(converter(t, own(c.profile), 3, SpaceSRGB, c.o), c.in[:]...)
		for i, v := range got {
			if c.coded {
				v = math.Copysign(encode(math.Abs(v)), v)
			}
			// A profile's own numbers have five digits.
			if math.Abs(v-c.want[i]) > 5e-4 {
				t.Errorf("%s: component %d is %.5f, want %.5f", c.name, i, v, c.want[i])
			}
		}
	}
	grey := converter(t, nil, 1, SpaceSRGB, Options{})
	for code, want := range map[uint16]float64{0: 0, 1: .00030353, 10: .00303527, 11: .00334654, 64: .05126946, 118: .18116424, 127: .21223076, 128: .21586050, 186: .49102085, 188: .50288646, 255: 1} {
		if got := linear(grey, code*257); math.Abs(got[1]-want) > 1e-8+1e-7*want || math.Abs(SpaceSRGB.Code(want)*255-float64(code)) > 1e-3 {
			t.Errorf("sRGB code %d is %.8f, want %.8f", code, got[1], want)
		}
	}
	for light, want := range map[float64]float64{.01: 25, .05: 63, .18: 118, .25: 137, .5: 188, .75: 225} {
		if got := math.Round(255 * SpaceSRGB.Code(light)); got != want {
			t.Errorf("light %.2f is sRGB code %.0f, want %.0f", light, got, want)
		}
	}
	if got := linear(converter(t, nil, 1, SpaceAdobeRGB, adobe), 128*257)[0]; math.Abs(got-0.219638) > 1e-6 {
		t.Errorf("Adobe RGB code 128 is %.6f", got)
	}
}

// What is in the space already keeps its codes, each of them.
func TestSame(t *testing.T) {
	for _, s := range []Space{SpaceSRGB, SpaceDisplayP3, SpaceAdobeRGB} {
		for name, profile := range map[string][]byte{"our profile": Encode(s), "no profile": nil} {
			rgb := converter(t, profile, 3, s, Options{Assume: s})
			grey := converter(t, profile, 1, s, Options{Assume: s})
			if !rgb.Same() || !grey.Same() {
				t.Errorf("%v by %s: same: %v, grey %v", s, name, rgb.Same(), grey.Same())
			}
			for i := range 256 {
				v := uint16(i) * 257
				a, b := linear(rgb, v, 255*257-v, 0), linear(grey, v)
				if s.Code(a[0])*255-float64(i) > 1e-3 || math.Abs(s.Code(a[1])*255-255+float64(i)) > 1e-3 || a[2] != 0 || b != [3]float64{a[0], a[0], a[0]} {
					t.Fatalf("%v by %s: %d becomes %v and grey %v", s, name, i, a, b)
				}
			}
		}
		for _, other := range []Space{SpaceSRGB, SpaceAdobeRGB} {
			if c := converter(t, Encode(other), 3, s, Options{}); c.Same() != (s == other) {
				t.Errorf("%v in %v: same: %v", other, s, c.Same())
			}
		}
	}
}

// Equal codes of a working space are grey to the last digit that matters.
func TestConvertedGreyStaysGrey(t *testing.T) {
	for _, s := range publishedSpaces() {
		for _, to := range []Space{SpaceSRGB, SpaceDisplayP3, SpaceAdobeRGB} {
			c := converter(t, s.writer().bytes(), 3, to, Options{})
			for i := range 256 {
				v := linear(c, uint16(i)*257, uint16(i)*257, uint16(i)*257)
				if math.Abs(v[0]-v[1]) > 1e-6 || math.Abs(v[2]-v[1]) > 1e-6 {
					t.Fatalf("%s in %v: grey %d becomes %v", s.name, to, i, v)
				}
			}
		}
	}
}

// What assembly or the fast way through tables gives is what plain arithmetic in 64 bits
// gives, and the plain Go beside assembly gives to the last bit.
func TestFastWays(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	all := made()
	for _, s := range publishedSpaces() {
		all[s.name] = s.writer().bytes()
	}
	for name, b := range all {
		d, err := openDevice(b)
		if err != nil {
			t.Fatal(err)
		}
		l, err := d.toWhite(Perceptual)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		k := compensate(d.black(Perceptual))
		m := SpaceAdobeRGB.fromWhite()
		m = m.after(&k)
		c := converter(t, b, d.channels, SpaceAdobeRGB, Options{})
		if c.Same() { // snapped
			continue
		}
		for _, n := range []int{1, 2, 3, 255, 256, 257, 700} {
			src := make([]uint16, n*d.channels)
			for i := range src {
				src[i] = uint16(random.Uint32())
			}
			copy(src, []uint16{0, 65535, 0, 65535})
			dst := make([]float32, 3*n+8)
			for i := range dst {
				dst[i] = 77
			}
			c.Linear(dst, src)
			for i, v := range dst[3*n:] {
				if v != 77 {
					t.Fatalf("%s: %d pixels: number %d behind them is written", name, n, i)
				}
			}
			for i := range n {
				var in [4]float64
				for k, v := range src[i*d.channels:][:d.channels] {
					in[k] = float64(v) / 65535
				}
				v := l.at(in)
				for r := range m {
					want := m[r][0]*v[0] + m[r][1]*v[1] + m[r][2]*v[2] + m[r][3]
					if got := float64(dst[3*i+r]); math.Abs(got-want) > 2e-5 {
						t.Fatalf("%s: pixel %d of %d, %v: component %d is %.6f, want %.6f", name, i, n, src[i*d.channels:][:d.channels], r, got, want)
					}
				}
			}
			if c.shaper != nil {
				plain := make([]float32, 3*n)
				c.shaper.linearGo(plain, src)
				for i, v := range plain {
					if v != dst[i] {
						t.Fatalf("%s: number %d of %d pixels is %g, in Go %g", name, i, n, dst[i], v)
					}
				}
			}
		}
	}
}

func TestBytes(t *testing.T) {
	cases := map[string][]byte{"RGB": Encode(SpaceAdobeRGB), "CMYK": made()["lut16, CMYK, Lab"]}
	for name, profile := range cases {
		info, err := Read(profile)
		if err != nil {
			t.Fatal(err)
		}
		c := converter(t, profile, info.Channels, SpaceSRGB, Options{})
		src := make([]byte, 1001*info.Channels)
		wide := make([]uint16, len(src))
		for i := range src {
			src[i] = byte(i * 7)
			wide[i] = uint16(src[i]) * 257
		}
		a, b := make([]float32, 3003), make([]float32, 3003)
		c.Bytes(a, src)
		c.Linear(b, wide)
		for i := range a {
			if a[i] != b[i] {
				t.Fatalf("%s: number %d is %g of bytes, %g of 16 bits", name, i, a[i], b[i])
			}
		}
	}
}

// A grey picture in an RGB space is one whose three channels are alike.
func TestGreyOfRGB(t *testing.T) {
	for name, b := range made() {
		info, err := Read(b)
		if err != nil || info.Channels != 3 {
			continue
		}
		rgb, grey := converter(t, b, 3, SpaceSRGB, Options{}), converter(t, b, 1, SpaceSRGB, Options{})
		for i := 0; i < 65536; i += 771 {
			v, w := linear(rgb, uint16(i), uint16(i), uint16(i)), linear(grey, uint16(i))
			for k := range v {
				if math.Abs(v[k]-w[k]) > 2e-5 {
					t.Fatalf("%s: %d becomes %v, as a grey picture %v", name, i, v, w)
				}
			}
		}
	}
}

func TestSpaceNames(t *testing.T) {
	for name, want := range map[string]Space{"sRGB": SpaceSRGB, "SRGB": SpaceSRGB, "Display P3": SpaceDisplayP3, "displayp3": SpaceDisplayP3, "Adobe RGB": SpaceAdobeRGB, "AdobeRGB": SpaceAdobeRGB} {
		if s, ok := SpaceNamed(name); !ok || s != want {
			t.Errorf("%q is %v, %v", name, s, ok)
		}
	}
	if s, ok := SpaceNamed("CMYK"); ok {
		t.Errorf("CMYK is %v", s)
	}
}

// Profiles that do not fit their picture, or do not hold what they say.
func TestConverterRefuses(t *testing.T) {
	tables := made()
	lut16, ab := tables["lut16, RGB, Lab"], tables["lutAToB, RGB, uneven"]
	tagAt := func(b []byte) int { return int(b[128+4+3*12+4+2])<<8 | int(b[128+4+3*12+4+3]) } // of the fourth tag
	patch := func(b []byte, at int, v ...byte) []byte {
		b = bytes.Clone(b)
		copy(b[tagAt(b)+at:], v)
		return b
	}
	grey := writer{class: "mntr", space: "GRAY", pcs: "XYZ "}.with("kTRC", curvType(563)).bytes()
	var format FormatError
	var unsupported UnsupportedError
	for _, c := range []struct {
		name     string
		b        []byte
		channels int
		as       any
		says     string
	}{
		{"CMYK for RGB", tables["lut8, CMYK, Lab"], 3, &unsupported, "icc: unsupported: CMYK profile with an RGB picture"},
		{"CMYK for grey", tables["lut8, CMYK, Lab"], 1, &unsupported, "icc: unsupported: CMYK profile with a grey picture"},
		{"RGB for CMYK", lut16, 4, &unsupported, "icc: unsupported: RGB profile with a CMYK picture"},
		{"grey for RGB", grey, 3, &unsupported, "icc: unsupported: grey profile with an RGB picture"},
		{"CMYK alone", nil, 4, &unsupported, "icc: unsupported: CMYK picture without a profile"},
		{"two channels", nil, 2, &unsupported, ""},
		{"too long", make([]byte, MaxProfile+1), 3, &unsupported, ""},
		{"empty", []byte{}, 3, &format, ""},
		{"Lab values", writer{class: "spac", space: "Lab ", pcs: "Lab "}.bytes(), 3, &unsupported, ""},
		{"a link", writer{class: "link", space: "RGB ", pcs: "RGB "}.bytes(), 3, &unsupported, ""},
		{"to CMYK", writer{class: "scnr", space: "RGB ", pcs: "CMYK"}.bytes(), 3, &unsupported, ""},
		{"CMYK without tables", writer{class: "prtr", space: "CMYK", pcs: "Lab "}.bytes(), 4, &format, ""},
		{"grey without a curve", writer{class: "mntr", space: "GRAY", pcs: "XYZ "}.bytes(), 1, &format, ""},
		{"an empty table", writer{class: "scnr", space: "RGB ", pcs: "Lab "}.with("A2B0", nil).bytes(), 3, &format, ""},
		{"table of a strange type", patch(lut16, 0, 'm', 'p', 'e', 't'), 3, &unsupported, ""},
		{"table of the other direction", patch(ab, 0, 'm', 'B', 'A', ' '), 3, &unsupported, ""},
		{"four channels in", patch(lut16, 8, 4), 3, &format, ""},
		{"one channel out", patch(lut16, 9, 1), 3, &format, ""},
		{"no points", patch(lut16, 10, 0), 3, &format, ""},
		{"one point", patch(lut16, 10, 1), 3, &format, ""},
		{"255 points", patch(lut16, 10, 255), 3, &format, ""},
		{"7 points", patch(lut16, 10, 7), 3, &format, ""},
		{"curves of one entry", patch(lut16, 48, 0, 1), 3, &format, ""},
		{"curves of 65535 entries", patch(lut16, 48, 255, 255), 3, &format, ""},
		{"long last curves", patch(lut16, 50, 0, 99), 3, &format, ""},
		{"curves outside", patch(ab, 12, 0, 1, 0, 0), 3, &format, ""},
		{"curves far outside", patch(ab, 28, 255, 255, 255, 255), 3, &format, ""},
		{"matrix outside", patch(ab, 16, 0, 0, 255, 255), 3, &format, ""},
		{"grid outside", patch(ab, 24, 0, 0, 255, 255), 3, &format, ""},
		{"curves that are the table itself", patch(ab, 20, 0, 0, 0, 1), 3, &unsupported, ""},
		{"no last curves", patch(ab, 12, 0, 0, 0, 0), 3, &format, ""},
	} {
		got, err := NewConverter(c.b, c.channels, SpaceSRGB, Options{})
		if got != nil || !errors.As(err, c.as) || c.says != "" && err.Error() != c.says {
			t.Errorf("%s: %v, %v", c.name, got != nil, err)
		}
	}
}
