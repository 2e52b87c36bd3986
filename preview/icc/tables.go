package icc

import (
	"encoding/binary"
	"fmt"
)

// This file reads lut8Type and lut16Type (ICC.1:2022 clauses 10.10 and 10.11), and
// lutAToBType and lutBToAType (10.12 and 10.13).

// maxEntries is the most that the curves of a lut16Type may have.
const maxEntries = 4096

// readLUT reads a table tag of so many channels in and out, towards the connection space
// or from there. lab says that this is Lab.
func readLUT(b []byte, in, out int, toPCS, lab bool) (*lut, error) {
	if len(b) < 32 {
		return nil, FormatError("a table of no length")
	}
	kind := string(b[:4])
	l := &lut{pcs: pcsXYZ}
	if lab {
		l.pcs = pcsLab
		if kind == "mft2" {
			l.pcs = pcsLab2
		}
	}
	if i, o := int(b[8]), int(b[9]); i != in || o != out {
		return nil, FormatError(fmt.Sprintf("a table from %d channels to %d, where %d become %d", i, o, in, out))
	}
	curved := "mBA "
	if toPCS {
		curved = "mAB "
	}
	var err error
	switch kind {
	case "mft1":
		l.steps, err = tables(b, 48, 256, 256, 1)
	case "mft2":
		if len(b) < 52 {
			return nil, FormatError("a table of no length")
		}
		l.steps, err = tables(b, 52, int(binary.BigEndian.Uint16(b[48:])), int(binary.BigEndian.Uint16(b[50:])), 2)
	case curved:
		l.steps, err = elements(b, toPCS)
	default:
		err = UnsupportedError(fmt.Sprintf("table of type %q", kind))
	}
	if err != nil {
		return nil, err
	}
	return l, nil
}

// tables reads what both lut types have from byte at on: curves of so many entries, a
// grid and curves again.
func tables(b []byte, at, entries, exits, width int) ([]step, error) {
	in, out, points := int(b[8]), int(b[9]), b[10]
	if len(b) < at {
		return nil, FormatError("a table of no length")
	}
	var steps []step
	if m := readAffine(b[12:], false); in == 3 && !m.none() {
		steps = append(steps, step{matrix: m})
	}
	b = b[at:]
	curves := func(n, channels int) error {
		size := n * width
		if n < 2 || n > maxEntries || channels*size > len(b) {
			return FormatError(fmt.Sprintf("curves of %d entries in %d bytes", n, len(b)))
		}
		var list []tone
		for range channels {
			list = append(list, tone{samples: b[:size], width: width})
			b = b[size:]
		}
		steps = append(steps, step{curves: list})
		return nil
	}
	if err := curves(entries, in); err != nil {
		return nil, err
	}
	all := make([]byte, in)
	for i := range all {
		all[i] = points
	}
	g, err := newGrid(all, out, width, b)
	if err != nil {
		return nil, err
	}
	steps = append(steps, step{grid: g})
	b = b[len(g.values)*width:]
	return steps, curves(exits, out)
}

// readAffine reads nine numbers and, if there is one, the offset behind them.
func readAffine(b []byte, offset bool) *affine {
	m := new(affine)
	for r := range m {
		for c := range 3 {
			m[r][c] = fixed(b[4*(3*r+c):])
		}
		if offset {
			m[r][3] = fixed(b[36+4*r:])
		}
	}
	return m
}

// none reports whether the matrix changes nothing.
func (m *affine) none() bool { return *m == affine{{1, 0, 0, 0}, {0, 1, 0, 0}, {0, 0, 1, 0}} }

// elements reads the five parts of a lutAToBType in the order A, grid, M, matrix, B,
// or those of a lutBToAType in the opposite one. All but the B curves may be missing.
func elements(b []byte, toPCS bool) ([]step, error) {
	in, out := int(b[8]), int(b[9])
	part := func(at int) ([]byte, error) {
		off := int64(binary.BigEndian.Uint32(b[at:]))
		if off > int64(len(b)) {
			return nil, FormatError("a part of a table that lies outside")
		}
		return b[off:], nil
	}
	// The side of the connection space has three channels, the device's its own.
	device := out
	if toPCS {
		device = in
	}
	var steps []step
	channels := in
	curves := func(at, n int) error {
		if binary.BigEndian.Uint32(b[at:]) == 0 {
			return nil
		}
		data, err := part(at)
		if err != nil {
			return err
		}
		list, err := tones(data, n)
		steps = append(steps, step{curves: list})
		return err
	}
	table := func() error {
		if binary.BigEndian.Uint32(b[24:]) == 0 {
			return nil
		}
		data, err := part(24)
		if err != nil {
			return err
		}
		g, err := readCLUT(data, in, out)
		steps, channels = append(steps, step{grid: g}), out
		return err
	}
	matrix := func() error {
		if binary.BigEndian.Uint32(b[16:]) == 0 {
			return nil
		}
		data, err := part(16)
		if err != nil {
			return err
		}
		if len(data) < 48 {
			return FormatError("a matrix of no length")
		}
		steps = append(steps, step{matrix: readAffine(data, true)})
		return nil
	}
	order := []func() error{
		func() error { return curves(28, device) }, table,
		func() error { return curves(20, 3) }, matrix,
		func() error { return curves(12, 3) },
	}
	for i := range order {
		if !toPCS {
			i = len(order) - 1 - i
		}
		if err := order[i](); err != nil {
			return nil, err
		}
	}
	if channels != out || len(steps) == 0 {
		return nil, FormatError("a table without a table")
	}
	if toPCS && binary.BigEndian.Uint32(b[12:]) == 0 {
		return nil, FormatError("a table without its last curves")
	}
	return steps, nil
}

// readCLUT reads the grid inside of those: sixteen bytes for the points of each
// channel, one for the width of the numbers, three unused.
func readCLUT(b []byte, in, out int) (*grid, error) {
	if len(b) < 20 {
		return nil, FormatError("a table of no length")
	}
	width := int(b[16])
	if width != 1 && width != 2 {
		return nil, FormatError(fmt.Sprintf("a table of numbers of %d bytes", width))
	}
	return newGrid(b[:in], out, width, b[20:])
}

// tones reads n curves, each from a multiple of four bytes on.
func tones(b []byte, n int) ([]tone, error) {
	var list []tone
	for range n {
		t, size, err := readTone(b)
		if err != nil {
			return nil, err
		}
		t.open = true
		list = append(list, t)
		b = b[min((size+3)&^3, len(b)):]
	}
	return list, nil
}
