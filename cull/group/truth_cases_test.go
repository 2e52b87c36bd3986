package group

import (
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"testing"
	"time"

	"garner/cull"
	"garner/testdata/testneed"
)

// reel is a row of frames of which it is known what belongs together.
type reel struct {
	name   string
	frames []Frame
	known  map[cull.ID]string // no entry: nobody can say

	least   float64 // what F1 must reach; 0 = only reported
	mayJoin bool    // groups may hold frames of two known bursts
	beats   string  // "time", "likeness" or both: even at its best that alone must stay below least
}

func (r *reel) add(at time.Duration, s seen, burst string) *Frame {
	n := len(r.frames) + 1
	f := Frame{ID: cull.ID(fmt.Sprintf("%016x", n)), Name: fmt.Sprintf("A/IMG_%04d", n), Body: "A", Counter: int64(n),
		Time: cull.Stamp{Wall: dayStart.Add(at), Digits: 3}, Look: s.look, Fingerprint: s.fingerprint, HasFingerprint: true, Luma: s.luma}
	if r.known == nil {
		r.known = map[cull.ID]string{}
	}
	if burst != "" {
		r.known[f.ID] = burst
	}
	r.frames = append(r.frames, f)
	return &r.frames[n-1]
}

// last is when the last frame was taken.
func (r *reel) last() time.Duration {
	if len(r.frames) == 0 {
		return 0
	}
	return r.frames[len(r.frames)-1].Time.Wall.Sub(dayStart)
}

// wholeSeconds takes the sub-seconds from every time, and the counters too
// unless they are kept.
func (r reel) wholeSeconds(name string, counters bool) reel {
	out := reel{name: name, known: r.known}
	for _, f := range r.frames {
		f.Time.Wall, f.Time.Digits = f.Time.Wall.Truncate(time.Second), 0
		if !counters {
			f.Counter = 0
		}
		out.frames = append(out.frames, f)
	}
	return out
}

const tenth = 100 * time.Millisecond // the pace of the videos, and of a quick body

// asFilmed gives video frames the times at which they were filmed.
func asFilmed(name string, film []filmed) reel {
	r := reel{name: name, least: .98}
	for _, f := range film {
		r.add(time.Duration(f.number)*tenth, f.seen, f.set+" "+f.burst)
	}
	return r
}

// spaced gives the frames of each burst the pace at which they were filmed, and
// lets this pause pass from one burst to the next.
func spaced(name string, film []filmed, pause time.Duration) reel {
	r := reel{name: name}
	var at time.Duration
	for i, f := range film {
		switch {
		case i == 0:
		case film[i-1].burst == f.burst && film[i-1].set == f.set:
			at += time.Duration(f.number-film[i-1].number) * tenth
		default:
			at += pause
		}
		r.add(at, f.seen, f.set+" "+f.burst)
	}
	return r
}

// inTurns takes a burst of one video, then one of the other, as often as both
// last.
func inTurns(a, b []filmed) (out []filmed) {
	const size = 6
	for at := 0; at+size <= min(len(a), len(b)); at += size {
		out = append(append(out, a[at:at+size]...), b[at:at+size]...)
	}
	return out
}

// filmReels are the sample videos: real pictures, at times of our own.
func filmReels(t *testing.T) (reels []reel) {
	fixed, second := film(t, "frames_vtest"), film(t, "frames_gocv_small")
	reels = append(reels, asFilmed("fixed camera, as filmed", fixed), asFilmed("second video, as filmed", second))
	turns := inTurns(fixed, second)
	for _, video := range []struct {
		name string
		film []filmed
	}{{"fixed camera", fixed}, {"second video", second}, {"both in turns", turns}} {
		for _, pause := range []time.Duration{500 * time.Millisecond, time.Second, 3 * time.Second, 10 * time.Second} {
			r := spaced(fmt.Sprintf("%s, %v between bursts", video.name, pause), video.film, pause)
			r.least, r.mayJoin = .98, pause < 3*time.Second
			if pause < time.Second {
				r.least = .95
			}
			if video.name == "second video" { // hardly anything moves in it
				r.beats = "likeness"
			}
			reels = append(reels, r)
		}
	}
	// With no pause at all only the pictures tell the bursts apart.
	none := spaced("both in turns, no pause", turns, tenth)
	none.least, none.beats = .98, "time"
	reels = append(reels, none)
	for _, c := range []struct {
		what     string
		counters bool
	}{{"whole seconds", true}, {"whole seconds, no counter", false}} {
		r := none.wholeSeconds("both in turns, no pause, "+c.what, c.counters)
		r.least, r.beats = .98, "time"
		reels = append(reels, r)
		for _, pause := range []time.Duration{time.Second, 3 * time.Second, 10 * time.Second} {
			r := spaced("", fixed, pause).wholeSeconds(fmt.Sprintf("fixed camera, %v, %s", pause, c.what), c.counters)
			if r.mayJoin = pause < 3*time.Second; !r.mayJoin {
				r.least = .98
			}
			reels = append(reels, r)
		}
	}
	return reels
}

var photographs = []string{"group1", "group3", "group5"}

// photoReels are made of windows of real photographs.
func photoReels(t *testing.T) (reels []reel) {
	rng := rand.New(rand.NewPCG(1, 2))
	var cameras []camera
	for _, name := range photographs {
		m := picture(t, filepath.Join(testneed.Samples(t), "photos", name+".jpg"), 4)
		cameras = append(cameras, camera{t, rng, m, .45})
	}
	corner := func(c camera, k int, shake float64) seen {
		return c.at(.02+float64(k%2)*.5, .02+float64(k/2%2)*.5, shake)
	}
	burst := func(i int, what string, k int) string { return fmt.Sprintf("%s %d", photographs[i], k) + what }

	slow := reel{name: "hand-held, one frame a second", least: .98}
	quick := reel{name: "hand-held at 10 fps, the same pose 3 s later", least: .98, beats: "likeness"}
	phone := reel{name: "0.3 s apart but different", least: .98, beats: "time"}
	restless := reel{name: "0.3 s apart, each of them different: one go", least: .98, beats: "likeness"}
	mixed := reel{name: "all of it: poses again, others at once", least: .98, beats: "time likeness"}
	for i, c := range cameras {
		start := slow.last() + 20*time.Second
		for k := range 8 {
			slow.add(start+time.Duration(k)*time.Second, c.at(.2, .2, .015), burst(i, "", 0))
		}
		for take := range 4 {
			start := quick.last() + 3*time.Second
			for k := range 5 {
				quick.add(start+time.Duration(k)*tenth, corner(c, i, .02), burst(i, " take", take))
			}
		}
		for take := range 2 {
			start := restless.last() + 4*time.Second
			for k := range 4 { // a subject close by that does not stand still
				restless.add(start+time.Duration(k)*3*tenth, corner(c, k+take, .01), burst(i, " go", take))
			}
		}
		for view := range 4 {
			for range 3 {
				phone.add(phone.last()+3*tenth, corner(c, view, .01), burst(i, "", view))
			}
			start := mixed.last() + tenth // another subject at once
			for take := range 2 {
				for k := range 4 {
					mixed.add(start+time.Duration(take)*3300*time.Millisecond+time.Duration(k)*tenth, corner(c, view, .02), burst(i, fmt.Sprintf(" take %d", take), view))
				}
			}
		}
	}
	reels = append(reels, slow, quick, phone, restless, mixed)

	// A camera that swings from one subject to another without letting go: what
	// was taken on the way belongs to nobody, but the two ends are two bursts. On a
	// slow pan a frame is nearer to the one before it than on a shaken hand.
	for _, pan := range []struct {
		name  string
		steps int
		pace  time.Duration
		shake float64
		beats string
	}{
		{"quick pan at 10 fps", 8, tenth, .004, "time"},
		{"pan at 10 fps", 24, tenth, .01, "time"},
		{"slow pan at 10 fps", 90, tenth, .015, "time"},
		{"slow pan, one frame a second", 90, time.Second, .015, "time likeness"},
	} {
		r := reel{name: pan.name, least: .95, beats: pan.beats}
		for i, c := range cameras {
			c.size = .4
			start, n := r.last()+10*time.Second, 0
			take := func(x, shake float64, what string) {
				r.add(start+time.Duration(n)*pan.pace, c.at(x, .3, shake), what)
				n++
			}
			for range 5 {
				take(.02, pan.shake, burst(i, " left", 0))
			}
			for k := 1; k < pan.steps; k++ {
				take(.02+.56*float64(k)/float64(pan.steps), .003, "")
			}
			for range 5 {
				take(.58, pan.shake, burst(i, " right", 0))
			}
		}
		reels = append(reels, r)
	}
	return reels
}
