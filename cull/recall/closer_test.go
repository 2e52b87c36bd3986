package recall

import (
	"bytes"
	"image"
	stdjpeg "image/jpeg"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/closing/record"
	"garner/cull/job"
	"garner/cull/prepare"
	"garner/preview/jpeg"
	"garner/preview/pix"
	"garner/testdata/testjob"
)

func thumbOf(t testing.TB, m image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	must(t, stdjpeg.Encode(&b, m, nil))
	decoded, err := jpeg.Decode(b.Bytes(), jpeg.Options{})
	must(t, err)
	thumb, err := jpeg.AppendEncode(nil, pix.Thumb(decoded, 1), 85)
	must(t, err)
	return thumb
}

// twins is a bag of frames whose looks are all that of seed 7, each a moment of its own.
// Their thumbnails are given.
func twins(t testing.TB, dir string, thumbs ...[]byte) {
	b := invent(t, dir, "0613")
	look := lookOf(t, scenery(7))
	for i, thumb := range thumbs {
		k := known(i+1, "A/IMG_000"+string(rune('1'+i)), weddingDay.Add(time.Duration(i)*time.Minute))
		k.Look, k.Place.Moment = look, i
		k.Frame.Shot.Width, k.Frame.Shot.Height = 720, 480
		b.add(k)
		if thumb != nil {
			b.content.Frames[i].Thumb = &record.Span{Offset: int64(len(b.content.Thumbs)), Length: int64(len(thumb))}
			b.content.Thumbs = append(b.content.Thumbs, thumb...)
		}
	}
	b.write()
}

// likeSeven asks for a picture of seed 7 that somebody sent back.
func likeSeven(t testing.TB, most int, dirs ...string) Found {
	t.Helper()
	p, err := PictureFrom(t.Context(), sent(t, 7, "back.jpg"))
	must(t, err)
	f, err := open(t, Options{}, dirs...).Find(t.Context(), Query{Like: p, Most: most})
	must(t, err)
	return f
}

// Of frames whose looks are the same the one comes first whose thumbnail the picture is cut
// from, in a shelf and in a bag that is named by itself.
func TestCloser(t *testing.T) {
	shelf := t.TempDir()
	bag := filepath.Join(shelf, "bag")
	twins(t, bag, thumbOf(t, scenery(1)), nil, thumbOf(t, scenery(7)), thumbOf(t, scenery(2)))
	for _, dir := range []string{shelf, bag} {
		f := likeSeven(t, 0, dir)
		if f.Total != 4 || len(f.Hits) != 4 {
			t.Fatalf("%s: %+v", dir, f)
		}
		var order []string
		for _, h := range f.Hits {
			order = append(order, h.Name[len(h.Name)-1:])
			if fits := h.Name == "A/IMG_0003"; h.Fits() != fits || h.Looked != (h.Name != "A/IMG_0002") || fits != (h.Agrees > 0.9) {
				t.Errorf("%s: looked %v, agrees %.2f", h.Name, h.Looked, h.Agrees)
			}
		}
		if !slices.Equal(order, []string{"3", "1", "2", "4"}) {
			t.Errorf("%s: %q", dir, order)
		}
		if one := likeSeven(t, 1, dir); len(one.Hits) != 1 || one.Hits[0].Name != "A/IMG_0003" || one.Total != 4 {
			t.Errorf("one alone is %+v", one)
		}
	}
}

// Thumbnails that are none leave a frame where its look puts it.
func TestHostileThumbs(t *testing.T) {
	whole := thumbOf(t, scenery(7))
	huge := slices.Clone(whole)
	at := bytes.Index(huge, []byte{0xFF, 0xC0}) // SOF0: length, precision, height, width (ITU-T T.81 B.2.2)
	copy(huge[at+5:], []byte{0xFF, 0xFF, 0xFF, 0xFF})
	thin := thumbOf(t, image.NewGray(image.Rect(0, 0, 3000, 1)))
	large := append(slices.Clone(whole), make([]byte, largestThumb)...)
	dir := t.TempDir()
	twins(t, dir, []byte("dear Anna"), whole[:len(whole)/2], huge, thin, large, whole)
	f := likeSeven(t, 0, dir)
	if len(f.Hits) != 6 || f.Hits[0].Name != "A/IMG_0006" || !f.Hits[0].Fits() {
		t.Fatalf("%+v", f.Hits)
	}
	for _, h := range f.Hits[1:] {
		if h.Fits() || h.Looked && h.Name != "A/IMG_0004" {
			t.Errorf("%s: looked %v, agrees %.2f", h.Name, h.Looked, h.Agrees)
		}
	}

	// Spans that lead out of the file, a file that is another, none, a folder, a pipe, a link
	// out of the bag.
	name := filepath.Join(dir, filepath.FromSlash(record.RunFolder(1)), record.ThumbsName)
	text, err := os.ReadFile(name)
	must(t, err)
	outside := filepath.Join(t.TempDir(), "outside")
	must(t, os.WriteFile(outside, text, 0o666))
	for what, put := range map[string]func() error{
		"cut off": func() error { return os.WriteFile(name, text[:3], 0o666) },
		"zeros":   func() error { return os.WriteFile(name, make([]byte, len(text)), 0o666) },
		"none":    func() error { return nil },
		"folder":  func() error { return os.Mkdir(name, 0o777) },
		"pipe":    func() error { return pipe(name) },
		"link":    func() error { return os.Symlink(outside, name) },
	} {
		must(t, os.RemoveAll(name))
		if err := put(); err != nil {
			t.Logf("%s: %v", what, err)
			continue
		}
		if f := likeSeven(t, 0, dir); len(f.Hits) != 6 || slices.ContainsFunc(f.Hits, func(h Hit) bool { return h.Looked }) || f.Hits[0].Name != "A/IMG_0001" {
			t.Errorf("%s: %+v", what, f.Hits)
		}
	}
}

// Of a job the thumbnails are in its cache, for as long as it has one.
func TestCloserInJob(t *testing.T) {
	dir := testjob.Demo(t, 24, true)
	j, err := job.Open(dir, job.Options{ReadOnly: true})
	must(t, err)
	frames, err := j.Frames()
	must(t, err)
	looks, err := j.Looks()
	must(t, err)
	v := prepare.NewViewer(j)
	var id cull.ID
	var picture *jpeg.Image
	for _, f := range frames {
		if m, ok := v.Thumb(f); ok && f.Shot.Width != f.Shot.Height && looks[f.ID].Method == pix.LookMethod && (id == "" || f.ID < id) {
			id, picture = f.ID, m
		}
	}
	must(t, v.Close())
	must(t, j.Close())
	back := filepath.Join(t.TempDir(), "back.jpg")
	text, err := jpeg.AppendEncode(nil, picture, 70)
	must(t, err)
	must(t, os.WriteFile(back, text, 0o666))
	p, err := PictureFrom(t.Context(), back)
	must(t, err)
	for _, kept := range []bool{true, false} {
		f, err := open(t, Options{}, dir).Find(t.Context(), Query{Like: p, Most: 5})
		must(t, err)
		if len(f.Hits) == 0 || f.Hits[0].Frame != id || f.Hits[0].Fits() != kept || f.Hits[0].Looked != kept {
			t.Errorf("with a cache %v: want %s, got %+v", kept, id, f.Hits)
		}
		must(t, os.RemoveAll(filepath.Join(dir, ".garner", "cache")))
	}
}
