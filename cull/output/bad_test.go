package output

import (
	"bytes"
	"cmp"
	"encoding/binary"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"garner/preview/icc"
)

// field is a field of a TIFF directory (TIFF 6.0 section 2): of bytes where there are
// any, else one number.
type field struct {
	tag, kind uint16
	value     uint32
	data      []byte
}

// tiffOf is a TIFF of one strip that is not packed.
func tiffOf(w, h int, photometric uint16, samples int, pix []byte, more ...field) []byte {
	fields := append([]field{{256, 4, uint32(w), nil}, {257, 4, uint32(h), nil}, {258, 3, 8, nil}, {259, 3, 1, nil}, {262, 3, uint32(photometric), nil},
		{273, 4, 8, nil}, {277, 3, uint32(samples), nil}, {278, 4, uint32(h), nil}, {279, 4, uint32(len(pix)), nil}}, more...)
	if samples > 1 {
		fields[2] = field{258, 3, 0, bytes.Repeat([]byte{8, 0}, samples)}
	}
	slices.SortFunc(fields, func(a, b field) int { return cmp.Compare(a.tag, b.tag) })
	le := binary.LittleEndian
	b := le.AppendUint32([]byte("II*\x00"), 0)
	b = append(b, pix...)
	at := make([]int, len(fields))
	for i, f := range fields {
		at[i] = len(b)
		if len(f.data) > 4 {
			b = append(b, f.data...)
		}
	}
	b = append(b, make([]byte, len(b)%2)...)
	le.PutUint32(b[4:], uint32(len(b)))
	b = le.AppendUint16(b, uint16(len(fields)))
	for i, f := range fields {
		b = le.AppendUint16(le.AppendUint16(b, f.tag), f.kind)
		n, value := 1, f.value
		if f.data != nil {
			n = len(f.data)
			if f.kind == 3 {
				n /= 2
			}
			if value = uint32(at[i]); len(f.data) <= 4 {
				value = le.Uint32(append(slices.Clone(f.data), 0, 0, 0, 0))
			}
		}
		b = le.AppendUint32(le.AppendUint32(b, uint32(n)), value)
	}
	return le.AppendUint32(b, 0)
}

// withProfile puts a profile into a JPEG (ICC.1 annex B.4).
func withProfile(jpg, profile []byte) []byte {
	segment := append([]byte("ICC_PROFILE\x00\x01\x01"), profile...)
	b := append([]byte{0xFF, 0xD8, 0xFF, 0xE2}, binary.BigEndian.AppendUint16(nil, uint16(len(segment)+2))...)
	return slices.Concat(b, segment, jpg[2:])
}

// patched replaces bytes at a place.
func patched(b []byte, at int, text string) []byte {
	b = slices.Clone(b)
	copy(b[at:], text)
	return b
}

func rgbJPEG(t *testing.T, w, h int) []byte {
	t.Helper()
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	for i := range m.Pix {
		m.Pix[i] = byte(i/7) | 0x80
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func rgbPNG(t *testing.T, w, h int) []byte {
	t.Helper()
	m := image.NewNRGBA(image.Rect(0, 0, w, h))
	for i := range w * h {
		m.SetNRGBA(i%w, i/w, color.NRGBA{byte(i), byte(i >> 3), 90, 255})
	}
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// What a person may find in finished/ that is no good picture: each is said in words,
// and nothing of it is written; what is only odd is cut, and said. The good one beside it
// is cut whatever lies there.
func TestBadInput(t *testing.T) {
	good := rgbJPEG(t, 300, 200)
	pngs := rgbPNG(t, 300, 200)
	rgb := make([]byte, 60*40*3)
	srgb := icc.Encode(icc.SpaceSRGB)
	scan := bytes.Index(good, []byte{0xFF, 0xDA})
	frame := bytes.Index(good, []byte{0xFF, 0xC0})
	idat := bytes.Index(pngs, []byte("IDAT"))
	for _, c := range []struct {
		name    string
		data    []byte
		says    string // why nothing is cut; "" = it is
		remarks string // of its files, else
		w, h    int    // of the largest of them, else
	}{
		{"empty.jpg", nil, "an empty file", "", 0, 0},
		{"text.jpg", []byte("Dear Anna,\n"), "neither a JPEG nor a TIFF nor a PNG", "", 0, 0},
		{"zeros.tif", make([]byte, 5000), "neither a JPEG nor a TIFF nor a PNG", "", 0, 0},
		{"half.jpg", good[:scan+(len(good)-scan)/2], "cut off: 96 of 200 rows are there", "", 0, 0},
		{"head.jpg", good[:scan-4], "cut off: the file ends inside its headers", "", 0, 0},
		{"half.png", pngs[:len(pngs)/2], "cut off: 0 of 200 rows are there", "", 0, 0},
		{"broken.png", patched(pngs, idat+30, "broken"), "a broken PNG: its compressed data cannot be unpacked", "", 0, 0},
		{"less.tif", tiffOf(60, 40, 2, 3, rgb[:60*30*3]), "60x40 pixels: more than the data can hold", "", 0, 0},
		{"cut.tif", tiffOf(60, 40, 2, 3, rgb)[:4000], "cut off: the file ends inside its headers", "", 0, 0},
		{"huge.jpg", patched(good, frame+5, "\xff\xff\xff\xff"), "65535x65535 pixels: more than is read", "", 0, 0},
		{"none.tif", tiffOf(0, 40, 2, 3, rgb), "a picture without pixels", "", 0, 0},
		{"L a b.tif", tiffOf(60, 40, 8, 3, rgb), "a TIFF of Lab colours, which is not read", "", 0, 0},
		{"ink.tif", tiffOf(60, 40, 5, 4, make([]byte, 60*40*4)), "a CMYK picture without a profile, so that its colours are not known; export it as RGB", "", 0, 0},
		{"ink of RGB.tif", tiffOf(60, 40, 5, 4, make([]byte, 60*40*4), field{34675, 7, 0, srgb}),
			"a CMYK picture whose profile cannot be used (describes RGB, the picture is CMYK), so that its colours are not known; export it as RGB", "", 0, 0},
		{"short profile.jpg", withProfile(good, srgb[:200]), fmt.Sprintf("its colour profile is damaged: %d bytes by its header, 200 are there", len(srgb)), "", 0, 0},
		{"hostile profile.jpg", withProfile(good, patched(srgb, 128, "\xff\xff\xff\xff")), "its colour profile is damaged: 4294967295 tags", "", 0, 0},
		{"lut profile.jpg", withProfile(good, patched(srgb, 12, "link")), `its colour profile is of a kind that is not read: profile class "link"`, "", 0, 0},

		{"no profile.jpg", good, "", "", 300, 200},
		{"text profile.jpg", withProfile(good, patched(srgb, 36, "xxxx")), "", "its profile is not used: is no ICC profile", 300, 200},
		{"grey profile.jpg", withProfile(good, patched(srgb, 16, "GRAY")), "", "its profile is not used: describes grey, the picture is RGB", 300, 200},
		{"ink profile.jpg", withProfile(good, patched(srgb, 16, "CMYK")), "", "its profile is not used: describes CMYK, the picture is RGB", 300, 200},
		{"dot.jpg", rgbJPEG(t, 1, 1), "", "", 1, 1},
		{"dot.png", rgbPNG(t, 1, 1), "", "", 1, 1},
		{"dot.tif", tiffOf(1, 1, 2, 3, rgb[:3]), "", "", 1, 1},
		{"line.png", rgbPNG(t, 1, 3000), "", "", 1, 3000},
		{"panorama.jpg", rgbJPEG(t, 30_000, 60), "", "", 30_000, 60},
		{"panorama.tif", tiffOf(30_000, 20, 2, 3, make([]byte, 30_000*20*3)), "", "", 30_000, 20},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := newBench(t)
			b.put("a good one.jpg", good)
			b.put(c.name, c.data)
			sum, err := b.run(Options{})
			if wrong := c.says != ""; err != nil || wrong && (sum.Files[Written] != 3 || sum.Cannot != 1) || !wrong && (sum.Files[Written] != 6 || sum.Failures() != 0) {
				t.Fatalf("%v, %+v", err, sum)
			}
			for _, l := range b.lines {
				switch {
				case l.Picture != c.name:
					continue
				case l.Reason != c.says:
					t.Errorf("%q\nwanted %q", l.Reason, c.says)
				case l.Set == "lab" && (strings.Join(l.Remarks, "; ") != c.remarks || l.Width != c.w || l.Height != c.h):
					t.Errorf("%+v", l)
				}
			}
			for path := range b.tree() {
				if strings.Contains(path, "partial") || c.says != "" && strings.Contains(path, strings.TrimSuffix(c.name, filepath.Ext(c.name))) {
					t.Errorf("left behind: %s", path)
				}
			}
		})
	}
}

// Links that lead round in a circle, to a folder or nowhere are said; one to a picture is
// that picture.
func TestLinksInFinished(t *testing.T) {
	b := newBench(t)
	b.put("a.jpg", finishedPicture(t, 1, day(10), "1001"))
	dir := filepath.Join(b.dir, FinishedFolder)
	for name, to := range map[string]string{"round": ".", "self.jpg": "self.jpg", "gone.jpg": "nowhere.jpg", "also.jpg": "a.jpg", "folder.jpg": "..", "notes": "nowhere"} {
		if err := os.Symlink(to, filepath.Join(dir, name)); err != nil {
			t.Skip(err)
		}
	}
	sum, err := b.run(Options{})
	if err != nil || sum.Pictures != 2 || sum.Files[Written] != 6 || sum.Cannot != 4 {
		t.Errorf("%v, %+v", err, sum)
	}
	got := map[string]string{}
	for _, l := range b.lines {
		if l.Action == Failed {
			got[l.Picture] = l.Reason
		}
	}
	want := map[string]string{"round": "a link to a folder is not followed", "folder.jpg": "a link to a folder is not followed",
		"self.jpg": "a link that leads to no picture", "gone.jpg": "a link that leads to no picture"}
	if !maps.Equal(got, want) {
		t.Errorf("%v", got)
	}
}
