package match

import (
	"fmt"
	"math"
	"slices"
	"time"
)

// What a proposal must reach. They were chosen on invented days without any true
// match, of random and of clustered looks; see the tests.
const (
	sureChance, likelyChance   = 1e-5, 1e-3
	sureMoments, likelyMoments = 3, 2
	sureRival, likelyRival     = 0.55, 0.8

	// One who walks behind the other along a row of tables, at one pace, takes all of
	// it so much later; nobody does so twice with the same delay.
	sureHours = 2
)

// verdict is what the votes for one offset amount to.
type verdict struct {
	at      float64 // seconds to add
	pairs   []vote
	moments int
	hours   int // of those, in how many stretches of the day
	score   float64
	rival   float64 // share of the next best
	rivalAt float64
	chance  float64 // of a peak like this anywhere if nothing matched
	spread  float64
}

// judge weighs the peak at an offset against the rest of sorted votes. span is the
// width of the offsets that were possible.
func judge(a, b *track, votes []vote, at, span float64) verdict {
	v := verdict{at: at}
	v.pairs, v.score = oneToOne(votes, at, kernel)
	if len(v.pairs) == 0 {
		return v
	}
	v.at, v.spread = centre(votes, at)
	v.pairs, v.score = oneToOne(votes, v.at, kernel)
	v.moments, v.hours = places(a, v.pairs, 60), places(a, v.pairs, 600)
	for _, p := range peaks(votes, 6) {
		if math.Abs(p.at-v.at) < 3*kernel {
			continue
		}
		if _, s := oneToOne(votes, p.at, kernel); s > v.rival*v.score {
			v.rival, v.rivalAt = s/v.score, p.at
		}
	}
	v.chance = chance(votes, v, span)
	return v
}

// centre moves an offset to the middle of the votes around it and says how far,
// in seconds, half of them are from there. It begins wide, since two people press
// at the same kiss some seconds apart, and narrows as far as the votes do.
func centre(votes []vote, at float64) (mid, spread float64) {
	mid, spread = at, kernel
	for range 6 {
		reach := max(2.5, min(2*kernel, 4*spread))
		pairs, _ := oneToOne(votes, mid, reach)
		if len(pairs) == 0 {
			break
		}
		var sum, weights float64
		off := make([]float64, len(pairs))
		for _, p := range pairs {
			sum, weights = sum+p.weight*p.diff, weights+p.weight
		}
		mid = sum / weights
		for i, p := range pairs {
			off[i] = math.Abs(p.diff - mid)
		}
		spread = median(off)
	}
	return mid, spread
}

// places counts in how many places of the day, so many seconds apart, pairs match:
// pictures of one minute are alike for one reason.
func places(a *track, pairs []vote, between float64) int {
	var times []float64
	for _, p := range pairs {
		times = append(times, a.at[p.near.a])
	}
	slices.Sort(times)
	n, last := 0, math.Inf(-1)
	for _, t := range times {
		if t-last >= between {
			n, last = n+1, t
		}
	}
	return n
}

// chance is how probable a peak of so many pairs is where votes fall as densely as
// around it, times the number of places where it could have been.
func chance(votes []vote, v verdict, span float64) float64 {
	const hole = 3 * kernel
	heavy := 0.4 * v.score / float64(len(v.pairs)) // votes that count like those of the peak
	count := func(list []vote) (n float64) {
		for _, w := range list {
			if w.weight >= heavy {
				n++
			}
		}
		return n
	}
	// Scenes of a few minutes that both bodies went through raise the votes around
	// the right offset, and around wrong ones by about as much.
	rate := 2 * kernel * count(votes) / span
	inner := count(around(votes, v.at, hole))
	for _, local := range []float64{60, 300, 1800} {
		rate = max(rate, 2*kernel*(count(around(votes, v.at, local))-inner)/(2*(local-hole)))
	}
	k := 0
	for _, p := range v.pairs {
		if p.weight >= heavy {
			k++
		}
	}
	windows := max(1, span/(2*kernel))
	return min(1, poissonTail(rate, min(k, 3*v.moments))*windows)
}

// poissonTail is the probability of k or more where rate are expected.
func poissonTail(rate float64, k int) float64 {
	if k <= 0 {
		return 1
	}
	if rate <= 0 {
		rate = 1e-9
	}
	// Sum upwards from k; the terms fall as soon as they are beyond the rate.
	term := math.Exp(float64(k)*math.Log(rate) - rate - lgamma(float64(k)+1))
	sum := 0.0
	for i := k; i < k+1000; i++ {
		sum += term
		term *= rate / float64(i+1)
		if term < sum*1e-12 {
			break
		}
	}
	return min(1, sum)
}

func lgamma(x float64) float64 { v, _ := math.Lgamma(x); return v }

// error is how far off the offset may well be, in seconds: two and a half standard
// errors of the mean, the deviation being 1.48 times the median one.
func (v verdict) error() float64 { return 2.5 * 1.48 * v.spread / math.Sqrt(float64(len(v.pairs))) }

// confidence turns figures into words.
func (v verdict) confidence() (Confidence, string) {
	switch {
	case len(v.pairs) == 0:
		return CannotTell, "no frames of the two bodies look alike"
	case v.moments < likelyMoments:
		return CannotTell, "frames look alike at one moment only, which may be chance"
	case v.chance > likelyChance:
		return CannotTell, "what looks alike is scattered as by chance"
	case v.rival > likelyRival:
		return CannotTell, fmt.Sprintf("%s and %s fit about equally well", Text(v.at), Text(v.rivalAt))
	case v.chance > sureChance:
		return Likely, "it might just be chance"
	case v.moments < sureMoments:
		return Likely, fmt.Sprintf("only %d moments of the day match", v.moments)
	case v.hours < sureHours:
		return Likely, "all that matches is of ten minutes, in which one may have followed the other"
	case v.error() > 1.5:
		return Likely, fmt.Sprintf("what looks alike was taken up to %.0f s apart", 3*v.spread)
	case v.rival > sureRival:
		return Likely, fmt.Sprintf("%s fits as well to %.0f %%", Text(v.rivalAt), 100*v.rival)
	}
	return Sure, ""
}

// Text writes an offset of so many seconds as --set takes it.
func Text(seconds float64) string { return Signed(span(seconds)) }

// Signed writes a duration with its sign.
func Signed(d time.Duration) string {
	if d >= 0 {
		return "+" + d.String()
	}
	return d.String()
}

// span turns seconds into a duration of whole tenths, which is finer than anybody
// presses.
func span(seconds float64) time.Duration {
	return time.Duration(math.Round(seconds*10)) * (time.Second / 10)
}
