package tui

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"garner/cull"
	"garner/cull/job"
	"garner/cull/station"
	"garner/preview/term"
)

// From a key to the last byte that is handed to the terminal, over 600 different
// frames: where the picture was sent ahead (PERFORMANCE: 2 ms at the median, 5 ms
// in the worst of a hundred), and where nobody could know that it would be wanted
// (30 ms in the worst of a hundred), decoding included.
func BenchmarkKeyToBytesOf600(b *testing.B) {
	dir := manyPictures(b, 600)
	for _, mode := range []string{"kitty", "kitty-cells", "blocks"} {
		for _, way := range []string{"ahead", "not-ahead", "loupe-ahead", "loupe-not-ahead", "measuring-ahead", "measuring-not-ahead"} {
			how, inLoupe := strings.CutPrefix(way, "loupe-")
			how, measured := strings.CutPrefix(how, "measuring-")
			ahead := how == "ahead"
			if inLoupe && mode == "blocks" {
				continue
			}
			b.Run(mode+"/"+way, func(b *testing.B) {
				of := dir
				if measured {
					of = manyPictures(b, 600) // each run has all to measure, and looks for faces
					allowFaces(b, of)
				}
				d := driveAs(b, of, 200, 59, Options{Picture: mode}, station.Options{AsItIs: true})
				defer d.close()
				d.quick()
				if measured {
					d.settle()
					d.desk.Measure()
					d.beside()
					d.untilMeasuring()
				} else {
					d.settle()
				}
				if inLoupe {
					d.press("space")
				}
				var took []time.Duration
				key := "right"
				r := rand.New(rand.NewPCG(1, 2))
				for b.Loop() {
					if !measured {
						d.idle()
					}
					h, _ := d.desk.Here()
					switch {
					case h.Position > 590:
						key = "left"
					case h.Position < 10:
						key = "right"
					}
					d.now = d.now.Add(time.Second)
					begin := time.Now()
					if ahead {
						d.m.Update(keyMsg(term.Key{Name: key, At: d.now}))
					} else {
						d.desk.GoTo(cull.ID(fmt.Sprintf("%016x", (h.Position+20+r.IntN(500))%600+1)))
						d.m.Update(tickMsg{})
					}
					d.m.View()
					d.untilWhole()
					bytes := d.waiting[0].Build()
					took = append(took, time.Since(begin))
					d.waiting[0].Build = func() []byte { return bytes }
					if measured {
						d.calm(lookFor)
						continue
					}
					d.settle()
				}
				if p, _ := d.desk.Measuring(); measured {
					b.ReportMetric(float64(p.Done), "measured")
				}
				report(b, took)
			})
		}
	}
}

// beside reads the news in a goroutine, as Bubble Tea does, since measuring has some
// at any time.
func (d *driver) beside() {
	d.news = make(chan station.News)
	go func() {
		defer close(d.news)
		for {
			n, ok := d.desk.Next()
			if !ok {
				return
			}
			d.news <- n
		}
	}()
}

// next waits for news.
func (d *driver) next() station.News {
	d.t.Helper()
	n, ok := <-d.news
	if !ok {
		d.t.Fatal("no more news")
	}
	return n
}

// untilMeasuring takes in news until frames are measured beside.
func (d *driver) untilMeasuring() {
	d.pictures()
	for {
		if p, running := d.desk.Measuring(); running && p.Done > 0 {
			return
		}
		d.m.Update(newsMsg{d.next()})
		d.pictures()
	}
}

// calm is somebody who looks: the screen shows what it is asked for.
func (d *driver) calm(look time.Duration) {
	for over := time.After(look); ; {
		d.pictures()
		select {
		case build := <-d.ahead:
			d.write(build())
		case n := <-d.news:
			d.m.Update(newsMsg{n})
		case <-over:
			return
		}
	}
}

// allowFaces says yes for a job.
func allowFaces(b *testing.B, dir string) {
	b.Helper()
	j, err := job.Open(dir, job.Options{Who: "anna"})
	if err != nil {
		b.Fatal(err)
	}
	if err := errors.Join(j.SetFaces(true), j.Close()); err != nil {
		b.Fatal(err)
	}
}

// lookFor is how long each picture is looked at while frames are measured beside: long
// enough that measuring goes on between the keys.
const lookFor = 600 * time.Millisecond

// quick lets pictures go through shared memory.
func (d *driver) quick() {
	p := &d.m.pictures
	d.write(p.painter.Close())
	p.caps.SharedMemory = true
	p.painter = p.newPainter()
	d.desk.Redraw()
	d.m.Update(tickMsg{})
}

// untilWhole takes in news until the frame's own picture is to be shown.
func (d *driver) untilWhole() {
	for !d.desk.Shot().Whole || len(d.waiting) == 0 {
		if d.news != nil {
			d.m.Update(newsMsg{d.next()})
			continue
		}
		n, ok := d.desk.Next()
		if !ok {
			d.t.Fatal("no news")
		}
		d.m.Update(newsMsg{n})
	}
}

// idle sends ahead what the painter has prepared until nothing more comes.
func (d *driver) idle() {
	for {
		quiet := time.NewTimer(100 * time.Millisecond)
		select {
		case build := <-d.ahead:
			d.write(build())
		case <-quiet.C:
			return
		}
		quiet.Stop()
	}
}

// manyPictures is a job of n frames of 1620x1080 pixels, each a moment of its own,
// ten to a scene. They are one JPEG with n different quantisation tables.
func manyPictures(b *testing.B, n int) string {
	b.Helper()
	dir := filepath.Join(b.TempDir(), "job")
	if err := os.Mkdir(dir, 0o777); err != nil {
		b.Fatal(err)
	}
	m := image.NewRGBA(image.Rect(0, 0, 1620, 1080))
	for y := range 1080 {
		for x := range 1620 {
			m.Set(x, y, color.RGBA{uint8(x*y/500 + x%7*3), uint8(x + y%13*2), uint8(y * 2), 255})
		}
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, m, &jpeg.Options{Quality: 90}); err != nil {
		b.Fatal(err)
	}
	table := bytes.Index(out.Bytes(), []byte{0xff, 0xdb}) + 5
	j, err := job.Open(dir, job.Options{Who: "anna"})
	if err != nil {
		b.Fatal(err)
	}
	defer j.Close()
	var l cull.Layout
	var frames []cull.Frame
	for i := range n {
		data := bytes.Clone(out.Bytes())
		data[table+3], data[table+4] = byte(2+i%30), byte(2+i/30)
		name := fmt.Sprintf("IMG_%04d", i)
		if err := os.WriteFile(filepath.Join(dir, name+".JPG"), data, 0o666); err != nil {
			b.Fatal(err)
		}
		id := cull.ID(fmt.Sprintf("%016x", i+1))
		if i%10 == 0 {
			l.Scenes = append(l.Scenes, cull.Scene{ID: len(l.Scenes), Name: cull.SceneNumber(len(l.Scenes)), First: id})
		}
		stamp := cull.Stamp{Wall: time.Date(2026, 6, 13, 11, 0, 0, 0, time.UTC).Add(time.Duration(i) * 3 * time.Second)}
		l.Places = append(l.Places, cull.Place{Frame: id, Moment: i, Kind: cull.Single, Scene: len(l.Scenes) - 1, Corrected: stamp})
		frames = append(frames, cull.Frame{ID: id, Name: name, Kind: "JPEG", Taken: stamp,
			Files:    []cull.File{{Path: name + ".JPG", Role: cull.RoleMain, Kind: "JPEG", Size: int64(len(data))}},
			Previews: []cull.Preview{{File: name + ".JPG", Role: "screen", Length: int64(len(data)), Width: 1620, Height: 1080, Whole: true}}})
	}
	if err := j.SaveFrames(frames); err != nil {
		b.Fatal(err)
	}
	if err := j.SaveLayout(l); err != nil {
		b.Fatal(err)
	}
	return dir
}
