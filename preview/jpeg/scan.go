package jpeg

import "garner/preview/jpeg/internal/dct"

// job is one decode: what is wanted, and where it goes. Several workers may do
// parts of it side by side; they share nothing that they write.
type job struct {
	layout
	units    []unit
	src      []byte // without padding at its end
	scale    int
	size     int             // samples of a block at the scale, across
	left     int             // units wanted: columns from here
	right    int             // up to here
	top      int             // and rows from here
	bottom   int             // up to here
	through  bool            // rows beyond bottom are read too, for their places
	resume   bool            // places are known: any row can be begun
	places   []place         // of rows of units
	planes   [3]plane        // where samples go
	stop     <-chan struct{} // see Options.Stop
	discards bool            // no samples are wanted at all
}

// place is where a row of units begins: a bit of the file, and what its DC
// coefficients are predicted from (T.81 F.1.1.5.1).
type place struct {
	offset int64
	bit    uint8
	pred   [3]int16
}

// worker decodes rows of units.
type worker struct {
	scanner
	unit  int // number of the next unit in the scan
	taken int // the unit before which a restart marker was taken last
	coef  []dct.Block
	ends  []uint8 // index of the last coefficient of each, in zigzag order
	dc    []int16
}

// ready makes room for the strips of j.
func (k *worker) ready(j *job) {
	k.src, k.units = j.src, j.units
	if j.scale == 8 {
		k.dc = grow16(k.dc, j.stripBlocks)
		return
	}
	if len(k.coef) < j.stripBlocks {
		k.coef, k.ends = make([]dct.Block, j.stripBlocks), make([]uint8, j.stripBlocks)
	}
}

func grow16(b []int16, n int) []int16 {
	if cap(b) >= n {
		return b[:n]
	}
	return make([]int16, n)
}

// begin goes to the first unit of the scan.
func (k *worker) begin(j *job) {
	k.unit, k.taken, k.pred, k.bad = 0, -1, [3]int32{}, false
	k.seek(int(j.scan), 0)
}

// resume goes to the beginning of a row.
func (k *worker) resume(j *job, row int) {
	p := &j.places[row]
	k.unit, k.bad = row*j.across, false
	k.taken = k.unit // the places are behind their markers
	for i, v := range p.pred {
		k.pred[i] = int32(v)
	}
	k.seek(int(p.offset), uint(p.bit))
}

// place returns where the worker stands.
func (k *worker) place() (p place) {
	offset, bit := k.position()
	p.offset, p.bit = int64(offset), uint8(bit)
	for i, v := range k.pred {
		p.pred[i] = int16(v)
	}
	return p
}

// rows decodes rows from up to to. It returns the first that is not there:
// damaged, or to if all are. It ends early when the job is stopped.
func (k *worker) rows(j *job, from, to int) int {
	for row := from; row < to; row++ {
		if stopped(j.stop) {
			return row
		}
		if j.resume {
			k.resume(j, row)
		} else {
			if !k.due(j) {
				return row
			}
			j.places[row] = k.place()
		}
		if !k.row(j, row) {
			clear(k.coef)
			return row
		}
	}
	return to
}

// row decodes one row, from the place where the worker stands. It reports
// whether all of it was there.
func (k *worker) row(j *job, row int) bool {
	if row < j.top || row >= j.bottom || j.discards {
		return k.skip(j, j.across)
	}
	if !k.skip(j, j.left) {
		return false
	}
	for at := j.left; at < j.right; {
		n := min(j.stripUnits, j.right-at)
		if !k.strip(j, n) {
			return false
		}
		k.put(j, row, at, n)
		at += n
	}
	return j.resume || k.skip(j, j.across-j.right)
}

// skip reads n units of which nothing is wanted.
func (k *worker) skip(j *job, n int) bool {
	return k.read(j, n, func(i, to int) int { return k.averages(i, to, nil) })
}

// strip reads n units.
func (k *worker) strip(j *job, n int) bool {
	if j.scale == 8 {
		return k.read(j, n, func(i, to int) int { return k.averages(i, to, k.dc) })
	}
	return k.read(j, n, func(i, to int) int { return k.blocks(i, to, k.coef, k.ends) })
}

// read reads n units with blocks or averages, and the restart markers between
// them.
func (k *worker) read(j *job, n int, blocks func(i, to int) int) bool {
	per := len(k.units)
	for done := 0; done < n; {
		if !k.due(j) {
			return false
		}
		take := n - done
		if j.interval > 0 {
			take = min(take, j.interval-k.unit%j.interval)
		}
		for i, to := done*per, (done+take)*per; ; {
			i = blocks(i, to)
			if k.bad || k.over() {
				return false
			}
			if i == to {
				break
			}
			if k.bits.last {
				return false
			}
			k.fill()
		}
		done += take
		k.unit += take
	}
	return true
}

// due takes the restart marker that stands before the next unit, if one does.
func (k *worker) due(j *job) bool {
	if j.interval == 0 || k.unit == 0 || k.unit%j.interval != 0 {
		return true
	}
	if k.taken == k.unit {
		return true
	}
	k.taken, k.pred = k.unit, [3]int32{}
	return k.restart(k.unit/j.interval - 1)
}
