package group

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"time"

	"garner/cull"
)

var dayStart = time.Date(2026, 6, 13, 12, 0, 0, 0, time.UTC)

// shoot collects frames for a test.
type shoot struct{ frames []Frame }

// add takes a frame at a time in seconds; equal looks have equal fingerprints.
func (s *shoot) add(body string, seconds float64, look uint64) *Frame {
	n := len(s.frames) + 1
	s.frames = append(s.frames, Frame{
		ID: cull.ID(fmt.Sprintf("%016x", n)), Name: fmt.Sprintf("%s/IMG_%04d", body, n), Body: body, Counter: int64(n),
		Time:        cull.Stamp{Wall: dayStart.Add(time.Duration(seconds * float64(time.Second))), Digits: 2},
		Fingerprint: lookOf(look), HasFingerprint: true,
	})
	return &s.frames[n-1]
}

// lookOf gives unrelated fingerprints, about 32 bits apart.
func lookOf(look uint64) uint64 { return rand.New(rand.NewPCG(look, 7)).Uint64() }

// groups spells a layout as names, a bar between moments, two between scenes.
func groups(l cull.Layout, frames []Frame) string {
	names := map[cull.ID]string{}
	for _, f := range frames {
		names[f.ID] = f.Name[strings.LastIndexByte(f.Name, '_')+1:]
	}
	var b strings.Builder
	for i, p := range l.Places {
		switch {
		case i == 0:
		case p.Scene != l.Places[i-1].Scene:
			b.WriteString(" || ")
		case p.Moment != l.Places[i-1].Moment:
			b.WriteString(" | ")
		default:
			b.WriteByte(' ')
		}
		b.WriteString(strings.TrimLeft(names[p.Frame], "0"))
		if p.Kind == cull.Series {
			b.WriteByte('s')
		}
	}
	return b.String()
}

func shuffled(frames []Frame, seed uint64) []Frame {
	out := slices.Clone(frames)
	rand.New(rand.NewPCG(seed, 1)).Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
	return out
}
