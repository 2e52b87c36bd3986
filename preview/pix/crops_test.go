package pix

import (
	"bytes"
	"crypto/sha256"
	"image"
	"io/fs"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"garner/cull/demo/paint"
	"garner/cull/demo/stage"
	"garner/preview/jpeg"
	"garner/testdata/testneed"
)

// known is a picture of the archive.
type known struct {
	name   string
	m      *jpeg.Image // the whole picture; nil where only its thumbnail is needed
	aspect float64
	looks  Looks
}

// sources are the pictures that crops are made of: photographs of the samples and
// of modules, as large as they come.
var sources = []string{
	"group1.jpg", "group3.jpg", "group5.jpg", "upstream66.jpg", "sample2.jpg", "sample4.jpg",
	"hugo-issue-12669.jpg", "hugo-issue-8996.jpg", "nikonMakernoteType2b.jpg", "sunrise.jpg", "a2.jpg", "branches.jpg",
}

// archive is every picture at hand: files of the samples and the modules, each once,
// the frames of bursts, and drawn pictures.
func archive(t testing.TB) []known {
	t.Helper()
	samples := testneed.Samples(t)
	dirs := []string{filepath.Join(samples, "photos"), filepath.Join(samples, "bursts")}
	for _, module := range []string{"github.com/bep/imagemeta", "github.com/corona10/goimagehash", "github.com/disintegration/imaging", "github.com/evanoberholster/imagemeta"} {
		dirs = append(dirs, testneed.Module(t, module))
	}
	var out []known
	had := map[[32]byte]bool{}
	for _, dir := range dirs {
		err := filepath.WalkDir(dir, func(p string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || strings.ToLower(filepath.Ext(p)) != ".jpg" {
				return err
			}
			src, err := os.ReadFile(p)
			if err != nil || had[sha256.Sum256(src)] {
				return err
			}
			had[sha256.Sum256(src)] = true
			m, err := jpeg.Decode(src, jpeg.Options{})
			if err != nil || m.Truncated || max(m.Width, m.Height) < 160 {
				return nil
			}
			k := known{name: filepath.Base(p), aspect: float64(m.Width) / float64(m.Height), looks: looks(t, m)}
			if slices.Contains(sources, k.name) {
				k.m = m
			}
			for _, o := range out { // the same picture with other metadata
				if Distance(o.looks.Parts[0], k.looks.Parts[0]) <= 2 && !strings.HasPrefix(k.name, "b0") {
					return nil
				}
			}
			out = append(out, k)
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	return append(out, drawn(t)...)
}

// drawn are the pictures of the demo, two takes of each.
func drawn(t testing.TB) []known {
	var out []known
	developer := paint.NewDeveloper()
	for s := stage.Scene(0); s < stage.Scenes; s++ {
		for k := range s.Kinds() {
			for seed := range uint64(2) {
				set := stage.View{Scene: s, Kind: k, Seed: seed}.Prepare()
				c := set.Canvas()
				set.Frame(c, 0, -1)
				_, full := developer.Develop(c, paint.Development{Exposure: 1, Turn: 1}, c.W, c.H)
				m := &jpeg.Image{}
				m.Reset(c.W, c.H, 1, 1, true)
				for y := range c.H {
					copy(m.Y[y*m.YStride:][:c.W], full.Y[y*full.YStride:])
				}
				out = append(out, known{name: s.Name(), aspect: float64(c.W) / float64(c.H), looks: looks(t, m)})
			}
		}
	}
	return out
}

// cropped is a part of a picture, resized to 1024 pixels, with its luma to the power
// of gamma, coded again with quality 75.
func cropped(t testing.TB, m *jpeg.Image, x, y, w, h, gamma float64) *jpeg.Image {
	t.Helper()
	at := func(share float64, n int) int { return int(share * float64(n)) }
	c := clone(Cut(m, image.Rect(at(x, m.Width), at(y, m.Height), at(x+w, m.Width), at(y+h, m.Height)), 1))
	for i, v := range c.Y {
		c.Y[i] = byte(255*math.Pow(float64(v)/255, gamma) + 0.5)
	}
	edge := 1024 / float64(max(c.Width, c.Height))
	c = Resize(c, at(edge, c.Width), at(edge, c.Height))
	var b bytes.Buffer
	if err := jpeg.Encode(&b, c, 75); err != nil {
		t.Fatal(err)
	}
	out, err := jpeg.Decode(b.Bytes(), jpeg.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// Four crops of each of twelve photographs, at random places, are looked for among
// all pictures at hand, as if all had the shape of the right one. The table says how
// often the right one comes first, and how often by the fingerprint alone. Unless it
// is asked for (-v) only one crop of each is.
func TestCrops(t *testing.T) {
	each := 4
	if !testing.Verbose() { // which takes half a minute
		each = 1
	}
	all := archive(t)
	r := rand.New(rand.NewPCG(6, 13))
	for _, c := range []struct {
		name        string
		w, h, gamma float64
		least       int // of 48
	}{
		{"80 %", 0.8, 0.8, 1, 45},
		{"60 %", 0.6, 0.6, 1, 45},
		{"50 %", 0.5, 0.5, 1, 28},
		{"60 % by 85 %", 0.6, 0.85, 1, 45},
		{"80 %, brighter", 0.8, 0.8, 0.7, 45},
	} {
		first, alone, n := 0, 0, 0
		worst, nearest := 0.0, 64.0 // of the right ones, of the wrong ones
		for i, k := range all {
			if k.m == nil {
				continue
			}
			for range each {
				n++
				m := cropped(t, k.m, r.Float64()*(1-c.w), r.Float64()*(1-c.h), c.w, c.h, c.gamma)
				q, err := NewQuery(m, k.aspect)
				if err != nil {
					t.Fatal(err)
				}
				whole := finger(t, m)
				right, crop := q.Find(k.looks)
				if d := crop.Share() - max(c.w, c.h); right < 17 && math.Abs(d) > 0.06 {
					t.Errorf("%s of %s: a share of %.2f", c.name, k.name, crop.Share())
				}
				wrong, wrongAlone := 64.0, 64
				for o, other := range all {
					if o != i {
						wrong = min(wrong, q.Distance(other.looks))
						wrongAlone = min(wrongAlone, Distance(whole, other.looks.Parts[0]))
					}
				}
				if right < wrong {
					first++
				}
				if Distance(whole, k.looks.Parts[0]) < wrongAlone {
					alone++
				}
				worst, nearest = max(worst, right), min(nearest, wrong)
			}
		}
		t.Logf("%-18s first of %d pictures: %d of %d, by the fingerprint alone %d; right ones up to %.1f bits, others from %.1f", c.name, len(all), first, n, alone, worst, nearest)
		if n != 12*each || first*48 < c.least*n {
			t.Errorf("%s: %d of %d come first, want %d of 48", c.name, first, n, c.least)
		}
	}
}

func TestQueryOfAnything(t *testing.T) {
	m := noise(60, 40, 2, 2, false, 1)
	for _, aspect := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if _, err := NewQuery(m, aspect); err == nil {
			t.Errorf("a known picture of the shape %v", aspect)
		}
	}
	if _, err := NewQuery(&jpeg.Image{}, 1); err == nil {
		t.Error("nothing is looked for")
	}
	for _, aspect := range []float64{1e-9, 0.4, 1.5, 4, 1e9} {
		q, err := NewQuery(m, aspect)
		if err != nil {
			t.Fatal(err)
		}
		if d := q.Distance(looks(t, m)); aspect == 1.5 && d > 1 || d < 0 || d > Unrelated {
			t.Errorf("shape %v: the same picture is %v away", aspect, d)
		}
	}
}
