package imprint

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	stdjpeg "image/jpeg"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"garner/preview/exif"
	"garner/preview/icc"
	"garner/preview/jpeg"
	"garner/preview/xmp"
)

// picture is an invented one with waves, edges and a little noise.
func picture(t testing.TB, w, h int, o SheetOptions) *jpeg.Image {
	t.Helper()
	rng := rand.New(rand.NewPCG(uint64(w), uint64(h)))
	b := make([]byte, 3*w*h)
	for i := range b {
		x, y, c := i/3%w, i/3/w, float64(i%3)
		b[i] = byte(128 + 70*math.Sin(float64(x)/9+c)*math.Cos(float64(y)/13) + 6*rng.NormFloat64())
		if x/40%3 == 1 && y/30%2 == 0 {
			b[i] /= 3
		}
	}
	return filled(t, w, h, o, b)
}

// profileOf is a profile of n bytes: header and an empty table, or where there is
// room one of three curves and a matrix (ICC.1:2022 clause 8.4.3) that is padded by
// the text of a chart.
func profileOf(n int, colours string) []byte {
	b := make([]byte, n)
	binary.BigEndian.PutUint32(b, uint32(n))
	copy(b[8:], "\x04\x20")
	copy(b[12:], "mntr"+colours+"XYZ ")
	copy(b[36:], "acsp")
	copy(b[68:], "\x00\x00\xF6\xD6\x00\x01\x00\x00\x00\x00\xD3\x2D")
	const tags, least = 10, 128 + 4 + 12*10 + 300
	if n < least {
		return b
	}
	at := 128 + 4 + 12*tags
	binary.BigEndian.PutUint32(b[128:], tags)
	i := 0
	add := func(signature, data string) {
		e := b[132+12*i:]
		copy(e, signature)
		binary.BigEndian.PutUint32(e[4:], uint32(at))
		binary.BigEndian.PutUint32(e[8:], uint32(len(data)))
		copy(b[at:], data)
		at, i = (at+len(data)+3)&^3, i+1
	}
	words := "mluc\x00\x00\x00\x00\x00\x00\x00\x01\x00\x00\x00\x0CenUS\x00\x00\x00\x08\x00\x00\x00\x1C\x00t\x00e\x00s\x00t"
	add("desc", words)
	add("cprt", words)
	add("wtpt", "XYZ \x00\x00\x00\x00\x00\x00\xF6\xD6\x00\x01\x00\x00\x00\x00\xD3\x2D")
	for _, c := range []string{"r", "g", "b"} {
		add(c+"XYZ", "XYZ \x00\x00\x00\x00\x00\x00\x52\x47\x00\x00\x55\x55\x00\x00\x46\x64")
		add(c+"TRC", "curv\x00\x00\x00\x00\x00\x00\x00\x01\x02\x33")
	}
	add("targ", "text\x00\x00\x00\x00"+strings.Repeat("x", n-at-9)+"\x00")
	return b
}

func write(t testing.TB, m *jpeg.Image, o Output) Written {
	t.Helper()
	w, err := Write(m, o)
	if err != nil {
		t.Fatal(err)
	}
	if err := Check(w.Bytes, m, o, w.Quality); err != nil {
		t.Fatal(err)
	}
	return w
}

var (
	source = [32]byte{1, 2, 3}
	taken  = exif.Time{Wall: time.Date(2026, 6, 13, 14, 2, 11, 130_000_000, time.UTC), Digits: 3, Zone: 120, HasZone: true}
)

func fullMeta() Meta {
	return Meta{
		Taken: taken, Title: "Ja", Caption: "Anna & Łukasz,\n13. Juni <früh>", Creator: "Zoë Grün", Copyright: "© 2026 Zoë Grün", Credit: "Grün & Söhne",
		Keywords: []string{"wedding", "garner/keep", "Łódź", "album", "wedding"}, Strip: []string{"garner/keep", "album"},
		Chain: Chain{Source: source, Set: "online 1", DocumentID: "xmp.did:1234", InstanceID: "xmp.iid:5678", OriginalDocumentID: "AABBCC"},
	}
}

// parts are the segments before the coded picture, by marker and data.
func parts(t testing.TB, b []byte) (all []struct {
	marker byte
	data   string
}) {
	t.Helper()
	for i := 2; b[i+1] != 0xDA; {
		n := int(binary.BigEndian.Uint16(b[i+2:]))
		all = append(all, struct {
			marker byte
			data   string
		}{b[i+1], string(b[i+4 : i+2+n])})
		i += 2 + n
	}
	return all
}

// The order is that of XMP Part 3 §1.1.3 behind JFIF; a profile of 150,000 bytes
// takes three segments of at most 65,519 (ICC.1:2022 Annex B); nothing that is not
// needed is there.
func TestOrderOfSegments(t *testing.T) {
	profile := profileOf(150_000, "RGB ")
	w := write(t, picture(t, 50, 40, SheetOptions{}), Output{Quality: 90, Profile: profile, Meta: fullMeta()})
	var order []string
	for _, p := range parts(t, w.Bytes) {
		id, _, _ := strings.Cut(p.data, "\x00")
		switch p.marker {
		case 0xE0, 0xE1, 0xE2, 0xED:
			order = append(order, fmt.Sprintf("%X %s", p.marker, id))
		default:
			order = append(order, fmt.Sprintf("%X", p.marker))
		}
	}
	want := "E0 JFIF, E1 Exif, E1 http://ns.adobe.com/xap/1.0/, ED " + resourceID[:len(resourceID)-1] + ", E2 ICC_PROFILE, E2 ICC_PROFILE, E2 ICC_PROFILE, DB, DB, C0, C4, C4, C4, C4"
	if got := strings.Join(order, ", "); got != want {
		t.Errorf("%s, want %s", got, want)
	}
	got, err := icc.FromJPEG(w.Bytes)
	if err != nil || !bytes.Equal(got, profile) {
		t.Errorf("the profile comes back as %d bytes: %v", len(got), err)
	}
	for n, segments := range map[int]int{128: 1, maxChunk: 1, maxChunk + 1: 2, 2 * maxChunk: 2} {
		w := write(t, picture(t, 8, 8, SheetOptions{}), Output{Quality: 50, Profile: profileOf(n, "RGB ")})
		if got := bytes.Count(w.Bytes, []byte(iccID)); got != segments {
			t.Errorf("%d bytes of profile: %d segments, want %d", n, got, segments)
		}
	}
}

func TestSameInputSameBytes(t *testing.T) {
	o := Output{Quality: 88, Profile: profileOf(500, "RGB "), Meta: fullMeta()}
	m := picture(t, 90, 70, SheetOptions{Chroma: Half})
	a, b := write(t, m, o), write(t, picture(t, 90, 70, SheetOptions{Chroma: Half}), o)
	if !bytes.Equal(a.Bytes, b.Bytes) {
		t.Error("two runs differ")
	}
	o.Meta.Caption += "."
	if c := write(t, m, o); bytes.Equal(a.Bytes, c.Bytes) {
		t.Error("another caption gives the same bytes")
	}
}

// document reads the XMP packet back with our own reader.
func document(t testing.TB, b []byte) *xmp.Doc {
	t.Helper()
	for _, p := range parts(t, b) {
		if packet, ok := strings.CutPrefix(p.data, xmpID); ok {
			d, err := xmp.Parse([]byte(packet))
			if err != nil {
				t.Fatalf("%v in %s", err, packet)
			}
			return d
		}
	}
	t.Fatal("no XMP")
	return nil
}

// ISO 16684-1 §8.6 and Annex A: a rendition is a document of its own, always the
// same one; each content of it is an instance; its original is that of its input.
func TestChain(t *testing.T) {
	m := picture(t, 16, 16, SheetOptions{})
	ids := func(o Output) (document_, instance, original string) {
		d := document(t, write(t, m, o).Bytes)
		document_, _ = d.Get(nsXMPMM, "DocumentID")
		instance, _ = d.Get(nsXMPMM, "InstanceID")
		original, _ = d.Get(nsXMPMM, "OriginalDocumentID")
		return document_, instance, original
	}
	o := Output{Quality: 80, Meta: fullMeta()}
	d1, i1, o1 := ids(o)
	if d1 != o.Meta.Chain.ID() || o1 != "AABBCC" || d1 == "xmp.did:1234" || i1 == d1 {
		t.Errorf("%s %s %s", d1, i1, o1)
	}
	o.Meta.Title = "other"
	d2, i2, _ := ids(o)
	if d2 != d1 || i2 == i1 {
		t.Errorf("another content: document %s became %s, instance %s became %s", d1, d2, i1, i2)
	}
	o.Meta.Chain.Set = "lab 1"
	if d3, _, _ := ids(o); d3 == d1 {
		t.Error("another set gives the same document")
	}
	o.Meta.Chain.OriginalDocumentID = ""
	if _, _, got := ids(o); got != "xmp.did:1234" { // the input is the first that is known
		t.Errorf("original %s", got)
	}
	o.Meta.Chain = Chain{Source: source, Set: "a"}
	_, _, first := ids(o)
	o.Meta.Chain.Set = "b"
	if _, _, second := ids(o); first != second || !strings.HasPrefix(first, "uuid:") {
		t.Errorf("two renditions of one input without ids come from %s and %s", first, second)
	}
	o.Meta.Chain.Source[0]++
	if _, _, third := ids(o); third == first {
		t.Error("another input is the same original")
	}
	// RFC 9562 §5.8: the version is 8, the variant 10 in binary.
	if id := o.Meta.Chain.ID(); len(id) != 5+36 || id[5+14] != '8' || !strings.ContainsRune("89ab", rune(id[5+19])) {
		t.Errorf("%s is no UUID of version 8", id)
	}
}

// Pass keywords go, what else there is stays, once.
func TestKeywords(t *testing.T) {
	w := write(t, picture(t, 16, 16, SheetOptions{}), Output{Quality: 80, Meta: fullMeta()})
	if got := strings.Join(document(t, w.Bytes).Bag(xmp.NSDC, "subject"), "|"); got != "wedding|Łódź" {
		t.Errorf("keywords %s", got)
	}
	for _, gone := range []string{"garner/keep", "album"} {
		if bytes.Contains(w.Bytes, []byte(gone)) {
			t.Errorf("%q is in the file", gone)
		}
	}
}

func TestLimit(t *testing.T) {
	m := picture(t, 400, 300, SheetOptions{Chroma: Half})
	o := Output{Quality: 95, Profile: profileOf(600, "RGB "), Meta: fullMeta()}
	free := write(t, m, o)
	if free.Tries != 1 || free.Quality != 95 {
		t.Errorf("without a limit: %d tries, quality %d", free.Tries, free.Quality)
	}
	at := func(q int) int {
		p := o
		p.Quality, p.Limit = q, 0
		return len(write(t, m, p).Bytes)
	}
	for _, limit := range []int{len(free.Bytes), len(free.Bytes) - 1, at(70), at(70) - 1, at(31), at(30)} {
		o.Limit = limit
		w := write(t, m, o)
		if len(w.Bytes) > limit || w.Tries > 8 {
			t.Errorf("limit %d: %d bytes after %d tries", limit, len(w.Bytes), w.Tries)
		}
		if w.Quality < 95 && at(w.Quality+1) <= limit {
			t.Errorf("limit %d: quality %d, though %d fits", limit, w.Quality, w.Quality+1)
		}
	}
	o.Limit = at(30) - 1
	var say *LimitError
	w, err := Write(m, o)
	if !errors.As(err, &say) || w.Bytes != nil || say.Smallest != at(30) || say.Quality != 30 || say.Overhead >= say.Smallest {
		t.Errorf("%v, %+v", err, say)
	}
	o.Floor = 10
	if w := write(t, m, o); len(w.Bytes) > o.Limit || w.Quality >= 30 || w.Quality < 10 {
		t.Errorf("floor 10: quality %d", w.Quality)
	}
	o.Limit, o.Floor, o.Quality = 10, 90, 40 // a floor above what is asked for
	if _, err := Write(m, o); !errors.As(err, &say) || say.Quality != 40 {
		t.Errorf("%v", err)
	}
}

// A file that is not the picture is found out.
func TestCheckFindsFaults(t *testing.T) {
	for _, o := range []SheetOptions{{}, {Chroma: Half}, {Grey: true}} {
		for _, quality := range []int{1, 30, 75, 95, 100} {
			for _, size := range [][2]int{{1, 1}, {7, 9}, {64, 64}, {121, 83}} {
				m := picture(t, size[0], size[1], o)
				out := Output{Quality: quality}
				w := write(t, m, out)
				if _, err := stdjpeg.Decode(bytes.NewReader(w.Bytes)); err != nil {
					t.Errorf("%v %d %v: %v", o, quality, size, err)
				}
			}
		}
		m := picture(t, 160, 120, o)
		profile := profileOf(200, map[bool]string{true: "GRAY", false: "RGB "}[o.Grey])
		out := Output{Quality: 85, Profile: profile}
		w := write(t, m, out)
		check := func(name string, b []byte, m *jpeg.Image, out Output) {
			t.Helper()
			if Check(b, m, out, w.Quality) == nil {
				t.Errorf("%v: %s passes", o, name)
			}
		}
		check("a cut file", w.Bytes[:len(w.Bytes)-len(w.Bytes)/5], m, out)
		check("no file", nil, m, out)
		check("another profile", w.Bytes, m, Output{Profile: profile[:190]})
		check("no profile", w.Bytes, m, Output{})
		check("another size", w.Bytes, picture(t, 161, 120, o), out)
		check("a size of as many blocks", w.Bytes, picture(t, 159, 119, o), out)
		check("another kind", w.Bytes, picture(t, 160, 120, SheetOptions{Grey: !o.Grey}), out)
		other := picture(t, 160, 120, o)
		for y := range 8 {
			for x := range 8 {
				other.Y[(40+y)*other.YStride+80+x] ^= 0x40
			}
		}
		check("one block of another tone", w.Bytes, other, out)
		if !o.Grey {
			other := picture(t, 160, 120, o)
			for i := range other.Cr {
				other.Cr[i] = byte(min(int(other.Cr[i])+8, 255))
			}
			check("another colour", w.Bytes, other, out)
		}
		found, scan := 0, bytes.LastIndex(w.Bytes, []byte("\xFF\xDA"))+14
		const flips = 40
		for i := range flips {
			b := bytes.Clone(w.Bytes)
			b[scan+(len(b)-scan)*i/flips] ^= 0x55
			if Check(b, m, out, w.Quality) != nil {
				found++
			}
		}
		if found < flips/2 { // what changes details of a block and not its mean passes
			t.Errorf("%v: %d of %d damaged bytes are found", o, found, flips)
		}
	}
}

func TestWriteRefuses(t *testing.T) {
	m := picture(t, 8, 8, SheetOptions{})
	long := strings.Repeat("ö", 40_000)
	for name, o := range map[string]Output{
		"quality 0":     {},
		"quality 101":   {Quality: 101},
		"ppi":           {Quality: 80, PPI: 70_000},
		"space":         {Quality: 80, Space: 7},
		"limit":         {Quality: 80, Limit: -1},
		"grey profile":  {Quality: 80, Profile: profileOf(200, "GRAY")},
		"no profile":    {Quality: 80, Profile: []byte("profile")},
		"large profile": {Quality: 80, Profile: profileOf(maxChunk*maxChunks+1, "RGB ")},
	} {
		if w, err := Write(m, o); err == nil || w.Bytes != nil {
			t.Errorf("%s is taken", name)
		}
	}
	for name, meta := range map[string]Meta{
		"caption":     {Caption: long},
		"title":       {Title: long},
		"creator":     {Creator: long},
		"copyright":   {Copyright: long},
		"credit":      {Credit: long},
		"keyword":     {Keywords: []string{long}},
		"document id": {Chain: Chain{DocumentID: long}},
		"XMP":         {Caption: strings.Repeat("&", 14_000)}, // five bytes each there
	} {
		_, err := Write(m, Output{Quality: 80, Meta: meta})
		var say *MetaError
		if !errors.As(err, &say) || !strings.HasPrefix(say.Field, name) || len(err.Error()) > 200 {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := Write(&jpeg.Image{}, Output{Quality: 80}); err == nil {
		t.Error("no picture is taken")
	}
	if _, err := Write(nil, Output{Quality: 80}); err == nil {
		t.Error("nil is taken")
	}
}
