//go:build !amd64

package pix

func squares(dst []byte, at, down int, src []byte, from, step, n int) {
	squaresGo(dst, at, down, src, from, step, n)
}
