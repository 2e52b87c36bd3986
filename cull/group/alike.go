package group

// lookAlikes returns the set of look-alikes that each moment of a scene belongs
// to, from 1 in the order of their first moments, 0 for none. A set is bounded by
// its first moment, in likeness and in time, so that it cannot run away.
func lookAlikes(scene []moment, o Options) []int {
	sets := make([]int, len(scene))
	var leaders []int // moments that others are compared with, in order
	next := 0
	for i, m := range scene {
		best, least := -1, o.Alike+1
		for len(leaders) > 0 && !inTime(scene[leaders[0]], m, o) {
			leaders = leaders[1:]
		}
		for _, k := range leaders {
			if d := Unlike(scene[k].middle(), m.middle()); d < least {
				best, least = k, d
			}
		}
		if best < 0 {
			leaders = append(leaders, i)
			continue
		}
		if sets[best] == 0 {
			next++
			sets[best] = next
		}
		sets[i] = sets[best]
	}
	return numbered(sets)
}

// numbered gives the sets their numbers in the order of their first moments.
func numbered(sets []int) []int {
	numbers := map[int]int{0: 0}
	for i, s := range sets {
		if _, ok := numbers[s]; !ok {
			numbers[s] = len(numbers)
		}
		sets[i] = numbers[s]
	}
	return sets
}

// inTime reports whether b came soon enough after a to be a look-alike.
func inTime(a, b moment, o Options) bool {
	s, t := a.frames[0].Time, b.frames[0].Time
	if !s.Known() || !t.Known() {
		return !s.Known() && !t.Known()
	}
	return t.Wall.Sub(s.Wall) <= o.AlikeWithin
}

// middle is the frame that stands for the moment.
func (m moment) middle() Frame { return m.frames[len(m.frames)/2] }
