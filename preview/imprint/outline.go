package imprint

// softOutline returns how much of an outline lies around what mask covers, both
// 0..255 in rows of w. It is the mask made soft by three even means, which come
// near a normal distribution of that radius, raised so that it is full at the
// letters' rims, and times strength of 256.
func softOutline(mask []byte, w, radius int, strength uint32) []byte {
	h := len(mask) / w
	out, line := make([]byte, len(mask)), make([]byte, max(w, h))
	copy(out, mask)
	for range 3 {
		for y := range h {
			mean(out[y*w:], 1, w, radius, line)
		}
		for x := range w {
			mean(out[x:], w, h, radius, line)
		}
	}
	const gain = 3
	for i, v := range out {
		out[i] = byte(min(uint32(v)*gain, 255) * strength >> 8)
	}
	return out
}

// mean replaces n samples, step apart, by the mean of the 2*radius+1 around each;
// beyond the ends there is nothing.
func mean(p []byte, step, n, radius int, line []byte) {
	line = line[:n]
	for i := range line {
		line[i] = p[i*step]
	}
	sum, width := 0, 2*radius+1
	for i := range min(radius, n) {
		sum += int(line[i])
	}
	for i := range n {
		if i+radius < n {
			sum += int(line[i+radius])
		}
		if i > radius {
			sum -= int(line[i-radius-1])
		}
		p[i*step] = byte((sum + width/2) / width)
	}
}
