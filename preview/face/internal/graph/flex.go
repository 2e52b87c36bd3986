package graph

import (
	"encoding/binary"
	"math"
	"slices"
)

// Options of a custom operation are a map in FlexBuffers (flatbuffers.dev,
// "FlexBuffers"): a value is one to eight bytes, as wide as what holds it says; its
// type is a byte, of which two bits are the width of what it leads to, if it leads
// anywhere, and that is always backwards.

// flexType is a type of FlexBuffers.
type flexType int

const (
	flexInt      flexType = 1
	flexUint     flexType = 2
	flexFloat    flexType = 3
	flexMap      flexType = 9
	flexInts     flexType = 11
	flexUints    flexType = 12
	maxFlexItems          = 4096
)

// flexValue is a value of such a map.
type flexValue struct {
	b     []byte // the whole
	at    int
	width int // of the value here
	typ   flexType
	child int // the width of what it leads to
}

// flexible reads the map at the end of b.
func flexible(b []byte) (map[string]flexValue, error) {
	if len(b) < 3 {
		return nil, FormatError("options that end early")
	}
	width := int(b[len(b)-1])
	root := flexValue{b, len(b) - 2 - width, width, flexType(b[len(b)-2] >> 2), 1 << (b[len(b)-2] & 3)}
	if root.typ != flexMap || !slices.Contains([]int{1, 2, 4, 8}, width) || root.at < 0 {
		return nil, FormatError("options that are not a map")
	}
	at, ok := root.follow()
	n, ok1 := unsigned(b, at-root.child, root.child)
	keyWidth, ok2 := unsigned(b, at-2*root.child, root.child)
	if !ok || !ok1 || !ok2 || n > maxFlexItems || !slices.Contains([]int{1, 2, 4, 8}, keyWidth) {
		return nil, FormatError("a map of options that does not fit")
	}
	keys, ok := back(b, at-3*root.child, root.child)
	types := at + n*root.child
	if !ok || types < 0 || types+n > len(b) {
		return nil, FormatError("a map of options that does not fit")
	}
	out := make(map[string]flexValue, n)
	for i := range n {
		k, ok := back(b, keys+i*keyWidth, keyWidth)
		if !ok {
			return nil, FormatError("a key of options that does not fit")
		}
		end := slices.Index(b[k:min(len(b), k+maxName+1)], 0)
		if end < 0 {
			return nil, FormatError("a key of options without an end")
		}
		t := b[types+i]
		out[string(b[k:k+end])] = flexValue{b, at + i*root.child, root.child, flexType(t >> 2), 1 << (t & 3)}
	}
	return out, nil
}

// unsigned reads a number of a width that is not over 1<<30.
func unsigned(b []byte, at, width int) (int, bool) {
	if at < 0 || at > len(b)-width {
		return 0, false
	}
	var full [8]byte
	copy(full[:], b[at:at+width])
	v := binary.LittleEndian.Uint64(full[:])
	return int(v & (1<<30 - 1)), v < 1<<30
}

// back returns where the offset at a place leads.
func back(b []byte, at, width int) (int, bool) {
	n, ok := unsigned(b, at, width)
	return at - n, ok && n > 0 && n <= at
}

func (v flexValue) follow() (int, bool) { return back(v.b, v.at, v.width) }

// whole returns a number that is at least 0.
func (v flexValue) whole() (int, error) {
	if v.typ == flexInt || v.typ == flexUint {
		if n, ok := unsigned(v.b, v.at, v.width); ok && (v.typ == flexUint || n>>(8*v.width-1) == 0) {
			return n, nil
		}
	}
	return 0, FormatError("an option that is not a whole number")
}

// real returns a number.
func (v flexValue) real() (float64, error) {
	if v.typ != flexFloat || v.at < 0 || v.at > len(v.b)-v.width {
		n, err := v.whole()
		return float64(n), err
	}
	b := v.b[v.at:]
	f := math.NaN()
	switch v.width {
	case 4:
		f = float64(math.Float32frombits(binary.LittleEndian.Uint32(b)))
	case 8:
		f = math.Float64frombits(binary.LittleEndian.Uint64(b))
	}
	if math.IsNaN(f) || math.IsInf(f, 0) {
		return 0, FormatError("an option that is not a number")
	}
	return f, nil
}

// wholes returns a vector of numbers that are at least 0.
func (v flexValue) wholes() ([]int, error) {
	at, ok := v.follow()
	n, ok1 := unsigned(v.b, at-v.child, v.child)
	if !ok || !ok1 || v.typ != flexInts && v.typ != flexUints || n > maxFlexItems {
		return nil, FormatError("an option that is not a list of whole numbers")
	}
	list := make([]int, n)
	for i := range list {
		var err error
		if list[i], err = (flexValue{v.b, at + i*v.child, v.child, v.typ - flexInts + flexInt, 1}).whole(); err != nil {
			return nil, err
		}
	}
	return list, nil
}
