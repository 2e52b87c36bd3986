package measure_test

import (
	"bytes"
	"image"
	"os"
	"path/filepath"
	"testing"

	"garner/preview/jpeg"
	"garner/preview/pix"
	"garner/preview/raw"
	"garner/testdata/testneed"
)

// subject is a square part of a real photograph, for trying measures of focus on.
type subject struct {
	name string
	file int // number in photographs
	at   image.Rectangle
}

// square is a square part round a point.
func squareAt(x, y, edge int) image.Rectangle {
	return image.Rect(x-edge/2, y-edge/2, x-edge/2+edge, y-edge/2+edge)
}

// photographs are where the subjects are: of the samples, and of the test data of
// modules, some as JPEGs in raw files.
var photographs = []struct {
	module, file   string
	offset, length int
}{
	{"", "photos/group1.jpg", 0, 0}, // npm package @vladmandic/face-api
	{"", "photos/group3.jpg", 0, 0},
	{"", "photos/group5.jpg", 0, 0},
	{"github.com/evanoberholster/imagemeta", "testImages/CR2.exif", 42308, 296899},
	{"github.com/evanoberholster/imagemeta", "testImages/NEF.exif", 1189376, 2287892},
	{"github.com/evanoberholster/imagemeta", "testImages/ARW.exif", 163891, 1129868},
	{"github.com/evanoberholster/imagemeta", "testImages/CRW.CRW", 3305054, 281610},
	{"github.com/bep/imagemeta", "testdata/images/metadata-extractor/nikonMakernoteType2b.jpg", 0, 0},
	{"github.com/bep/imagemeta", "testdata/images/hugo-issue-12669.jpg", 0, 0},
	{"github.com/bep/imagemeta", "testdata/images/outofbounds-issue-34.jpg", 0, 0},
	{"github.com/bep/imagemeta", "testdata/images/smoke/hugo-issue-8996.jpg", 0, 0},
	{"github.com/corona10/goimagehash", "_examples/sample2.jpg", 0, 0},
	{"github.com/evanoberholster/imagemeta", "assets/a2.jpg", 0, 0},
}

// subjects are 14 faces, marked by hand, and 18 other things.
var subjects = []subject{
	{"face", 0, squareAt(504, 480, 240)}, {"face", 0, squareAt(928, 536, 240)}, {"face", 0, squareAt(1584, 320, 256)},
	{"face", 1, squareAt(680, 448, 250)}, {"face", 1, squareAt(1192, 344, 264)}, {"face", 1, squareAt(1600, 424, 250)},
	{"face", 2, squareAt(864, 216, 240)}, {"face", 2, squareAt(1184, 320, 240)}, {"face", 2, squareAt(696, 552, 240)}, {"face", 2, squareAt(1488, 528, 260)}, {"face", 2, squareAt(470, 1030, 240)},
	{"face", 3, squareAt(664, 930, 500)}, {"face", 3, squareAt(1300, 820, 500)},
	{"face", 7, squareAt(1100, 470, 330)},
	{"ornament", 4, squareAt(3000, 1500, 700)}, {"plaster", 4, squareAt(2700, 2500, 700)}, {"leaf", 4, squareAt(1000, 900, 800)}, {"finial", 4, squareAt(3050, 600, 700)}, {"twigs", 4, squareAt(5000, 2300, 700)},
	{"tree", 5, squareAt(300, 400, 320)}, {"wall", 5, squareAt(1200, 300, 320)}, {"blocks", 5, squareAt(1250, 850, 320)},
	{"tinsel", 6, squareAt(700, 700, 320)}, {"needles", 6, squareAt(330, 330, 280)},
	{"sign", 7, squareAt(750, 240, 400)}, {"apron", 7, squareAt(1300, 900, 400)},
	{"hill", 8, squareAt(1500, 900, 600)}, {"slope", 8, squareAt(3500, 900, 600)},
	{"fern", 9, squareAt(2000, 1100, 700)}, {"house", 10, squareAt(600, 600, 400)},
	{"moon", 11, squareAt(1300, 1400, 700)}, {"lotus", 12, squareAt(512, 640, 420)},
}

// cuts are the subjects brought to a size, in grey. Those that are not at least 1.4 times
// as large as that are left out: their pixels would not be sharp.
func cuts(t testing.TB, edge int) (out []grey, names []string) {
	t.Helper()
	for _, s := range subjects {
		if s.at.Dx()*10 >= edge*14 {
			out, names = append(out, s.taken(t, s.at, edge)), append(names, s.name)
		}
	}
	return out, names
}

// taken is a part of the subject's photograph, brought to a size.
func (s subject) taken(t testing.TB, at image.Rectangle, edge int) grey {
	part := pix.Cut(photograph(t, s.file), at, 1)
	if part == nil || part.Width != at.Dx() || part.Height != at.Dy() {
		t.Fatalf("%s lies partly outside of %s", s.name, photographs[s.file].file)
	}
	return greyOf(pix.Resize(part, edge, edge))
}

var photos = map[int]*jpeg.Image{}

func photograph(t testing.TB, i int) *jpeg.Image {
	t.Helper()
	if m := photos[i]; m != nil {
		return m
	}
	src, p := embedded(t, i)
	m, err := jpeg.Decode(src[p.Offset:][:p.Length], jpeg.Options{})
	if err != nil {
		t.Fatal(err)
	}
	photos[i] = m
	return m
}

// embedded is the file of a photograph, and where in it the JPEG is.
func embedded(t testing.TB, i int) ([]byte, raw.Preview) {
	t.Helper()
	p := photographs[i]
	dir := ""
	if p.module != "" {
		dir = testneed.Module(t, p.module)
	} else {
		dir = testneed.Samples(t)
	}
	src, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(p.file)))
	if err != nil {
		t.Fatal(err)
	}
	length := p.length
	if length == 0 {
		length = len(src)
	}
	info, err := jpeg.Config(bytes.NewReader(src[p.offset:][:length]), 0, int64(length))
	if err != nil {
		t.Fatal(err)
	}
	return src, raw.Preview{Offset: int64(p.offset), Length: int64(length), Width: info.Width, Height: info.Height}
}
