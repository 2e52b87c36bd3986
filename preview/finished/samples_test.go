package finished_test

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"
	"strings"
	"testing"

	"garner/preview/finished"
	"garner/preview/icc"
	"garner/preview/internal/craft"
	"garner/testdata/testneed"
)

// Unassociated alpha (TIFF 6.0 §18, value 2) on white is what libvips flattens it to,
// which rounds to 8 bits.
func TestAlphaAgainstLibvips(t *testing.T) {
	t.Parallel()
	vips := testneed.Tool(t, "vips")
	tif := baseTIFF(binary.LittleEndian, 83, 61, 4, 8, 2, scene(83, 61, 4, 8), extra(2))
	p := open(t, tif)
	got, err := rowsOf(p)
	if err != nil || !p.Alpha || p.Channels() != 3 || len(p.Remarks) != 1 {
		t.Fatalf("%+v, %v", p, err)
	}
	flat := mustRows(t, run(t, tif, ".tif", vips, "flatten", "IN", "OUT", "--background", "255"))
	if d, at := farthest(got, flat); d > 257 {
		t.Errorf("off by %d at %d", d, at)
	}
}

// What the models and extra samples of TIFF 6.0 (§8, §16, §18) mean, pixel by pixel.
func TestTIFFSamples(t *testing.T) {
	const full, half = 65535, 32896 // 128 of 255
	colours := func(t *craft.TIFF) craft.Field {
		v := make([]uint16, 3*256)
		v[7], v[256+7], v[512+7] = 1, 2, 4000
		return t.Short(320, v...)
	}
	bytes := func(t *craft.TIFF) craft.Field {
		v := make([]uint16, 3*256)
		v[7], v[256+7], v[512+7] = 1, 2, 255
		return t.Short(320, v...)
	}
	for _, c := range []struct {
		name                        string
		channels, bits, photometric int
		px, want                    []uint16
		more                        []func(*craft.TIFF) craft.Field
		remarks                     int
	}{
		{"white is zero", 1, 8, 0, []uint16{0, full, half}, []uint16{full, 0, full - half}, nil, 0},
		{"palette", 1, 8, 3, []uint16{7 * 257, 0, 7 * 257}, []uint16{1, 2, 4000, 0, 0, 0, 1, 2, 4000}, []func(*craft.TIFF) craft.Field{colours}, 0},
		// libtiff takes a palette without a number above 255 for one of bytes, too.
		{"palette of bytes", 1, 8, 3, []uint16{7 * 257, 0}, []uint16{257, 514, full, 0, 0, 0}, []func(*craft.TIFF) craft.Field{bytes}, 0},
		{"associated", 4, 16, 2, []uint16{100, 200, 300, half}, []uint16{100 + full - half, 200 + full - half, 300 + full - half}, []func(*craft.TIFF) craft.Field{extra(1)}, 1},
		{"unassociated", 4, 16, 2, []uint16{100, 200, 300, 0}, []uint16{full, full, full}, []func(*craft.TIFF) craft.Field{extra(2)}, 1},
		{"unspecified", 4, 16, 2, []uint16{100, 200, 300, 5}, []uint16{100, 200, 300}, []func(*craft.TIFF) craft.Field{extra(0)}, 1},
		{"grey with alpha", 2, 16, 1, []uint16{100, full, 100, 0}, []uint16{100, full}, []func(*craft.TIFF) craft.Field{extra(2)}, 1},
		{"ink with alpha", 5, 16, 5, []uint16{full, 10, 20, 30, 0}, []uint16{0, 0, 0, 0}, []func(*craft.TIFF) craft.Field{extra(2)}, 1},
	} {
		b := baseTIFF(binary.BigEndian, len(c.px)/c.channels, 1, c.channels, c.bits, c.photometric, c.px, c.more...)
		p := open(t, b)
		got, err := rowsOf(p)
		if err != nil || len(p.Remarks) != c.remarks {
			t.Errorf("%s: %v, %q", c.name, err, p.Remarks)
			continue
		}
		if d, _ := farthest(got, c.want); d > 0 {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

// The first full picture counts: thumbnails and masks before it do not.
func TestTIFFPages(t *testing.T) {
	c := craft.NewTIFF(binary.LittleEndian)
	at := c.Blob([]byte{1, 2, 3})
	page := func(next, kind, w uint32) uint32 {
		return c.IFD(next, c.Long(254, kind), c.Long(256, w), c.Long(257, 1), c.Short(258, 8), c.Short(262, 1), c.Long(273, at), c.Long(279, w))
	}
	p := open(t, c.Bytes(page(page(page(page(0, 2, 1), 0, 2), 0, 3), 1, 1)))
	if p.Width != 3 || len(p.Remarks) != 1 || !strings.Contains(p.Remarks[0], "3 pages") {
		t.Errorf("%d wide, %q", p.Width, p.Remarks)
	}
	b := c.Bytes(page(0, 1, 1))
	if _, err := finished.Open(bytes.NewReader(b), int64(len(b))); err == nil || !strings.Contains(err.Error(), "no full picture") {
		t.Error(err)
	}
}

// What is not read is said in words.
func TestUnsupported(t *testing.T) {
	tif := func(channels, bits, photometric int, more ...func(*craft.TIFF) craft.Field) []byte {
		return baseTIFF(binary.LittleEndian, 4, 4, channels, bits, photometric, make([]uint16, 16*channels), more...)
	}
	field := func(tag, v uint16) func(*craft.TIFF) craft.Field {
		return func(t *craft.TIFF) craft.Field { return t.Short(tag, v) }
	}
	big := tif(3, 8, 2)
	big[2] = 43
	jpg := craft.JPEG(0xC3, 8, 8, 40)
	for want, b := range map[string][]byte{
		"BigTIFF":         big,
		"Lab colours":     tif(3, 8, 8),
		"YCbCr":           tif(3, 8, 6),
		"raw sensor data": tif(1, 16, 32803),
		"32 bits":         tif(1, 32, 1),
		"plain whole":     tif(1, 16, 1, field(339, 3)),
		"inks other":      tif(4, 8, 5, field(332, 2)),
		"neither a JPEG":  []byte("GIF89a.............."),
		"rare kind":       jpg,
		"dynamic range":   withChunks(plainPNG(t), chunk("cICP", []byte{9, 16, 0, 1}), chunk("sRGB", []byte{0})),
		"2 channels":      tif(2, 8, 2),
	} {
		p, err := finished.Open(bytes.NewReader(b), int64(len(b)))
		if err == nil || p != nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v", want, err)
		}
	}
}

// withChunks puts chunks behind the header of a PNG.
func withChunks(b []byte, chunks ...[]byte) []byte {
	const header = 8 + 25
	out := bytes.Clone(b[:header])
	for _, c := range chunks {
		out = append(out, c...)
	}
	return append(out, b[header:]...)
}

// What the colour chunks of PNG (Third Edition §11.3.2, in the order of §4.3) say.
func TestPNGColours(t *testing.T) {
	adobe := []uint32{31270, 32900, 64000, 33000, 21000, 71000, 15000, 6000}
	bt709 := []uint32{31270, 32900, 64000, 33000, 30000, 60000, 15000, 6000}
	romm := []uint32{34570, 35850, 73470, 26530, 15960, 84040, 3660, 10}
	gamma := func(v uint32) []byte { return chunk("gAMA", craft.U32(v)) }
	chroma := func(v []uint32) []byte { return chunk("cHRM", craft.U32(v...)) }
	blank := plainPNG(t)
	for name, c := range map[string]struct {
		chunks [][]byte
		space  string
		matrix *[9]float64 // of the profile, columns red, green, blue
	}{
		"nothing":           {nil, "", nil},
		"sRGB":              {[][]byte{chunk("sRGB", []byte{0}), gamma(55556)}, finished.SpaceSRGB, nil},
		"gamma alone":       {[][]byte{gamma(45455)}, finished.SpaceSRGB, nil},
		"gamma and BT.709":  {[][]byte{gamma(45455), chroma(bt709)}, finished.SpaceSRGB, nil},
		"Adobe RGB":         {[][]byte{gamma(45455), chroma(adobe)}, finished.SpaceAdobeRGB, nil},
		"coded P3":          {[][]byte{chunk("cICP", []byte{12, 13, 0, 1}), chunk("sRGB", []byte{0})}, finished.SpaceDisplayP3, nil},
		"coded sRGB":        {[][]byte{chunk("cICP", []byte{1, 13, 0, 1})}, finished.SpaceSRGB, nil},
		"a broken checksum": {[][]byte{append(chunk("sRGB", []byte{0})[:9], 1, 2, 3, 4)}, "", nil},
		// Lindbloom's matrix of ROMM RGB, whose white is D50.
		"ROMM": {[][]byte{gamma(55556), chroma(romm)}, "", &[9]float64{.7976749, .1351917, .0313534, .2880402, .7118741, .0000857, 0, 0, .8252100}},
		// Lindbloom's matrix of sRGB adapted to D50 (from memory).
		"linear BT.709": {[][]byte{gamma(100000), chroma(bt709)}, "", &[9]float64{.4360747, .3850649, .1430804, .2225045, .7168786, .0606169, .0139322, .0971045, .7141733}},
		"linear alone":  {[][]byte{gamma(100000)}, "", &[9]float64{.4360747, .3850649, .1430804, .2225045, .7168786, .0606169, .0139322, .0971045, .7141733}},
		"coded unknown": {[][]byte{chunk("cICP", []byte{9, 1, 0, 1})}, "", nil},
		"no colours":    {[][]byte{gamma(55556), chroma(make([]uint32, 8))}, "", nil},
	} {
		p := open(t, withChunks(blank, c.chunks...))
		if p.ColorSpace != c.space || (p.Profile != nil) != (c.matrix != nil) || (p.ProfileFault != "") != (name == "no colours") {
			t.Errorf("%s: %q, profile of %d bytes, %q", name, p.ColorSpace, len(p.Profile), p.ProfileFault)
		}
		if c.matrix == nil || p.Profile == nil {
			continue
		}
		profile, err := icc.Parse(p.Profile)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		for i, v := range c.matrix {
			if math.Abs(profile.Matrix[i/3][i%3]-v) > 0.0006 { // D50 of four digits
				t.Errorf("%s: %.5f, want about %v", name, profile.Matrix, *c.matrix)
				break
			}
		}
	}
}

// Samples of a PNG whose gamma is 1 are light itself (PNG Third Edition §4.3 and
// §11.3.2.2), of grey as of RGB.
func TestPNGOfLinearLight(t *testing.T) {
	for name, m := range map[string]image.Image{"grey": image.NewGray(image.Rect(0, 0, 2, 2)), "RGB": image.NewRGBA(image.Rect(0, 0, 2, 2))} {
		for i := range 4 {
			m.(draw.Image).Set(i%2, i/2, color.RGBA{55, 55, 55, 255})
		}
		var b bytes.Buffer
		if err := png.Encode(&b, m); err != nil {
			t.Fatal(err)
		}
		p := open(t, withChunks(b.Bytes(), chunk("gAMA", craft.U32(100000))))
		c, err := icc.NewConverter(p.Profile, p.Channels(), icc.SpaceSRGB, icc.Options{Intent: icc.Relative, BlackPoint: true})
		if err != nil || p.ProfileFault != "" {
			t.Errorf("%s: %v, %q", name, err, p.ProfileFault)
			continue
		}
		rows, err := rowsOf(p)
		if err != nil {
			t.Fatal(err)
		}
		light := make([]float32, 3*4)
		c.Linear(light, rows)
		for _, v := range light {
			if math.Abs(float64(v)-55.0/255) > 0.0005 {
				t.Errorf("%s: light of %v, want %.4f", name, light, 55.0/255)
				break
			}
		}
	}
}
