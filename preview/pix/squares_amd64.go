package pix

// squares is squaresGo.
func squares(dst []byte, at, down int, src []byte, from, step, n int) {
	// The corners of what is read and written, whichever way the steps go.
	_, _, _ = src[from+8*n-1], src[from+7*step], src[from+7*step+8*n-1]
	_, _, _ = dst[at+7], dst[at+(8*n-1)*down], dst[at+(8*n-1)*down+7]
	squaresSSE2(&dst[at], down, &src[from], step, n)
}

//go:noescape
func squaresSSE2(dst *byte, down int, src *byte, step, n int)
