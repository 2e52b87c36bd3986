package lanes

// Gather lays n samples of each of Width rows side by side: of row r, which begins
// at src[r*stride], sample i goes to dst[i*Width+r]. n is taken up to a multiple of
// Width; src and dst have to hold as many.
func Gather(dst, src []float32, stride, n int) {
	transpose(transposeJob{dst: dst, src: src, dstRow: Width, dstStep: Width * Width, srcRow: stride, srcStep: Width, blocks: up(n)})
}

// Scatter is the inverse of Gather: sample i of row r, src[i*Width+r], goes to
// dst[r*stride+i].
func Scatter(dst []float32, stride int, src []float32, n int) {
	transpose(transposeJob{dst: dst, src: src, dstRow: stride, dstStep: Width, srcRow: Width, srcStep: Width * Width, blocks: up(n)})
}

func up(n int) int { return (n + Width - 1) / Width }

// transposeJob is a row of blocks of Width by Width values, each of which is turned
// about its diagonal. Rows of a block are srcRow values apart and become rows that
// are dstRow apart; blocks are srcStep and dstStep apart.
type transposeJob struct {
	dst, src        []float32
	dstRow, dstStep int
	srcRow, srcStep int
	blocks          int
}

func transpose(j transposeJob) {
	if j.blocks <= 0 {
		return
	}
	last := j.blocks - 1
	_, _ = j.dst[last*j.dstStep+(Width-1)*j.dstRow+Width-1], j.src[last*j.srcStep+(Width-1)*j.srcRow+Width-1]
	if !fastTranspose(&j) {
		j.plain()
	}
}

func (j *transposeJob) plain() {
	for b := range j.blocks {
		dst, src := j.dst[b*j.dstStep:], j.src[b*j.srcStep:]
		for r := range Width {
			for i, v := range src[r*j.srcRow:][:Width] {
				dst[i*j.dstRow+r] = v
			}
		}
	}
}
