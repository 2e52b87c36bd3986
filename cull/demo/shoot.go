package demo

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"image"
	"image/jpeg"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"time"

	"garner/cull/demo/paint"
	"garner/cull/demo/stage"
	"garner/preview/build"
)

// The pixel size of a DCF thumbnail.
const thumbW, thumbH = 160, 120

// zone is Central European Summer Time, in minutes.
const zone = 120

func (s *shot) name(body int) string {
	if body == guest {
		return fmt.Sprintf("ILVK%04d", s.number)
	}
	return fmt.Sprintf("VRNH%04d", s.number)
}

func (s *shot) ext() string {
	if s.kind == "JPEG" {
		return "JPG"
	}
	return s.kind
}

// shoot draws the moment's frames one after the other and hands each to take.
func (m *moment) shoot(ctx context.Context, dev *paint.Developer, f format, take func(s *shot, info build.Shot, pics build.Pictures) error) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	set := m.view.Prepare()
	people := set.People()
	canvas := set.Canvas()
	for _, s := range m.shots {
		if err := ctx.Err(); err != nil {
			return err
		}
		r := rand.New(rand.NewPCG(s.seed, 1))
		blink := -1
		if s.blink && people > 0 {
			blink = r.IntN(people)
			s.truth.Closed = set.Shows(blink)
		}
		// The scenes move for about a second; the guest's slow camera takes
		// longer than people stay in the frame.
		t := min(float32(s.after.Seconds()), 1.2)
		set.Frame(canvas, t, blink)
		focus := canvas.Focus
		canvas.Blur(s.blur)
		if s.shake > 0 {
			canvas.Smear(s.shake, s.shake*(r.Float32()-0.5))
		}
		info := m.describe(s, f, set, focus)
		pics, err := develop(dev, canvas, s, f, info)
		if err != nil {
			return err
		}
		if err := take(s, info, pics); err != nil {
			return err
		}
	}
	return nil
}

// develop gives the three JPEGs of a frame, and what its sensor left.
func develop(dev *paint.Developer, c *paint.Canvas, s *shot, f format, info build.Shot) (build.Pictures, error) {
	how := paint.Development{
		Exposure: float32(math.Exp2(s.ev)),
		Grain:    f.grain * (1.2 + 5*float32(math.Sqrt(float64(info.ISO)/6400))),
		Seed:     s.seed,
		Turn:     info.Orientation,
	}
	screen, full := dev.Develop(c, how, f.w, f.h)
	p := build.Pictures{Sensor: f.sensorOf(s)}
	for _, j := range []struct {
		to      *[]byte
		img     image.Image
		quality int
	}{{&p.Full, full, f.quality}, {&p.Screen, screen, 82}, {&p.Thumb, paint.Thumbnail(screen, thumbW, thumbH), 80}} {
		var b bytes.Buffer
		if err := jpeg.Encode(&b, j.img, &jpeg.Options{Quality: j.quality}); err != nil {
			return p, err
		}
		*j.to = b.Bytes()
	}
	return p, nil
}

// write puts the frame's files in their place with the capture time as their
// date, and returns how many they are and their bytes.
func (s *shot) write(dir string, info build.Shot, pics build.Pictures) (files int, n int64, err error) {
	for _, path := range s.truth.Paths {
		b, err := contain(filepath.Ext(path), info, pics)
		if err != nil {
			return files, n, fmt.Errorf("demo: %s: %w", path, err)
		}
		if s.broken {
			// Metadata and the first bytes of the first picture survive.
			b = b[:bytes.Index(b, []byte{0xFF, 0xD8, 0xFF})+40]
		}
		name := filepath.Join(dir, filepath.FromSlash(path))
		if err := put(name, b, info.Taken); err != nil {
			return files, n, err
		}
		files, n = files+1, n+int64(len(b))
	}
	return files, n, nil
}

// contain makes the file that belongs to an extension.
func contain(ext string, info build.Shot, pics build.Pictures) ([]byte, error) {
	switch ext {
	case ".DNG":
		return build.DNG(info, pics, binary.LittleEndian)
	case ".CR3":
		return build.CR3(info, pics)
	case ".RAF":
		return build.RAF(info, pics)
	}
	return build.JPEG(info, pics, info.Rating > 0)
}

func put(name string, b []byte, taken build.Clock) error {
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	_, err = f.Write(b)
	if err2 := f.Close(); err == nil {
		err = err2
	}
	if err != nil {
		return err
	}
	at := taken.Wall.Add(-zone * time.Minute)
	return os.Chtimes(name, at, at)
}

// describe is what the body writes about the shot.
func (m *moment) describe(s *shot, f format, set *stage.Set, focus paint.Spot) build.Shot {
	b := cameras()[m.body]
	e := exposures()[m.view.Scene]
	wall := m.start.Add(s.after)
	if m.body == bodyB {
		wall = wall.Add(OffsetSeconds * time.Second)
	}
	info := build.Shot{
		Make: b.Make, Model: b.Model, Serial: b.Serial, Software: b.Model + " firmware 1.20",
		Taken:       build.Clock{Wall: wall, Digits: 2, Zone: zone, HasZone: true},
		Orientation: 1, Seconds: e.seconds, FNumber: e.fnumber, ISO: set.ISO(), Manual: m.view.Scene != stage.Formals,
		Bracket: m.bracket, Flash: m.view.Scene == stage.Party, Focal: e.focal, Lens: e.lens,
		Counter: s.count, Rating: s.rating, Width: f.w, Height: f.h,
		Bias: build.Rational{Num: 0, Den: 1},
	}
	if m.bracket {
		info.Bias = build.Rational{Num: int32(s.ev), Den: 1}
		info.Seconds.Den = int32(float64(info.Seconds.Den) / math.Exp2(s.ev))
	}
	if m.body == guest {
		// A simple camera: no fraction of a second, no zone.
		info.Taken = build.Clock{Wall: wall.Truncate(time.Second)}
		info.Lens, info.Focal = "", build.Rational{Num: 106, Den: 10}
	}
	if set.Upright() {
		info.Orientation = 8
		if m.body == bodyB {
			info.Orientation = 6
		}
	}
	if focus.R > 0 && m.body != guest {
		info.SubjectArea = f.stored(focus, info.Orientation)
	}
	return info
}

// stored turns a place on the upright canvas, in units (the short side is
// 1000), into pixels of the full picture as it is stored.
func (f format) stored(spot paint.Spot, orientation int) *build.Area {
	k := float32(f.h) / 1000
	x, y, d := int(spot.X*k), int(spot.Y*k), int(2*spot.R*k)
	switch orientation {
	case 6:
		x, y = y, f.h-1-x
	case 8:
		x, y = f.w-1-y, x
	}
	return &build.Area{X: x, Y: y, W: d, H: d}
}

type exposure struct {
	seconds, fnumber, focal build.Rational
	lens                    string
}

// exposures are settings that suit the light of each scene.
func exposures() [stage.Scenes]exposure {
	q := func(n, d int32) build.Rational { return build.Rational{Num: n, Den: d} }
	l35, l85 := "Varnholt 35 mm f/1.4", "Varnholt 85 mm f/1.8"
	return [...]exposure{
		{q(1, 200), q(20, 10), q(35, 1), l35},
		{q(1, 160), q(20, 10), q(85, 1), l85},
		{q(1, 500), q(40, 10), q(35, 1), l35},
		{q(1, 1000), q(18, 10), q(85, 1), l85},
		{q(1, 100), q(18, 10), q(35, 1), l35},
		{q(1, 125), q(18, 10), q(85, 1), l85},
		{q(1, 125), q(20, 10), q(35, 1), l35},
		{q(1, 60), q(20, 10), q(35, 1), l35},
	}
}
