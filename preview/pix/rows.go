package pix

// This file holds the arithmetic of resizing in plain Go: rows weighed into one, and
// a row brought to another width. Vector code gives the same bits.

// clip takes a weighted sum, in which half of unity stands for rounding, to a
// sample.
func clip(sum int32) byte {
	v := sum >> unityBits
	if uint32(v) > 255 {
		return byte(^(v >> 31)) // 0 below, 255 above
	}
	return byte(v)
}

// mixGo writes the weighted sum of rows, which lie stride samples apart, to dst.
func mixGo(dst, src []byte, stride int, weights []int16) {
	const chunk = 64
	var acc [chunk]int32
	for len(dst) > 0 {
		n := min(chunk, len(dst))
		for i := range acc {
			acc[i] = unity / 2
		}
		for k, w := range weights {
			if w == 0 {
				continue
			}
			w := int32(w)
			for i, v := range src[k*stride:][:n] {
				acc[i&(chunk-1)] += int32(v) * w
			}
		}
		for i := range dst[:n] {
			dst[i] = clip(acc[i&(chunk-1)])
		}
		dst, src = dst[n:], src[n:]
	}
}

// narrowGo writes a row of the width of dst, made of src as the taps from number from
// on say.
func narrowGo(dst, src []byte, t *taps, from int) {
	if t.n == 4 {
		narrow4(dst, src, t.first[from:], t.weight[4*from:])
		return
	}
	for i := range dst {
		w := t.of(from + i)
		s := src[t.first[from+i]:][:len(w)]
		sum := int32(unity / 2)
		for k, v := range s {
			sum += int32(v) * int32(w[k])
		}
		dst[i] = clip(sum)
	}
}

func narrow4(dst, src []byte, first []int32, weight []int16) {
	for i, f := range first[:len(dst)] {
		s, w := src[f:f+4:f+4], weight[4*i:4*i+4:4*i+4]
		dst[i] = clip(unity/2 + int32(s[0])*int32(w[0]) + int32(s[1])*int32(w[1]) + int32(s[2])*int32(w[2]) + int32(s[3])*int32(w[3]))
	}
}
