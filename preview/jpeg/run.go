package jpeg

import (
	"bytes"
	"sync"

	"garner/preview/jpeg/internal/entropy"
)

// This file shares the rows of a job out to workers.

// run decodes the rows of the job and fills the index. It returns the first row
// that is not there.
func (d *Decoder) run(src []byte, o Options) (good int, err error) {
	j := &d.job
	from, to := 0, j.bottom
	switch {
	case j.resume:
		from, to = min(j.top, len(j.places)), min(j.bottom, len(j.places))
	case j.through:
		to = j.down
	}
	switch {
	case j.resume || j.markers != nil:
		good = d.side(from, to, o.Workers)
	case j.apart:
		good = d.line(to)
	default:
		k := d.at(0)
		k.begin(j)
		good = k.rows(j, from, to)
	}
	if stopped(j.stop) {
		return 0, ErrStopped
	}
	if good == 0 {
		return 0, FormatError("broken before the end of the first row of blocks")
	}
	if j.through {
		o.Index.fill(&j.layout, src, j.places[:good])
	}
	return good, nil
}

// at returns worker i, ready for the job.
func (d *Decoder) at(i int) *worker {
	for len(d.workers) <= i {
		d.workers = append(d.workers, &worker{})
	}
	d.workers[i].ready(&d.job)
	return d.workers[i]
}

// side decodes rows that can be begun anywhere by several workers side by
// side.
func (d *Decoder) side(from, to, workers int) (good int) {
	j := &d.job
	workers = max(1, min(workers, to-from))
	part := func(i int) int { return from + (to-from)*i/workers }
	run := func(k *worker, from, to int) int {
		if j.resume {
			k.unit = -1 // nowhere
		} else if !k.beginAt(j, from) {
			return from
		}
		return k.rows(j, from, to)
	}
	if workers == 1 {
		return run(d.at(0), from, to)
	}
	ends, on := make([]int, workers), make([]bool, workers)
	var all sync.WaitGroup
	for i := range workers {
		k := d.at(i)
		all.Go(func() {
			ends[i] = run(k, part(i), part(i+1))
			// One worker alone would not get beyond data that are left before the
			// marker at which the next one began.
			on[i] = ends[i] == part(i+1) && (j.resume || i == workers-1 || k.due(j))
		})
	}
	all.Wait()
	for i, end := range ends {
		if !on[i] {
			return end
		}
	}
	return to
}

// mark finds the restart markers, if they are those that have to be there, one
// after the other (T.81 B.2.1).
func (d *Decoder) mark() {
	j := &d.job
	if j.interval == 0 {
		return
	}
	found := d.markers[:0]
	want := ceilDiv(j.across*j.down, j.interval) - 1
	for at := int(j.scan); len(found) < want; {
		i := bytes.IndexByte(j.src[at:], 0xFF)
		if i < 0 {
			break
		}
		for at += i; at < len(j.src) && j.src[at] == 0xFF; {
			at++
		}
		if at == len(j.src) {
			break
		}
		switch code := j.src[at]; {
		case code == byte(0xD0+len(found)&7):
			found = append(found, at+1)
		case code != 0:
			want = -1
		}
		at++
	}
	if d.markers = found; len(found) == want {
		j.markers = found
	}
}

// band is a strip as wide as the part that is wanted, on its way from the
// reader to the transforms.
type band struct {
	strip      *entropy.Strip
	row, at, n int
}

// bands is how many of them are on the way.
const bands = 4

// line reads on one core and transforms on another.
func (d *Decoder) line(to int) (good int) {
	j := &d.job
	k := d.at(0)
	free, full := make(chan *entropy.Strip, bands), make(chan band, bands)
	for len(d.bands) < bands-1 {
		d.bands = append(d.bands, &entropy.Strip{})
	}
	for _, s := range d.bands {
		s.Reset(j.units, j.stripUnits, j.stripBlocks, false)
		free <- s
	}
	k.put = func(row, at, n int) {
		full <- band{k.strip, row, at, n}
		k.strip = <-free
	}
	var all sync.WaitGroup
	all.Go(func() {
		for b := range full {
			j.put(b.strip, k.wild, b.row, b.at, b.n)
			free <- b.strip
		}
	})
	k.begin(j)
	good = k.rows(j, 0, to)
	close(full)
	all.Wait()
	for i := range d.bands {
		d.bands[i] = <-free
		d.bands[i].Forget()
	}
	return good
}
