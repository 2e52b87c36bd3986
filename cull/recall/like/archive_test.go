package like

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"image"
	"io/fs"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"garner/cull"
	"garner/cull/demo/paint"
	"garner/cull/demo/stage"
	"garner/preview"
	"garner/preview/jpeg"
	"garner/preview/pix"
	"garner/testdata/testneed"
)

// frame is an archived frame: the picture and what Columns know of it.
type frame struct {
	name   string
	moment int
	m      *jpeg.Image
	looks  pix.Looks
	coded  []byte // its thumbnail, as a record keeps it
}

// setting is where it was taken: the video, the painted scene, or the photograph that
// others were made of.
func (f *frame) setting() string {
	name, _, _ := strings.Cut(f.name, " +")
	if at := strings.LastIndexByte(name, '/'); at >= 0 {
		name = strings.TrimRight(name[:at], " 0123456789")
	}
	return name
}

func (f *frame) thumb() *jpeg.Image {
	m, err := jpeg.Decode(f.coded, jpeg.Options{Luma: true})
	if err != nil {
		panic(err)
	}
	return m
}

func (f *frame) aspect() float64 { return float64(f.m.Width) / float64(f.m.Height) }

func (f *frame) row() Row { return rowOf(f.looks, f.aspect()) }

func rowOf(l pix.Looks, aspect float64) Row {
	return Row{cull.Look{Method: l.Method, Parts: l.Parts}, aspect}
}

// archiveSize is how many frames there are.
const archiveSize = 200

// archive are 200 frames in 24 bursts and single: the 12 bursts of the samples, of six
// frames each (videos of a fixed and of a moving camera); the photographs of the samples
// and of modules, the embedded pictures of raw files, all trimmed to one of the usual
// shapes; 8 bursts of four frames made of the largest of those, as a hand that moves, noise and
// a light that changes would take them; and frames of the invented wedding, 4 bursts of
// four among them.
func archive(t testing.TB) *archiver {
	t.Helper()
	a := &archiver{t: t, had: map[[32]byte]bool{}}
	samples := testneed.Samples(t)
	a.bursts(filepath.Join(samples, "bursts"))
	a.photos(filepath.Join(samples, "photos"))
	a.raw(filepath.Join(samples, "raw", "Canon-R6-pruned.CR3"))
	for _, module := range []string{"github.com/evanoberholster/imagemeta", "github.com/corona10/goimagehash", "github.com/disintegration/imaging", "github.com/bep/imagemeta"} {
		dir := testneed.Module(t, module)
		for _, pattern := range []string{"testImages/*.exif", "testImages/*.CRW", "testdata/images/sample.*"} {
			found, _ := filepath.Glob(filepath.Join(dir, pattern))
			for _, path := range found {
				a.raw(path)
			}
		}
		a.photos(dir)
	}
	real := len(a.out)
	a.shaken(8, 4)
	shaken := len(a.out)
	a.painted(4, 4, archiveSize-len(a.out))
	t.Logf("%d frames in %d moments: %d real ones, %d made of real ones, %d painted", len(a.out), a.moments, real, shaken-real, len(a.out)-shaken)
	if len(a.out) != archiveSize {
		t.Fatalf("%d frames", len(a.out))
	}
	return a
}

// largest is as long as the edges of the pictures are that queries are made of: those
// that come back are no larger.
const largest = 1200

type archiver struct {
	t       testing.TB
	out     []frame
	moments int
	had     map[[32]byte]bool
}

// add takes a frame; if it is the first of a moment, only one that nothing there is
// looks like.
func (a *archiver) add(name string, m *jpeg.Image, alone bool) bool {
	m = pix.Fit(m, largest)
	l, err := pix.Look(m)
	if err != nil {
		a.t.Fatal(err)
	}
	if alone {
		if l.Parts[0] == pix.Flat || slices.ContainsFunc(a.out, func(o frame) bool { return pix.Distance(o.looks.Parts[0], l.Parts[0]) <= 4 }) {
			return false
		}
		a.moments++
	}
	coded, err := jpeg.AppendEncode(nil, pix.Thumb(m, 1), 85)
	if err != nil {
		a.t.Fatal(err)
	}
	a.out = append(a.out, frame{name, a.moments, m, l, coded})
	return true
}

func (a *archiver) bursts(dir string) {
	last := ""
	a.walk(dir, func(path string, src []byte) {
		m, err := jpeg.Decode(src, jpeg.Options{})
		if err != nil {
			a.t.Fatal(err)
		}
		burst := filepath.Dir(path) + filepath.Base(path)[:3]
		if burst != last {
			a.moments++
		}
		last = burst
		a.add(filepath.Base(filepath.Dir(path))+"/"+filepath.Base(path), m, false)
	})
}

func (a *archiver) photos(dir string) {
	a.walk(dir, func(path string, src []byte) {
		m, err := jpeg.Decode(src, jpeg.Options{})
		if err == nil && !m.Truncated && min(m.Width, m.Height) >= 200 {
			a.add(filepath.Base(path), shaped(m), true)
		}
	})
}

func (a *archiver) raw(path string) {
	src, err := os.ReadFile(path)
	if err != nil {
		a.t.Fatal(err)
	}
	f, err := preview.Open(bytes.NewReader(src), int64(len(src)))
	if err != nil {
		return
	}
	p, err := f.Render(a.t.Context(), 2048)
	if err == nil && !p.Image.Truncated && min(p.Image.Width, p.Image.Height) >= 200 {
		a.add(filepath.Base(path), shaped(p.Image), true)
	}
}

func (a *archiver) walk(dir string, do func(path string, src []byte)) {
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !slices.Contains([]string{".jpg", ".jpeg"}, strings.ToLower(filepath.Ext(path))) {
			return err
		}
		src, err := os.ReadFile(path)
		if strings.HasPrefix(d.Name(), "metadata_demo") {
			return err // no photograph, but words on white
		}
		if sum := sha256.Sum256(src); err == nil && !a.had[sum] {
			a.had[sum] = true
			do(path, src)
		}
		return err
	})
	if err != nil {
		a.t.Fatal(err)
	}
}

// shaped trims a picture to the nearest of the shapes that cameras give.
func shaped(m *jpeg.Image) *jpeg.Image {
	is := float64(m.Width) / float64(m.Height)
	best := 1.5
	for _, s := range []float64{2. / 3, 3. / 4, 4. / 3} {
		if math.Abs(math.Log(s/is)) < math.Abs(math.Log(best/is)) {
			best = s
		}
	}
	w, h := m.Width, m.Height
	if is > best {
		w = int(float64(h)*best + 0.5)
	} else {
		h = int(float64(w)/best + 0.5)
	}
	return pix.Cut(m, image.Rect((m.Width-w)/2, (m.Height-h)/2, (m.Width-w)/2+w, (m.Height-h)/2+h), 1)
}

// shaken makes frames that follow on the photographs of most samples.
func (a *archiver) shaken(bursts, frames int) {
	var large []int
	for i, f := range a.out {
		if !strings.HasPrefix(f.name, "frames_") {
			large = append(large, i)
		}
	}
	slices.SortStableFunc(large, func(i, k int) int { return len(a.out[k].m.Y) - len(a.out[i].m.Y) })
	r := rand.New(rand.NewPCG(9, 1))
	for _, i := range large[:bursts] {
		f := a.out[i]
		for k := range frames - 1 {
			share := 0.95 + 0.03*r.Float64()
			m := part(f.m, r.Float64()*(1-share), r.Float64()*(1-share), share, share)
			lit := exposed(m, 0.3*(r.Float64()-0.5))
			for p := range lit.Y {
				lit.Y[p] = byte(min(max(float64(lit.Y[p])+3*r.NormFloat64(), 0), 255))
			}
			a.add(fmt.Sprint(f.name, " +", k+1), lit, false)
			a.out[len(a.out)-1].moment = f.moment
		}
	}
}

// painted are so many frames of the invented wedding.
func (a *archiver) painted(bursts, frames, most int) {
	developer := paint.NewDeveloper()
	last := len(a.out) + most
	for seed := uint64(0); seed < 3; seed++ {
		for s := stage.Scene(0); s < stage.Scenes; s++ {
			for k := range s.Kinds() {
				set := stage.View{Scene: s, Kind: k, Seed: seed}.Prepare()
				c := set.Canvas()
				n := 1
				if bursts > 0 {
					n, bursts = frames, bursts-1
				}
				for i := range n {
					if len(a.out) == last {
						return
					}
					set.Frame(c, float32(i)*0.3, -1)
					_, full := developer.Develop(c, paint.Development{Exposure: 1, Turn: 1}, c.W*2/3, c.H*2/3)
					m := &jpeg.Image{Width: c.W * 2 / 3, Height: c.H * 2 / 3, Y: full.Y, Cb: full.Cb, Cr: full.Cr, YStride: full.YStride, CStride: full.CStride, SubX: 2, SubY: 2}
					if !a.add(fmt.Sprintf("%s %d/%d +%d", s.Name(), k, seed, i), m, i == 0) {
						break
					}
				}
			}
		}
	}
}
