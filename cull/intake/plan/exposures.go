package plan

import (
	"time"

	"garner/cull/scan"
)

// maxCompared bounds how many files are compared with one: more than that many of
// one second and one name are no camera's work, and in doubt they are exposures
// of their own.
const maxCompared = 64

// exposures finds the files of one exposure. [scan.Exposure.Same] decides; the
// keys only bring together what it could call the same: equal heads, or one
// second together with an equal stem, counter or fraction of the second.
type exposures struct {
	by   map[exposureKey][]int
	shot []*scan.Exposure
}

type exposureKey struct {
	kind   byte
	number int64
	second int64
	text   string
}

func newExposures() *exposures { return &exposures{by: map[exposureKey][]int{}} }

// keysOf lists the keys of a file whose name is stem.
func keysOf(e *scan.Exposure, stem string, keys []exposureKey) []exposureKey {
	if e.Head != "" {
		keys = append(keys, exposureKey{kind: 'h', text: e.Head})
	}
	if !e.Taken.Known() {
		return keys
	}
	second := e.Taken.Wall.Unix()
	keys = append(keys, exposureKey{kind: 's', second: second, text: stem})
	if n := e.Shot.Counter; n != 0 {
		keys = append(keys, exposureKey{kind: 'c', second: second, number: n})
	}
	if e.Taken.Digits >= 2 {
		keys = append(keys, exposureKey{kind: 'f', second: second, number: int64(e.Taken.Wall.Nanosecond()) / int64(10*time.Millisecond)})
	}
	return keys
}

// add gives a file the next number.
func (x *exposures) add(e *scan.Exposure, stem string) {
	var room [4]exposureKey
	for _, k := range keysOf(e, stem, room[:0]) {
		x.by[k] = append(x.by[k], len(x.shot))
	}
	x.shot = append(x.shot, e)
}

// find lists the numbers of the files of one exposure, in no order that means
// anything but always the same.
func (x *exposures) find(e *scan.Exposure, stem string) []int {
	var room [4]exposureKey
	var found []int
	for _, k := range keysOf(e, stem, room[:0]) {
		near := x.by[k]
	next:
		for _, i := range near[:min(len(near), maxCompared)] {
			for _, f := range found {
				if f == i {
					continue next
				}
			}
			if e.Same(*x.shot[i]) {
				found = append(found, i)
			}
		}
	}
	return found
}
