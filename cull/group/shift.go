package group

import (
	"math"

	"garner/cull"
)

// Shift says how far the view moved from a to b, as shares of the picture's width
// (to the right) and height (down): positive dx means that what lay in the middle
// of a lies to the left in b. It is told from the luma profiles of the looks and
// false where these do not fit.
func Shift(a, b Frame) (dx, dy float64, ok bool) {
	if !looked(&a, &b) {
		return 0, 0, false
	}
	v := viewOf(a.Look, b.Look, farBars)
	if v.misfit() > mostMisfit {
		return 0, 0, false
	}
	return v.x.shift, v.y.shift, true
}

const (
	farBars    = cull.LookBars * 3 / 4 // what overlaps less proves nothing
	mostMisfit = 12
)

// fit is how two profiles lie on each other best.
type fit struct {
	shift  float64 // share of the profile's length
	score  float64 // of what both hold: 1 the same, 0 unrelated
	levels float64 // difference of the mean levels of what both hold
}

// barCost is what a bar more of movement must gain in score: the fewer bars
// overlap, the easier they agree by chance.
const barCost = 0.005

// slide moves b along a by up to reach bars either way, in half bars, and returns
// where the two fit best.
func slide(a, b *[cull.LookBars]uint8, reach int) fit { return slideNear(a, b, 0, reach) }

// slideNear moves b along a by about so many bars, up to reach more or less.
func slideNear(a, b *[cull.LookBars]uint8, about, reach int) fit {
	const n = cull.LookBars
	var pa, pb, between profile
	pa.fill(a, a)
	pb.fill(b, b)
	least, most := max(about-reach, -farBars-1), min(about+reach, farBars+1)
	best, at := -2.0, about
	for s := least; s <= most; s++ {
		if c := agreement(&pa, &pb, max(0, s), max(0, -s), n-max(s, -s)) - barCost*math.Abs(float64(s)); c > best {
			best, at = c, s
		}
	}
	if best == -2 {
		return fit{score: -1}
	}
	out := fit{float64(at) / n, best + barCost*math.Abs(float64(at)), levels(&pa, &pb, max(0, at), max(0, -at), n-max(at, -at))}
	// Half a bar to either side of it: b between its bars, which is half a bar on.
	next := *b
	copy(next[:], b[1:])
	between.fill(b, &next)
	for _, s := range []int{at, at - 1} {
		if s < least || s >= most {
			continue
		}
		i := max(0, s+1)
		j := i - s - 1
		size := min(n-i, n-1-j)
		moved := float64(s) + 0.5
		if c := agreement(&pa, &between, i, j, size) - barCost*math.Abs(moved); c > best {
			best = c
			out = fit{moved / n, c + barCost*math.Abs(moved), levels(&pa, &between, i, j, size)}
		}
	}
	return out
}

// stride is the distance of the bars whose difference is an edge of a profile.
// Smooth falls of light lie well on each other wherever they are; edges do not.
const stride = 3

// profile is a picture's profile with what slide needs of it again and again.
// Levels are doubled, so that the mean of two bars is whole.
type profile struct {
	level  [cull.LookBars]int32
	edge   [cull.LookBars]int32 // level[i+stride] - level[i]
	sum    [cull.LookBars + 1]int32
	square [cull.LookBars + 1]int32
	edges  [cull.LookBars + 1]int32 // sums of squared edges
}

// fill makes the profile of the means of a and b.
func (p *profile) fill(a, b *[cull.LookBars]uint8) {
	for i := range p.level {
		p.level[i] = int32(a[i]) + int32(b[i])
		p.sum[i+1] = p.sum[i] + p.level[i]
		p.square[i+1] = p.square[i] + p.level[i]*p.level[i]
	}
	for i := 0; i+stride < len(p.level); i++ {
		p.edge[i] = p.level[i+stride] - p.level[i]
		p.edges[i+1] = p.edges[i] + p.edge[i]*p.edge[i]
	}
}

// agreement compares n bars of a and b, from i and j on: the mean of the correlation
// of their levels and of how far their edges agree, in strength as well.
func agreement(a, b *profile, i, j, n int) float64 {
	if n <= stride+1 {
		return -1
	}
	var dot, edges int32
	la, lb := a.level[i:i+n], b.level[j:j+n]
	for k, v := range la {
		dot += v * lb[k]
	}
	m := n - stride
	ea, eb := a.edge[i:i+m], b.edge[j:j+m]
	for k, v := range ea {
		edges += v * eb[k]
	}
	// A level of noise in all edges makes them agree less: four levels², in doubled levels.
	agree := 2 * float64(edges) / float64(a.edges[i+m]-a.edges[i]+b.edges[j+m]-b.edges[j]+32*int32(m))
	return (correlation(a, b, i, j, n, dot) + agree) / 2
}

// correlation is Pearson's; 0 where one of the two is flat within a level.
func correlation(a, b *profile, i, j, n int, dot int32) float64 {
	sa, sb := int64(a.sum[i+n]-a.sum[i]), int64(b.sum[j+n]-b.sum[j])
	va := int64(n)*int64(a.square[i+n]-a.square[i]) - sa*sa
	vb := int64(n)*int64(b.square[j+n]-b.square[j]) - sb*sb
	if flat := 4 * int64(n*n); va < flat || vb < flat {
		return 0
	}
	return float64(int64(n)*int64(dot)-sa*sb) / math.Sqrt(float64(va)*float64(vb))
}

// levels is the difference of the mean levels of n bars.
func levels(a, b *profile, i, j, n int) float64 {
	return math.Abs(float64(a.sum[i+n]-a.sum[i]-b.sum[j+n]+b.sum[j])) / float64(2*n)
}
