package jpeg

import "garner/preview/jpeg/internal/entropy"

// job is one decode: what is wanted, and where it goes. Several workers may do
// parts of it side by side; they share nothing that they write.
type job struct {
	layout
	units    []entropy.Unit
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
	markers  []int           // offsets behind the restart markers, if they are used
	apart    bool            // reading and transforms are done by two workers
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
	entropy.Reader
	unit  int            // number of the next unit in the scan
	taken int            // the unit before which a restart marker was taken last
	strip *entropy.Strip // of what is wanted
	blind *entropy.Strip // of what only leads there
	wild  []byte
	put   func(row, at, n int) // takes the strip in place of job.put; nil = none
}

// ready makes room for the strips of j.
func (k *worker) ready(j *job) {
	if k.strip == nil {
		k.strip, k.blind = &entropy.Strip{}, &entropy.Strip{}
	}
	k.strip.Reset(j.units, j.stripUnits, j.stripBlocks, j.scale == 8)
	if whole := j.left == 0 && j.right == j.across && j.top == 0 && j.bottom == j.down; !whole || j.markers != nil || j.discards {
		k.blind.Reset(j.units, j.stripUnits, j.stripBlocks, true)
	}
	if k.put = nil; len(k.wild) < j.stripBlocks {
		k.wild = make([]byte, j.stripBlocks)
	}
}

// done lets go of what belongs to one picture.
func (k *worker) done() {
	k.Close()
	k.strip.Forget()
	k.blind.Forget()
	k.put = nil
}

// begin goes to the first unit of the scan.
func (k *worker) begin(j *job) {
	k.unit, k.taken = 0, -1
	k.Open(j.src, int(j.scan))
}

// beginAt goes to the beginning of a row by way of the restart marker before
// it. It reports whether what lies between was there.
func (k *worker) beginAt(j *job, row int) bool {
	n := row * j.across / j.interval
	k.unit = n * j.interval
	k.taken = k.unit
	if n == 0 {
		k.Open(j.src, int(j.scan))
	} else {
		k.Open(j.src, j.markers[n-1])
	}
	return k.skip(j, row*j.across-k.unit)
}

// resume goes to the beginning of a row.
func (k *worker) resume(j *job, row int) {
	p := &j.places[row]
	if k.unit == row*j.across && k.due(j) && k.place() == *p {
		return // there already
	}
	k.unit = row * j.across
	k.taken = k.unit // the places are behind their markers
	k.Resume(j.src, int(p.offset), uint(p.bit), p.pred)
}

// place returns where the worker stands.
func (k *worker) place() place {
	offset, bit := k.Place()
	return place{offset: int64(offset), bit: uint8(bit), pred: k.Pred()}
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
		if !k.read(j, k.strip, n) {
			return false
		}
		if k.put != nil {
			k.put(row, at, n)
		} else {
			j.put(k.strip, k.wild, row, at, n)
		}
		at += n
	}
	return j.resume || k.skip(j, j.across-j.right)
}

// skip reads n units of which nothing is wanted.
func (k *worker) skip(j *job, n int) bool {
	for n > 0 {
		take := min(n, j.stripUnits)
		if !k.read(j, k.blind, take) {
			return false
		}
		clear(k.blind.DC)
		n -= take
	}
	return true
}

// read reads n units into a strip, and the restart markers between them.
func (k *worker) read(j *job, s *entropy.Strip, n int) bool {
	for done := 0; done < n; {
		if !k.due(j) {
			return false
		}
		take := n - done
		if j.interval > 0 {
			take = min(take, j.interval-k.unit%j.interval)
		}
		if !k.Read(s, done, done+take) {
			return false
		}
		done += take
		k.unit += take
	}
	return true
}

// due takes the restart marker that stands before the next unit, if one does.
func (k *worker) due(j *job) bool {
	if j.interval == 0 || k.unit == 0 || k.unit%j.interval != 0 || k.taken == k.unit {
		return true
	}
	k.taken = k.unit
	return k.Restart(k.unit/j.interval - 1)
}
