package small_test

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"garner/preview/build"
	"garner/preview/exif"
	"garner/preview/icc"
	ours "garner/preview/jpeg"
	"garner/preview/small"
	"garner/testdata/testneed"
)

// painted is a JPEG of w by h pixels with something to see in it.
func painted(t testing.TB, w, h int) []byte {
	t.Helper()
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			m.SetRGBA(x, y, color.RGBA{uint8(x * 255 / w), uint8(y * 255 / h), uint8(x*y>>7 ^ x>>3), 255})
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: 90}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// sample is an original of which a good deal is known.
func sample() small.Original {
	bias := -1.0 / 3
	o := small.Original{Path: "A/IMG_0001.CR3", Kind: "CR3", Bytes: 24 << 20, Meta: exif.NewMeta()}
	o.Meta.Make, o.Meta.Model, o.Meta.Serial, o.Meta.Orientation = "Testwerk", "T1", "001001", 6
	o.Meta.Taken = exif.ParseTime("2026:06:13 14:02:11", "13", "+02:00")
	o.Meta.Bias, o.Meta.Seconds, o.Meta.FNumber, o.Meta.ISO, o.Meta.ColorSpace = &bias, 1.0/250, 2.8, 3200, "Adobe RGB"
	return known(o, "IMG_0001.CR3", []byte("the raw"))
}

func wrap(t testing.TB, b []byte, o small.Original) []byte {
	t.Helper()
	out, err := small.Wrap(b, o)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// Everything that is said of an original is read back, whatever its names and words
// are made of; a path need not be UTF-8.
func TestOriginalsComeBack(t *testing.T) {
	picture := painted(t, 64, 48)
	rapid.Check(t, func(t *rapid.T) {
		o := sample()
		word := rapid.OneOf(rapid.StringN(0, 30, 120), rapid.Map(rapid.SliceOfN(rapid.Byte(), 0, 20), func(b []byte) string { return string(b) }))
		name := rapid.Map(word, func(s string) string { return strings.NewReplacer("/", "", "\x00", "").Replace(s) }).Draw(t, "name")
		o.Path = "A/x" + name
		m := &o.Meta
		for _, s := range []*string{&m.Make, &m.Model, &m.Serial, &m.Software, &m.Lens, &m.UniqueID, &m.ColorSpace, &o.Body} {
			*s = word.Draw(t, "word")
		}
		o.DocumentID = rapid.StringMatching(`[a-z:.<&>é]{0,20}`).Draw(t, "document")
		m.Seconds = rapid.Float64Range(0, 1e9).Draw(t, "seconds")
		m.FNumber = rapid.Float64Range(0, 1000).Draw(t, "aperture")
		m.ISO, m.Rating, m.ExposureMode = rapid.IntRange(0, 1<<20).Draw(t, "ISO"), rapid.IntRange(-1, 5).Draw(t, "rating"), rapid.IntRange(-1, 2).Draw(t, "mode")
		m.Counter = rapid.Int64Range(0, math.MaxInt64).Draw(t, "counter")
		m.Flash = exif.Flash(rapid.IntRange(0, 2).Draw(t, "flash"))
		m.Protected, m.ManualWB = rapid.Bool().Draw(t, "protected"), rapid.Bool().Draw(t, "balance")
		if rapid.Bool().Draw(t, "subject") {
			m.Subject = exif.Area{X: rapid.IntRange(0, 9000).Draw(t, "x"), Y: 3, W: rapid.IntRange(0, 9).Draw(t, "w"), Given: true}
		}
		at := time.Date(2026, 6, 13, 0, 0, 0, 0, time.UTC).Add(time.Duration(rapid.Int64Range(0, 1e15).Draw(t, "time")))
		digits := rapid.IntRange(0, 9).Draw(t, "digits")
		o.Corrected = exif.Time{Wall: at.Truncate(time.Duration(math.Pow10(9 - digits))), Digits: digits}
		if rapid.Bool().Draw(t, "zone") {
			o.Corrected.Zone, o.Corrected.HasZone = rapid.IntRange(-14*60, 14*60).Draw(t, "minutes"), true
		}
		out, err := small.Wrap(picture, o)
		if err != nil {
			t.Fatal(err)
		}
		got, err := small.Check(out)
		if err != nil || !cmp.Equal(o, got) {
			t.Fatalf("%v\n%s", err, cmp.Diff(o, got))
		}
	})
}

// What a camera puts around its picture stays behind; what the picture needs does not.
func TestOnlyThePictureIsKept(t *testing.T) {
	b := painted(t, 320, 200)
	profile := icc.Encode(icc.SpaceDisplayP3)
	var head []byte
	for _, s := range []struct {
		marker byte
		data   string
	}{{0xE0, "JFIF\x00\x01\x02\x00\x00\x01\x00\x01\x00\x00"}, {0xE1, "Exif\x00\x00thumbnail and maker note"}, {0xE2, "MPF\x00other pictures"},
		{0xE2, "ICC_PROFILE\x00\x01\x01" + string(profile)}, {0xEE, "Adobe\x00\x64\x00\x00\x00\x00\x01"}, {0xFE, "made by somebody"}} {
		head = append(head, 0xFF, s.marker)
		head = append(binary.BigEndian.AppendUint16(head, uint16(2+len(s.data))), s.data...)
	}
	rich := append(append([]byte{0xFF, 0xD8}, head...), b[2:]...)
	rich = append(rich, "\x00\x00padding \xFF\xD8\xFF\xE1 another picture \xFF\xD9"...)
	out := wrap(t, rich, sample())
	if !bytes.Equal(fromSOS(t, out), fromSOS(t, b)) {
		t.Error("the coded data differ, or do not end with the picture")
	}
	for _, gone := range []string{"JFIF", "thumbnail", "MPF", "somebody", "another picture"} {
		if bytes.Contains(out, []byte(gone)) {
			t.Errorf("%q was kept", gone)
		}
	}
	if p, err := icc.FromJPEG(out); err != nil || !bytes.Equal(p, profile) {
		t.Errorf("the profile was not kept: %v", err)
	}
	if !bytes.Contains(out, []byte("Adobe\x00\x64")) {
		t.Error("Adobe's segment was not kept")
	}
	// A picture that ends without an end of image gets one.
	if got := wrap(t, b[:len(b)-2], sample()); !bytes.Equal(got, wrap(t, b, sample())) {
		t.Error("without its end of image it is another picture")
	}
}

// libjpeg's own encoder makes the kinds that cameras rarely do: several scans,
// progressive ones, restart markers; djpeg sees the same pixels in what is kept of
// them. Without Huffman tables those of T.81 Annex K.3 are meant, which is how djpeg
// and the encoder of this module have them.
func TestKindsOfJPEG(t *testing.T) {
	djpeg, cjpeg := testneed.Tool(t, "djpeg"), testneed.Tool(t, "cjpeg")
	dir := t.TempDir()
	ppm, file := filepath.Join(dir, "in.ppm"), filepath.Join(dir, "x.jpg")
	write(t, file, painted(t, 333, 221))
	write(t, ppm, output(t, djpeg, file))
	same := func(b []byte) {
		t.Helper()
		write(t, file, b)
		want := output(t, djpeg, file)
		out := wrap(t, b, sample())
		write(t, file, out)
		if !bytes.Equal(output(t, djpeg, file), want) {
			t.Error("djpeg sees another picture")
		}
		if _, err := small.Check(out); err != nil {
			t.Error(err)
		}
	}
	for _, args := range [][]string{{"-progressive"}, {"-progressive", "-restart", "1", "-grayscale"}, {"-restart", "2B"}, {"-grayscale"}, {"-rgb"}, {"-optimize", "-sample", "2x1"}} {
		t.Run(strings.Join(args, " "), func(t *testing.T) { same(output(t, cjpeg, append(args, ppm)...)) })
	}
	t.Run("no tables", func(t *testing.T) {
		m, err := ours.Decode(painted(t, 333, 221), ours.Options{})
		if err != nil {
			t.Fatal(err)
		}
		b, err := ours.AppendEncode(nil, m, 90)
		if err != nil {
			t.Fatal(err)
		}
		write(t, file, b)
		want := output(t, djpeg, file)
		bare := without(t, b, 0xC4)
		if len(bare) > len(b)-400 {
			t.Fatal("there were no tables to take away")
		}
		out := wrap(t, bare, sample())
		write(t, file, out)
		if !bytes.Equal(output(t, djpeg, file), want) {
			t.Error("djpeg sees another picture")
		}
	})
	// Lossless and arithmetic coding are refused in words.
	for _, marker := range []byte{0xC3, 0xC9, 0xDE} {
		b := painted(t, 32, 32)
		b[bytes.Index(b, []byte{0xFF, 0xC0})+1] = marker
		if _, err := small.Wrap(b, sample()); err == nil || !strings.Contains(err.Error(), "few programs") {
			t.Errorf("marker %#x: %v", marker, err)
		}
	}
}

// without takes the segments of a marker out.
func without(t *testing.T, b []byte, marker byte) []byte {
	t.Helper()
	out := bytes.Clone(b[:2])
	for at := 2; ; {
		n := 2 + int(binary.BigEndian.Uint16(b[at+2:]))
		if b[at+1] == 0xDA {
			return append(out, b[at:]...)
		}
		if b[at+1] != marker {
			out = append(out, b[at:at+n]...)
		}
		at += n
	}
}

// The colours are told as Exif and DCF do, as exiftool reads them: by the picture's
// profile, else by what the camera was set to.
func TestColours(t *testing.T) {
	testneed.Tool(t, "exiftool")
	file := filepath.Join(t.TempDir(), "x.jpg")
	plain := painted(t, 64, 48)
	withProfile := func(s icc.Space) []byte {
		p := icc.Encode(s)
		b := binary.BigEndian.AppendUint16([]byte{0xFF, 0xD8, 0xFF, 0xE2}, uint16(16+len(p)))
		return append(append(append(b, "ICC_PROFILE\x00\x01\x01"...), p...), plain[2:]...)
	}
	for _, c := range []struct {
		name, said, want string
		src              []byte
	}{
		{"Adobe RGB", "Adobe RGB", "65535 R03", plain}, {"sRGB", "sRGB", "1 R98", plain}, {"unknown", "", "- -", plain},
		{"profile sRGB", "Adobe RGB", "1 R98", withProfile(icc.SpaceSRGB)}, {"profile P3", "sRGB", "65535 -", withProfile(icc.SpaceDisplayP3)},
	} {
		o := sample()
		o.Meta.ColorSpace = c.said
		write(t, file, wrap(t, c.src, o))
		if got := strings.TrimSpace(string(output(t, "exiftool", "-n", "-f", "-p", "$ColorSpace $InteropIndex", file))); got != c.want {
			t.Errorf("%s: exiftool reads %q, want %q", c.name, got, c.want)
		}
	}
}

// What exiftool reads of the time, the exposure and the chain of documents.
func TestWhatReadersSee(t *testing.T) {
	testneed.Tool(t, "exiftool")
	file := filepath.Join(t.TempDir(), "x.jpg")
	o := sample()
	o.Meta.Taken = exif.ParseTime("2026:06:13 14:02:11", "130", "+02:00")
	o.Corrected = exif.ParseTime("2026:06:13 14:09:31", "130", "+02:00")
	o.DocumentID, o.OriginalDocumentID, o.Path = "xmp.did:raw", "xmp.did:first", "A/<&> \xE4.CR3"
	write(t, file, wrap(t, painted(t, 64, 48), o))
	for tag, want := range map[string]string{
		"SubSecDateTimeOriginal": "2026:06:13 14:02:11.130+02:00", "XMP:CreateDate": "2026:06:13 14:09:31.130+02:00", "Orientation#": "6",
		"ExposureTime#": "0.004", "FNumber#": "2.8", "ExposureCompensation#": "-0.3333333333", "ISO": "3200", "SerialNumber": "001001",
		"DerivedFromDocumentID": "xmp.did:raw", "OriginalDocumentID": "xmp.did:first", "ImageSize": "64x48",
		"XMP-garner:PathBase64": "QS88Jj4g5C5DUjM=",
	} {
		if got := strings.TrimSpace(string(output(t, "exiftool", "-f", "-s3", "-"+tag, file))); got != want {
			t.Errorf("%s is %q, want %q", tag, got, want)
		}
	}
}

func TestShrink(t *testing.T) {
	b := painted(t, 1200, 800)
	out, err := small.Shrink(b, 300, sample())
	if err != nil {
		t.Fatal(err)
	}
	o, err := small.Check(out)
	m, derr := ours.Decode(out, ours.Options{})
	if err != nil || derr != nil || o.LongEdge != 300 || m.Width != 300 || m.Height != 200 {
		t.Fatalf("%v, %v, %d: %dx%d", err, derr, o.LongEdge, m.Width, m.Height)
	}
	want, err := ours.Decode(b, ours.Options{Scale: 4})
	if err != nil {
		t.Fatal(err)
	}
	worst := 0
	for y := range 200 {
		for x := range 300 {
			d := int(m.Y[y*m.YStride+x]) - int(want.Y[y*want.YStride+x])
			worst = max(worst, d, -d)
		}
	}
	if worst > 40 || worst == 0 {
		t.Errorf("a sample is %d off", worst)
	}
	if same, err := small.Shrink(b, 1200, sample()); err != nil || !bytes.Equal(same, wrap(t, b, sample())) {
		t.Errorf("one that is not larger was made anew: %v", err)
	}
	if _, err := small.Shrink(b[:len(b)/2], 300, sample()); !errors.Is(err, small.ErrBroken) {
		t.Errorf("half a picture: %v", err)
	}
}

// Of is strict: what is broken, cut off or no more than a thumbnail stands for nothing.
func TestOf(t *testing.T) {
	shot := build.Shot{Make: "Testwerk", Model: "T1", Serial: "1001", Orientation: 1, Width: 1200, Height: 800,
		Taken: build.Clock{Wall: time.Date(2026, 6, 13, 14, 2, 11, 0, time.UTC)}}
	of := func(p build.Pictures, spoil func([]byte) []byte) ([]byte, small.Original, error) {
		b, err := build.DNG(shot, p, binary.LittleEndian)
		if err != nil {
			t.Fatal(err)
		}
		if spoil != nil {
			b = spoil(b)
		}
		return small.Of(context.Background(), bytes.NewReader(b), int64(len(b)))
	}
	large, thumb := painted(t, 1200, 800), painted(t, 160, 106)
	b, o, err := of(build.Pictures{Full: large, Thumb: thumb}, nil)
	if err != nil || !bytes.Equal(b, large) || o.Kind != "DNG" || o.Meta.Serial != "1001" || o.Bytes == 0 {
		t.Errorf("%v, %d bytes, %+v", err, len(b), o)
	}
	if _, _, err := of(build.Pictures{Full: thumb}, nil); !errors.Is(err, small.ErrNone) {
		t.Errorf("a thumbnail: %v", err)
	}
	broken := bytes.Clone(large)
	clear(broken[len(broken)/2:])
	if _, _, err := of(build.Pictures{Full: broken, Thumb: thumb}, nil); !errors.Is(err, small.ErrBroken) {
		t.Errorf("a broken one: %v", err)
	}
	cut := func(b []byte) []byte { return b[:bytes.Index(b, large[len(large)/2:])] }
	if _, _, err := of(build.Pictures{Full: large, Thumb: thumb}, cut); err == nil {
		t.Error("a file that was cut off gave a picture")
	}
	if _, _, err := small.Of(context.Background(), bytes.NewReader(large), int64(len(large))); !errors.Is(err, small.ErrNone) {
		t.Errorf("a JPEG file: %v", err)
	}
}

// A file that is none of ours is said to be none, and one that is not as it was
// written to be changed, also when it is saved again by somebody who keeps our words.
func TestReadTellsWhatItIs(t *testing.T) {
	b := painted(t, 64, 48)
	out := wrap(t, b, sample())
	read := func(b []byte) error {
		_, err := small.Read(bytes.NewReader(b), int64(len(b)))
		return err
	}
	for i, x := range [][]byte{nil, b[:1], b, out[:100], out[:700], append([]byte{0, 0}, out...), bytes.Replace(out, []byte(small.NS), []byte("urn:somebody:else/"), 1)} {
		if err := read(x); !errors.Is(err, small.ErrNotOurs) {
			t.Errorf("case %d: %v", i, err)
		}
	}
	if err := read(out); err != nil {
		t.Error(err)
	}
	for i, x := range [][]byte{out[:len(out)-1], append(bytes.Clone(out), 0)} {
		if err := read(x); !errors.Is(err, small.ErrChanged) {
			t.Errorf("case %d: %v", i, err)
		}
	}
	flipped := bytes.Clone(out)
	flipped[len(flipped)-50] ^= 1
	if _, err := small.Check(flipped); !errors.Is(err, small.ErrChanged) || read(flipped) != nil {
		t.Errorf("a flipped bit: %v", err)
	}
	// What is said of an original has to be sound.
	for i, spoil := range []func(*small.Original){
		func(o *small.Original) { o.Path = "../A/x.CR3" }, func(o *small.Original) { o.Path = "/A/x.CR3" }, func(o *small.Original) { o.Path = "" },
		func(o *small.Original) { o.Frame = "#1" }, func(o *small.Original) { o.Sum = [32]byte{} }, func(o *small.Original) { o.Bytes = 0 },
		func(o *small.Original) { o.Head = "x" }, func(o *small.Original) { o.Meta.Orientation = 9 },
		func(o *small.Original) { o.Meta.Lens = strings.Repeat("l", 1<<16) }, func(o *small.Original) { o.Corrected.Wall = time.Date(12026, 1, 1, 0, 0, 0, 0, time.UTC) },
	} {
		o := sample()
		spoil(&o)
		if _, err := small.Wrap(b, o); err == nil {
			t.Errorf("case %d was written", i)
		}
	}
	if tool, err := exec.LookPath("exiftool"); err == nil {
		file := filepath.Join(t.TempDir(), "x.jpg")
		write(t, file, out)
		if said, err := exec.Command(tool, "-overwrite_original", "-Comment=seen", file).CombinedOutput(); err != nil {
			t.Fatal(err, string(said))
		}
		again := output(t, "cat", file)
		if err := read(again); !errors.Is(err, small.ErrChanged) && !errors.Is(err, small.ErrNotOurs) {
			t.Errorf("saved again: %v", err)
		}
	}
}

// FuzzRead holds that nothing makes Read panic, and that what it takes can be written
// again and is the same then.
func FuzzRead(f *testing.F) {
	picture := painted(f, 16, 16)
	f.Add(wrap(f, picture, sample()))
	o := sample()
	o.Path, o.Meta.Subject = "A/\xFF.CR3", exif.Area{X: 1, Y: 2, Given: true}
	f.Add(wrap(f, picture, o))
	f.Add(picture)
	f.Fuzz(func(t *testing.T, b []byte) {
		o, err := small.Read(bytes.NewReader(b), int64(len(b)))
		if err != nil && !errors.Is(err, small.ErrChanged) {
			if !cmp.Equal(o, small.Original{}) {
				t.Error("an error with a result")
			}
			return
		}
		out, err := small.Wrap(picture, o)
		if err != nil {
			return // a lens of 60 KB in another spelling
		}
		if got, err := small.Check(out); err != nil || !cmp.Equal(o, got) {
			t.Errorf("%v\n%s", err, cmp.Diff(o, got))
		}
	})
}

// FuzzWrap holds that a hostile JPEG is refused or kept in a file that Read takes and
// that holds no byte more than the JPEG, our segments and tables.
func FuzzWrap(f *testing.F) {
	f.Add(painted(f, 16, 16))
	f.Add(append(painted(f, 40, 8), 1, 2, 3))
	f.Fuzz(func(t *testing.T, b []byte) {
		out, err := small.Wrap(b, sample())
		if err != nil {
			return
		}
		if _, err := small.Read(bytes.NewReader(out), int64(len(out))); err != nil {
			t.Error(err)
		}
		if len(out) > len(b)+8<<10 {
			t.Errorf("%d bytes became %d", len(b), len(out))
		}
		if !bytes.Equal(out, wrap(t, b, sample())) {
			t.Error("not the same bytes again")
		}
	})
}
