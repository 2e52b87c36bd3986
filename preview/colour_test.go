package preview

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	stdjpeg "image/jpeg"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"

	"garner/preview/icc"
	"garner/preview/internal/craft"
	"garner/preview/jpeg"
	"garner/testdata/testneed"
)

// coded is a JPEG of one colour, 4:2:0.
func coded(t testing.TB, w, h int, r, g, b uint8) []byte {
	t.Helper()
	m := image.NewYCbCr(image.Rect(0, 0, w, h), image.YCbCrSubsampleRatio420)
	y, cb, cr := color.RGBToYCbCr(r, g, b)
	for i := range m.Y {
		m.Y[i] = y
	}
	for i := range m.Cb {
		m.Cb[i], m.Cr[i] = cb, cr
	}
	var out bytes.Buffer
	if err := stdjpeg.Encode(&out, m, &stdjpeg.Options{Quality: 98}); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// tagged puts segments behind the SOI marker of a JPEG.
func tagged(src []byte, segments ...[]byte) []byte {
	return slices.Concat(src[:2], slices.Concat(segments...), src[2:])
}

// profileOf writes the matrix profile of a space as its numbers are, in the form
// of ICC.1:2022 clauses 7.2 and 7.3, with a curve of 256 samples.
func profileOf(p *icc.Profile) []byte {
	fixed := func(b []byte, v float64) []byte { return binary.BigEndian.AppendUint32(b, uint32(int32(v*65536+0.5))) }
	var tags [][]byte
	var names []string
	for i, c := range []string{"r", "g", "b"} {
		xyz := []byte("XYZ \x00\x00\x00\x00")
		for row := range 3 {
			xyz = fixed(xyz, p.Matrix[row][i])
		}
		curve := binary.BigEndian.AppendUint32([]byte("curv\x00\x00\x00\x00"), 256)
		for _, v := range p.Curves[i] {
			curve = binary.BigEndian.AppendUint16(curve, uint16(v*65535+0.5))
		}
		names, tags = append(names, c+"XYZ", c+"TRC"), append(tags, xyz, curve)
	}
	names, tags = append(names, "desc"), append(tags, append([]byte("desc\x00\x00\x00\x00\x00\x00\x00\x09a profile"), make([]byte, 80)...))
	b := make([]byte, 128)
	copy(b[12:], "mntrRGB XYZ ")
	copy(b[36:], "acsp")
	b = binary.BigEndian.AppendUint32(b, uint32(len(tags)))
	at := len(b) + 12*len(tags)
	for i, t := range tags {
		b = append(b, names[i]...)
		b = binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(b, uint32(at)), uint32(len(t)))
		at += len(t)
	}
	b = append(b, slices.Concat(tags...)...)
	binary.BigEndian.PutUint32(b, uint32(len(b)))
	return b
}

func chunk(profile []byte) []byte {
	return craft.Segment(0xE2, append([]byte("ICC_PROFILE\x00\x01\x01"), profile...))
}

// The JPEG's own profile counts first, then what the metadata say.
func TestRenderGivesSRGB(t *testing.T) {
	const r, g, b = 60, 150, 70
	plainJPEG := coded(t, 320, 200, r, g, b)
	same := [3]uint8{r, g, b}
	adobe, p3 := icc.AdobeRGB().Convert(same), icc.DisplayP3().Convert(same)
	if adobe == same || p3 == same || adobe == p3 {
		t.Fatal("the colour is the same in all spaces")
	}
	tables := bytes.Replace(profileOf(icc.AdobeRGB()), []byte("rXYZ"), []byte("A2B0"), 1)
	for _, c := range []struct {
		name, said   string
		src          []byte
		want         [3]uint8
		space, from  string
		unmanaged    bool
		passedOnAsIs bool
	}{
		{"nothing said", "", plainJPEG, same, "", "", false, true},
		{"Exif: sRGB", "sRGB", plainJPEG, same, "sRGB", "", false, true},
		{"Exif: uncalibrated", "uncalibrated", plainJPEG, same, "uncalibrated", "", false, true},
		{"Exif and R03", "Adobe RGB", plainJPEG, adobe, "sRGB", "Adobe RGB", false, false},
		{"profile, nothing said", "", tagged(plainJPEG, chunk(profileOf(icc.AdobeRGB()))), adobe, "sRGB", "a profile", false, false},
		{"profile before Exif", "Adobe RGB", tagged(plainJPEG, chunk(profileOf(icc.DisplayP3()))), p3, "sRGB", "a profile", false, false},
		{"profile of sRGB before Exif", "Adobe RGB", tagged(plainJPEG, chunk(profileOf(icc.SRGB()))), same, "sRGB", "", false, true},
		{"profile of tables", "uncalibrated", tagged(plainJPEG, chunk(tables)), same, "uncalibrated", "", true, true},
		{"broken profile", "", tagged(plainJPEG, chunk([]byte("rubbish"))), same, "", "", true, true},
		{"a part of a profile", "", tagged(plainJPEG, craft.Segment(0xE2, []byte("ICC_PROFILE\x00\x01\x02abc"))), same, "", "", true, true},
	} {
		file, previews := container(c.src)
		for _, orientation := range []int{1, 6} {
			v := View{LongEdge: 300, ColorSpace: c.said, Orientation: orientation}
			got, err := Render(t.Context(), bytes.NewReader(file), previews, v)
			if err != nil {
				t.Fatal(err)
			}
			if got.ColorSpace != c.space || got.From != c.from || (got.Unmanaged != "") != c.unmanaged || len(got.Problems) != 0 {
				t.Errorf("%s: %q from %q, %q, %v", c.name, got.ColorSpace, got.From, got.Unmanaged, got.Problems)
			}
			if !shows(got.Image, c.want) {
				t.Errorf("%s: shows %v, want %v", c.name, at(got.Image, 30, 30), c.want)
			}
			if asIs := c.passedOnAsIs && orientation == 1; (got.Source != nil) != asIs || asIs && !bytes.Equal(got.Source, c.src) {
				t.Errorf("%s, orientation %d: %d bytes passed on", c.name, orientation, len(got.Source))
			}
			d, err := OpenDetail(t.Context(), bytes.NewReader(file), previews, v, nil)
			if err != nil {
				t.Fatal(err)
			}
			m, err := d.Crop(t.Context(), image.Rect(11, 13, 99, 77))
			if err != nil {
				t.Fatal(err)
			}
			if d.ColorSpace != c.space || d.From != c.from || !shows(m, c.want) {
				t.Errorf("%s at 1:1: %q from %q, %v, want %v", c.name, d.ColorSpace, d.From, at(m, 5, 5), c.want)
			}
		}
	}
}

func at(m *jpeg.Image, x, y int) [3]uint8 {
	c := y/m.SubY*m.CStride + x/m.SubX
	r, g, b := color.YCbCrToRGB(m.Y[y*m.YStride+x], m.Cb[c], m.Cr[c])
	return [3]uint8{r, g, b}
}

// shows compares two places, with what coding and rounding may change.
func shows(m *jpeg.Image, want [3]uint8) bool {
	for _, p := range []image.Point{{5, 5}, {m.Width - 3, m.Height - 2}} {
		for i, v := range at(m, p.X, p.Y) {
			if d := int(v) - int(want[i]); d < -3 || d > 3 {
				return false
			}
		}
	}
	return true
}

// What any program that knows JPEG shows otherwise than we do is not passed on.
func TestSource(t *testing.T) {
	grey := picture(t, 320, 200)
	turn := func(order binary.ByteOrder, orientation uint16) []byte {
		b := craft.NewTIFF(order)
		return craft.Exif(b.Bytes(b.IFD(0, b.Text(0x010F, "Maker"), b.Short(0x0112, orientation))))
	}
	for _, c := range []struct {
		name     string
		src      []byte
		longEdge int
		full     [2]int
		want     bool
	}{
		{"as it is", grey, 0, [2]int{}, true},
		{"a little larger than wanted", grey, 200, [2]int{}, true},
		{"twice as large", grey, 160, [2]int{}, false},
		{"its own Exif says upright", tagged(grey, turn(binary.BigEndian, 1)), 0, [2]int{}, true},
		{"its own Exif says turned", tagged(grey, turn(binary.BigEndian, 6)), 0, [2]int{}, false},
		{"the same, the other byte order", tagged(grey, turn(binary.LittleEndian, 3)), 0, [2]int{}, false},
		{"broken Exif", tagged(grey, craft.Exif([]byte("MM\x00\x2a\xff\xff\xff\xff"))), 0, [2]int{}, true},
		{"cut off", grey[:len(grey)/2], 0, [2]int{}, false},
	} {
		file, previews := container(c.src)
		got, err := Render(t.Context(), bytes.NewReader(file), previews, View{LongEdge: c.longEdge, Width: c.full[0], Height: c.full[1]})
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		if (got.Source != nil) != c.want {
			t.Errorf("%s: %d bytes", c.name, len(got.Source))
		}
	}
}

// A photo that a camera took in Adobe RGB and said so in its note alone, against
// Little CMS (jpgicc of Debian's liblcms2-utils) with the profile of the same
// numbers: within what its second coding loses.
func TestAdobeRGBPhotoAgainstLittleCMS(t *testing.T) {
	tool := testneed.Tool(t, "jpgicc")
	cr2 := sample(t, "CR2.exif")
	f, err := Open(bytes.NewReader(cr2), int64(len(cr2)))
	if err != nil {
		t.Fatal(err)
	}
	got, err := f.Render(t.Context(), 0)
	if err != nil {
		t.Fatal(err)
	}
	if got.From != SpaceAdobeRGB || got.ColorSpace != SpaceSRGB {
		t.Fatalf("%q from %q", got.ColorSpace, got.From)
	}
	dir := t.TempDir()
	profile, in, out := filepath.Join(dir, "a.icc"), filepath.Join(dir, "in.jpg"), filepath.Join(dir, "out.jpg")
	src := cr2[got.Used.Offset:][:got.Used.Length]
	for path, b := range map[string][]byte{profile: profileOf(icc.AdobeRGB()), in: src} {
		if err := os.WriteFile(path, b, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if say, err := exec.Command(tool, "-t1", "-c0", "-q100", "-i"+profile, "-o*sRGB", in, out).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, say)
	}
	b, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	want, err := jpeg.Decode(b, jpeg.Options{})
	if err != nil {
		t.Fatal(err)
	}
	unmanaged, err := jpeg.Decode(src, jpeg.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string][3]float64{"luma": distances(got.Image, want, unmanaged, 0), "Cb": distances(got.Image, want, unmanaged, 1), "Cr": distances(got.Image, want, unmanaged, 2)} {
		t.Logf("%s: %.2f off on average, %.2f if nothing was converted, worst %v", name, c[0], c[1], c[2])
		if c[0] > 0.7 {
			t.Errorf("%s: %.2f off on average, %.2f if nothing was converted, worst %v", name, c[0], c[1], c[2])
		}
	}
}

// distances are the mean differences of a plane of a from b, of c from b, and the
// largest of a from b, of which one pixel in a thousand may be left out.
func distances(a, b, c *jpeg.Image, plane int) [3]float64 {
	value := func(m *jpeg.Image, x, y int) int {
		at := y/m.SubY*m.CStride + x/m.SubX
		return int([]byte{m.Y[y*m.YStride+x], m.Cb[at], m.Cr[at]}[plane])
	}
	var counts [256]int
	first, second, n := 0, 0, 0
	for y := 0; y < a.Height; y += 2 {
		for x := 0; x < a.Width; x += 2 {
			p, q, r := value(a, x, y), value(b, x, y), value(c, x, y)
			d := max(p-q, q-p)
			counts[d]++
			first, second, n = first+d, second+max(r-q, q-r), n+1
		}
	}
	worst := 255
	for left := n / 1000; worst > 0 && left >= counts[worst]; worst-- {
		left -= counts[worst]
	}
	return [3]float64{float64(first) / float64(n), float64(second) / float64(n), float64(worst)}
}
