package term

// palette finds the nearest of the 240 colours that xterm's 256-colour palette
// fixes: a cube of six levels a channel and a ramp of 24 greys. The first 16
// belong to the user.
type palette struct{ table [1 << 15]uint8 } // by five bits a channel

// cubeLevel is a channel's value on the cube.
func cubeLevel(i int) int {
	if i == 0 {
		return 0
	}
	return 55 + 40*i
}

func newPalette() *palette {
	p := &palette{}
	for i := range p.table {
		// The middle of what falls together under five bits.
		channel := func(shift int) int { return i>>shift&31<<3 + 4 }
		p.table[i] = nearestColour(channel(10), channel(5), channel(0))
	}
	// The ends are colours of their own.
	p.table[0], p.table[len(p.table)-1] = 16, 231
	return p
}

func (p *palette) nearest(r, g, b byte) int32 {
	return int32(p.table[int(r>>3)<<10|int(g>>3)<<5|int(b>>3)])
}

func nearestColour(r, g, b int) uint8 {
	level := func(v int) int {
		best := 0
		for i := 1; i < 6; i++ {
			if abs(cubeLevel(i)-v) < abs(cubeLevel(best)-v) {
				best = i
			}
		}
		return best
	}
	lr, lg, lb := level(r), level(g), level(b)
	luma := (299*r + 587*g + 114*b) / 1000
	grey := min(max((luma-3)/10, 0), 23)
	v := 8 + 10*grey
	if distance(r, g, b, v, v, v) < distance(r, g, b, cubeLevel(lr), cubeLevel(lg), cubeLevel(lb)) {
		return uint8(232 + grey)
	}
	return uint8(16 + 36*lr + 6*lg + lb)
}

// distance weighs the channels by what the eye makes of them.
func distance(r, g, b, r2, g2, b2 int) int {
	dr, dg, db := r-r2, g-g2, b-b2
	return 3*dr*dr + 6*dg*dg + 2*db*db
}

func abs(n int) int { return max(n, -n) }
