package match

import (
	"math"
	"math/bits"
	"slices"
)

const (
	// mostBits is the greatest distance of two fingerprints that is looked at: of
	// unrelated pictures hardly one pair in a thousand is nearer.
	mostBits = 14
	// generic is how many others a frame may look like before it says nothing at
	// all: an empty altar from a tripod.
	generic = 60
	// apart is how long after each other, in seconds, two frames of one body are
	// surely not the same instant.
	apart = 30.0
)

// near is a pair of a frame of one track and one of another.
type near struct {
	a, b int32
	bits uint8
}

// nearest lists the pairs of two tracks' frames within mostBits. A frame of either
// that has more than generic is left out, so that the list, and what is done with
// it, is bounded.
func nearest(a, b *track) []near {
	var out []near
	often := make([]int32, len(b.prints))
	for i, x := range a.prints {
		begin := len(out)
		for k, y := range b.prints {
			if d := bits.OnesCount64(x ^ y); d <= mostBits {
				if len(out)-begin >= generic {
					out = out[:begin]
					break
				}
				out = append(out, near{int32(i), int32(k), uint8(d)})
			}
		}
		for _, p := range out[begin:] {
			often[p.b]++
		}
	}
	return slices.DeleteFunc(out, func(p near) bool { return often[p.b] > generic })
}

// likeness is what is known of how often different instants look alike.
type likeness struct {
	pairs  float64               // of one body's frames that are surely different instants
	within [mostBits + 1]float64 // how many of them are at most so many bits apart
}

// measure counts, for every glimpse of a track, the other glimpses of the same body
// that look like it although they were taken at another time, and adds the pairs to
// the whole. The first frame stands for its glimpse.
func (l *likeness) measure(t *track) [][mostBits + 1]uint16 {
	n := t.glimpses()
	own := make([][mostBits + 1]uint16, n)
	prints := make([]uint64, n)
	for g, i := range t.first {
		prints[g] = t.prints[i]
	}
	for g, x := range prints {
		for k, y := range prints[g+1:] {
			d := bits.OnesCount64(x ^ y)
			if d > mostBits {
				continue
			}
			h := g + 1 + k
			if t.sameTime(int(t.first[g]), int(t.first[h])) {
				continue
			}
			l.within[d]++
			add(&own[g][d])
			add(&own[h][d])
		}
	}
	l.pairs += float64(n) * float64(n-1) / 2
	for g := range own {
		for d := 1; d <= mostBits; d++ {
			own[g][d] = uint16(min(math.MaxUint16, int(own[g][d])+int(own[g][d-1])))
		}
	}
	return own
}

func add(n *uint16) {
	if *n < math.MaxUint16 {
		*n++
	}
}

// sameTime reports whether two frames of one body may show the same instant.
func (t *track) sameTime(i, k int) bool {
	return t.runs[t.of[i]] == t.runs[t.of[k]] && math.Abs(t.at[i]-t.at[k]) < apart
}

// worth is the weight of a pair at each distance: the decimal logarithm of how rare
// it is that different instants are so alike, less what is too common to count.
func (l *likeness) worth() (w [mostBits + 1]float64) {
	const common, most = 1.7, 2.5 // one pair in fifty; one in sixteen thousand
	// A small job has too few pairs to tell. Of unrelated photographs fewer than one
	// pair in two thousand was within mostBits.
	const assumed = 2000
	sum := 1.0
	for d := range w {
		sum += l.within[d]
		w[d] = max(0, min(most, -math.Log10(sum/(l.pairs+assumed))-common))
	}
	return w
}
