package group

import (
	"math"

	"garner/cull"
)

// Shift says how far the view moved from a to b, as shares of the picture's width
// (to the right) and height (down). It is told from the mean luma of the pictures'
// columns and rows and false where those do not fit, or fit anywhere.
func Shift(a, b Frame) (dx, dy float64, ok bool) {
	if !looked(a, b) {
		return 0, 0, false
	}
	x, y := slide(&a.Look.Columns, &b.Look.Columns, cull.LookBars*3/4), slide(&a.Look.Rows, &b.Look.Rows, cull.LookBars*3/4)
	if x.score < leastFit || y.score < leastFit {
		return 0, 0, false
	}
	return x.shift, y.shift, true
}

// leastFit is the correlation of two profiles that is taken for the same view.
const leastFit = 0.8

// fit is how two profiles lie on each other best.
type fit struct {
	shift float64 // share of the profile's length
	score float64 // correlation of what both hold, -1 to 1
}

// slide moves b along a by up to reach bars either way and returns where the two
// correlate best.
func slide(a, b *[cull.LookBars]uint8, reach int) fit {
	const n = cull.LookBars
	var scores [2*n + 1]float64
	best := 0
	for s := -reach; s <= reach; s++ {
		scores[n+s] = correlation(a[max(0, s):min(n, n+s)], b[max(0, -s):min(n, n-s)])
		if c := scores[n+s] - distanceCost*math.Abs(float64(s)); c > scores[n+best]-distanceCost*math.Abs(float64(best)) {
			best = s
		}
	}
	at := float64(best)
	if best > -reach && best < reach {
		l, c, r := scores[n+best-1], scores[n+best], scores[n+best+1]
		if bend := l - 2*c + r; bend < 0 {
			at += max(-0.5, min(0.5, (l-r)/(2*bend)))
		}
	}
	return fit{at / n, scores[n+best]}
}

// distanceCost is what a bar more of movement must gain in correlation: the fewer
// bars overlap, the easier they agree by chance.
const distanceCost = 0.005

// correlation is Pearson's of two runs of the same length; 0 where one is flat.
func correlation(a, b []uint8) float64 {
	var sa, sb, saa, sbb, sab int
	for i, v := range a {
		x, y := int(v), int(b[i])
		sa, sb, saa, sbb, sab = sa+x, sb+y, saa+x*x, sbb+y*y, sab+x*y
	}
	n := len(a)
	va, vb := n*saa-sa*sa, n*sbb-sb*sb
	if va <= n*n || vb <= n*n { // within a level of flat
		return 0
	}
	return float64(n*sab-sa*sb) / math.Sqrt(float64(va)*float64(vb))
}
