//go:build !purego && (amd64 || arm64)

package nn

// lanes is how many channels of a place vector code takes at a time.
const lanes = 8

// placesArgs is what vector code reads of a placesJob, with sizes in bytes where a
// pointer moves by them.
type placesArgs struct {
	src, dst, weights, bias, slope    *float32
	pixels, advance, rows, cols       int
	rowStep, colStep, weightStep, act int
	blocks                            int // of lanes channels
	done                              int // bytes of a place: the pointers stay
}

// fastDepthwise computes 8 channels at a time. Where their number is another one,
// the last 8 come once more.
func fastDepthwise(j *placesJob) bool {
	if !hasVector || j.in != j.out || j.in < lanes {
		return false
	}
	_ = j.weights[:(j.rows-1)*j.weightStep+j.cols*j.in]
	_, _ = j.bias[:j.in], j.slope[:j.in]
	a := j.args()
	a.weights, a.weightStep, a.act = &j.weights[0], 4*j.weightStep, int(j.act)
	a.bias, a.slope = &j.bias[0], &j.slope[0]
	depthwise8(&a)
	if c := j.in - lanes; j.in%lanes != 0 {
		a.src, a.dst, a.weights, a.bias, a.slope = &j.src[c], &j.dst[c], &j.weights[c], &j.bias[c], &j.slope[c]
		a.blocks, a.done = 1, 0
		depthwise8(&a)
	}
	return true
}

// fastMax takes the largest values of windows.
func fastMax(j *placesJob) bool {
	if !hasVector || j.in < lanes {
		return false
	}
	a := j.args()
	max8(&a)
	if c := j.in - lanes; j.in%lanes != 0 {
		a.src, a.dst, a.blocks, a.done = &j.src[c], &j.dst[c], 1, 0
		max8(&a)
	}
	return true
}

// args sets what all have in common. It panics where a kernel would leave the
// slices, as plain Go would.
func (j *placesJob) args() placesArgs {
	_ = j.src[:(j.n-1)*j.advance+(j.rows-1)*j.rowStep+j.cols*j.in]
	_ = j.dst[:j.n*j.in]
	return placesArgs{src: &j.src[0], dst: &j.dst[0], pixels: j.n, advance: 4 * j.advance,
		rows: j.rows, cols: j.cols, rowStep: 4 * j.rowStep, colStep: 4 * j.in, blocks: j.in / lanes}
}
