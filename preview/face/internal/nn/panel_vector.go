//go:build !purego && (amd64 || arm64)

package nn

// panelArgs is what vector code reads of a panelJob, with sizes in bytes where a
// pointer moves by them. It leaves the pointers alone and counts beside them how far
// it is: a pointer past the end of its slice would be one to something else, which
// the garbage collector must never see.
type panelArgs struct {
	in        *float32
	at        *int
	groups    int // of tile pixels
	panel     *float32
	dst       *float32
	stride    int
	add       *float32 // or nil
	addStride int
	rows      int
	skip      int // from the end of a run to the next one
	run       int // values
	act       int

	atDone, dstDone, addDone int
}

// fastPanel computes tile pixels by 16 or 8 channels at a time.
//
// Where a panel has fewer channels, a pixel writes some values too many: into the
// pixels after it, whose own values are still to come as long as the last panel
// is the first to be done. Only pixels whose surplus would leave the panel's part
// of dst, or of add, go by way of memory of its own.
func fastPanel(j *panelJob) bool {
	if !hasVector {
		return false
	}
	wide := width
	if j.cols <= width/2 {
		wide = width / 2
	}
	j.mustFit()
	a := panelArgs{
		in: &j.in[0], panel: &j.panel[0], stride: 4 * j.stride, addStride: 4 * j.addStride,
		rows: j.rows, skip: 4 * (j.step - j.run), run: j.run, act: int(j.act),
	}
	groups := min(len(j.at), whole(len(j.dst), wide, j.stride)) / tile
	switch j.addCols {
	case 0:
	case j.cols:
		groups = min(groups, whole(len(j.add), wide, j.addStride)/tile)
	default: // a few channels of a panel
		groups = 0
	}
	if groups > 0 {
		a.at, a.groups, a.dst = &j.at[0], groups, &j.dst[0]
		if j.addCols > 0 {
			a.add = &j.add[0]
		}
		a.compute(wide)
		a.atDone, a.dstDone, a.addDone = 0, 0, 0
	}
	for p := groups * tile; p < len(j.at); p += tile {
		j.apart(a, max(min(p, len(j.at)-tile), 0), wide)
	}
	return true
}

// whole returns how many pixels, stride apart, have all of wide values among n.
func whole(n, wide, stride int) int {
	if n < wide {
		return 0
	}
	return (n-wide)/stride + 1
}

func (a *panelArgs) compute(wide int) {
	if wide == width {
		panel16(a)
	} else {
		panel8(a)
	}
}

// apart computes up to tile pixels from p on in memory of its own.
func (j *panelJob) apart(a panelArgs, p, wide int) {
	var at [tile]int
	var dst, add [tile * width]float32
	n := copy(at[:], j.at[p:])
	for i := n; i < tile; i++ {
		at[i] = at[0]
	}
	a.at, a.groups, a.dst, a.stride = &at[0], 1, &dst[0], 4*width
	if a.add = nil; j.addCols > 0 {
		for i := range n {
			copy(add[i*width:], j.add[(p+i)*j.addStride:][:j.addCols])
		}
		a.add, a.addStride = &add[0], 4*width
	}
	a.compute(wide)
	for i := range n {
		copy(j.dst[(p+i)*j.stride:][:j.cols], dst[i*width:])
	}
}

// mustFit panics where a kernel would leave its slices, as plain Go would. Pixels
// stand in their order.
func (j *panelJob) mustFit() {
	_ = j.panel[head+j.rows*j.run*width-1]
	_ = j.in[j.at[0]:]
	_ = j.in[j.at[len(j.at)-1]+(j.rows-1)*j.step:][:j.run]
}
