package testday

import (
	"math"
	"math/bits"
	"math/rand/v2"
	"slices"

	"garner/cull"
)

// edge is the size of the square that is drawn of a picture.
const edge = 64

// eye draws what cameras see.
type eye struct {
	rng    *rand.Rand
	places map[uint64]panorama
	now    panorama
	square [edge * edge]float64 // luma, 0..255
}

func newEye(rng *rand.Rand) *eye { return &eye{rng: rng, places: map[uint64]panorama{}} }

func (e *eye) enter(p place) {
	if _, known := e.places[p.seed]; !known {
		e.places[p.seed] = newPanorama(p.seed)
	}
	e.now = e.places[p.seed]
}

// person is one who stands in a picture: a body and a head, in shares of its size.
type person struct {
	x, y, per  float64 // per: one by its size
	body, head float64 // light or dark
}

func crowd(seed uint64) []person {
	rng := rand.New(rand.NewPCG(seed, 5))
	out := make([]person, 1+rng.IntN(4))
	for i := range out {
		out[i] = person{.15 + .7*rng.Float64(), .35 + .4*rng.Float64(), 1 / (.1 + .15*rng.Float64()), rng.NormFloat64(), .8 + .5*rng.NormFloat64()}
	}
	return out
}

// draw puts a view into the square. Gain is the exposure against the one that is
// right, in EV.
func (e *eye) draw(v view, people []person, gain float64) {
	degrees := degreesWide(v.focal)
	w, h := degrees, degrees*2/3
	if v.upright {
		w, h = h, w
	}
	step := max(w, h) * perDegree / edge
	level := min(max(int(math.Round(math.Log2(step))), 0), len(e.now.levels)-1)
	g := e.now.levels[level]
	scale := perDegree / float64(int(1)<<level)
	factor := math.Exp2(gain * .6) // a rendition's curve is flatter than light
	for y := range edge {
		py := (float64(y) + .5) / edge
		wy := (v.y + (py-.5)*h) * scale
		for x := range edge {
			px := (float64(x) + .5) / edge
			l := g.at((v.x+(px-.5)*w)*scale, wy)
			for _, p := range people {
				dx, dy := (px-p.x)*p.per, (py-p.y)*p.per
				if dx*dx*2+dy*dy*4 < 1 {
					l = p.head
				} else if dy > 0 && math.Abs(dx) < .8 {
					l = p.body + .3*l
				}
			}
			l = 118 * factor * (1 + .45*l)
			e.square[y*edge+x] = min(max(l+1.5*(e.rng.Float64()-.5), 0), 255)
		}
	}
}

// look measures the square: hashes of the parts, bars, detail, colour, as
// preview/pix does with a thumbnail. Focus is where it is sharp, 0 near to 1 far, or
// less than 0 for everywhere.
func (e *eye) look(cast [3]float64, grey bool, focus float64) (l *cull.Look, luma float64) {
	l = &cull.Look{Method: 1}
	for i := range l.Parts {
		x, y, size := cull.PartOf(i)
		n := int(size*edge + .5)
		l.Parts[i] = e.hash(int(x*edge+.5), int(y*edge+.5), n)
	}
	const bar = edge / cull.LookBars
	sum := 0.
	for i := range cull.LookBars {
		column, row := 0., 0.
		for k := range edge {
			for b := range bar {
				column += e.square[k*edge+i*bar+b]
				row += e.square[(i*bar+b)*edge+k]
			}
		}
		l.Columns[i], l.Rows[i] = uint8(column/(bar*edge)), uint8(row/(bar*edge))
		sum += column
	}
	luma = sum / (edge * edge)
	for i := range l.Detail {
		l.Detail[i] = e.detail(i%4, i/4, focus)
	}
	tone := func(k int) uint8 { return uint8(min(max(luma*cast[k], 0), 255)) }
	l.Red, l.Green, l.Blue = tone(0), tone(1), tone(2)
	if grey {
		l.Grey, l.Red, l.Blue = true, l.Green, l.Green
	}
	return l, luma / 255
}

// detail is that of one of 4x4 tiles: the mean square of the second differences
// across and down, 12 steps to a doubling. The lower a tile, the nearer what it
// shows; what is out of focus loses it quickly.
func (e *eye) detail(tx, ty int, focus float64) uint8 {
	const tile = edge / 4
	sum := 0.
	for y := max(1, ty*tile); y < min((ty+1)*tile, edge-1); y++ {
		for x := max(1, tx*tile); x < min((tx+1)*tile, edge-1); x++ {
			at := y*edge + x
			across := e.square[at-1] - 2*e.square[at] + e.square[at+1]
			down := e.square[at-edge] - 2*e.square[at] + e.square[at+edge]
			sum += across*across + down*down
		}
	}
	mean := sum / (tile * tile)
	if focus >= 0 {
		depth := 1 - (float64(ty)+.5)/4
		mean *= math.Exp2(-10 * math.Abs(depth-focus))
	}
	return uint8(min(12*math.Log2(1+mean), 255))
}

// waves are the eight lowest cosines of a DCT-II of n samples.
var waves = func() (out [edge + 1][8][]float64) {
	for n := 1; n <= edge; n++ {
		for f := range 8 {
			out[n][f] = make([]float64, n)
			for i := range n {
				out[n][f][i] = math.Cos(math.Pi * float64(f) * (float64(i) + .5) / float64(n))
			}
			if f == 0 {
				for i := range n {
					out[n][f][i] = math.Sqrt2 / 2
				}
			}
		}
	}
	return out
}()

// hash is the DCT hash of the part of n samples from there: which of the 8x8
// lowest coefficients are above their median.
func (e *eye) hash(x0, y0, n int) (hash uint64) {
	n = min(n, edge-x0, edge-y0)
	var rows [edge][8]float64
	for y := range n {
		line := e.square[(y0+y)*edge+x0:][:n]
		for f, wave := range waves[n] {
			rows[y][f] = dot(wave, line)
		}
	}
	var all [64]float64
	for k, wave := range waves[n] {
		sums := (*[8]float64)(all[k*8:])
		for y, c := range wave {
			for f, v := range rows[y] {
				sums[f] += c * v
			}
		}
	}
	order := slices.Clone(all[:])
	slices.Sort(order)
	median := (order[31] + order[32]) / 2
	for i, v := range all {
		if v > median {
			hash |= 1 << (63 - i)
		}
	}
	return hash
}

// dot is the sum of the products, in four parts that do not wait for each other.
func dot(a, b []float64) float64 {
	var s [4]float64
	b = b[:len(a)]
	for len(a) >= 4 {
		s[0] += a[0] * b[0]
		s[1] += a[1] * b[1]
		s[2] += a[2] * b[2]
		s[3] += a[3] * b[3]
		a, b = a[4:], b[4:]
	}
	for i, v := range a {
		s[0] += v * b[i]
	}
	return s[0] + s[1] + s[2] + s[3]
}

// distance is the number of bits in which two hashes differ.
func distance(a, b uint64) int { return bits.OnesCount64(a ^ b) }
