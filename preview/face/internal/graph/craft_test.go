package graph

import (
	"encoding/binary"
	"math"
	"strconv"
)

// Small files, put together by the description of FlatBuffers: a table begins with
// the way back to its list of fields; all other offsets go forward.

// fields of a table in their order: nil for an absent one, uint8, int32, string,
// []int32, []byte, fields, or []fields.
type fields []any

type writer struct{ b []byte }

func (w *writer) align() {
	for len(w.b)%4 != 0 {
		w.b = append(w.b, 0)
	}
}

func (w *writer) u32(v int) { w.b = binary.LittleEndian.AppendUint32(w.b, uint32(v)) }

// link makes the four bytes at a place lead to the end of what is written.
func (w *writer) link(at int) {
	w.align()
	binary.LittleEndian.PutUint32(w.b[at:], uint32(len(w.b)-at))
}

// table writes a table at the end and returns where it is.
func (w *writer) table(t fields) {
	w.b = binary.LittleEndian.AppendUint16(w.b, uint16(4+2*len(t)))
	w.b = binary.LittleEndian.AppendUint16(w.b, uint16(4+4*len(t)))
	for i, v := range t {
		o := 4 + 4*i
		if v == nil {
			o = 0
		}
		w.b = binary.LittleEndian.AppendUint16(w.b, uint16(o))
	}
	// The list of fields stands right before the table, but for what aligns it.
	back := 4 + 2*len(t)
	if back%4 != 0 {
		w.b = append(w.b, 0, 0)
		back += 2
	}
	at := len(w.b)
	w.u32(back)
	w.b = append(w.b, make([]byte, 4*len(t))...)
	for i, v := range t {
		w.field(at+4+4*i, v)
	}
}

// start is table for a whole file.
func start(t fields) []byte {
	w := &writer{b: make([]byte, 8)}
	copy(w.b[4:], "TFL3")
	w.table(t)
	// Where the table is: behind its list of fields.
	at := 8 + (4+2*len(t)+3)/4*4
	binary.LittleEndian.PutUint32(w.b, uint32(at))
	return w.b
}

func (w *writer) field(at int, v any) {
	switch v := v.(type) {
	case uint8:
		w.b[at] = v
	case int32:
		binary.LittleEndian.PutUint32(w.b[at:], uint32(v))
	case string:
		w.vector(at, len(v), []byte(v))
	case []byte:
		w.vector(at, len(v), v)
	case []int32:
		var b []byte
		for _, x := range v {
			b = binary.LittleEndian.AppendUint32(b, uint32(x))
		}
		w.vector(at, len(v), b)
	case fields:
		w.child(at, v)
	case []fields:
		w.vector(at, len(v), make([]byte, 4*len(v)))
		first := len(w.b) - 4*len(v)
		for i, t := range v {
			w.child(first+4*i, t)
		}
	}
}

func (w *writer) vector(at, n int, b []byte) {
	w.link(at)
	w.u32(n)
	w.b = append(w.b, b...)
}

// child writes a table that the place leads to.
func (w *writer) child(at int, t fields) {
	w.align()
	n := len(w.b) + (4+2*len(t)+3)/4*4
	binary.LittleEndian.PutUint32(w.b[at:], uint32(n-at))
	w.table(t)
}

// variable is a tensor of a file to be written; data makes it a constant.
type variable struct {
	dims []int32
	kind kind
	data []byte
}

// operate is an operation of a file to be written.
type operate struct {
	code    int
	custom  string
	in, out []int32
	options fields
	raw     []byte
}

// file writes a network. Tensors are named t0, t1, …; each has a buffer.
func file(tensors []variable, ops []operate, in, out []int32) []byte {
	buffers := []fields{{}} // the first is empty by custom
	var ts, os, codes []fields
	for i, t := range tensors {
		buffer := int32(0)
		if t.data != nil {
			buffer = int32(len(buffers))
			buffers = append(buffers, fields{t.data})
		}
		ts = append(ts, fields{t.dims, uint8(t.kind), buffer, "t" + strconv.Itoa(i)})
	}
	for i, o := range ops {
		f := fields{int32(i), o.in, o.out, uint8(1), o.options, nil}
		if o.raw != nil {
			f[5] = o.raw
		}
		code := fields{uint8(o.code), nil, int32(1), int32(o.code)}
		if o.custom != "" {
			code[1], code[2] = o.custom, int32(2)
		}
		os, codes = append(os, f), append(codes, code)
	}
	return start(fields{int32(3), codes, []fields{{ts, in, out, os}}, "", buffers})
}

// singles writes numbers as a constant of float32.
func singles(v ...float32) []byte {
	var b []byte
	for _, x := range v {
		b = binary.LittleEndian.AppendUint32(b, math.Float32bits(x))
	}
	return b
}

// whole writes numbers as a constant of int32.
func whole(v ...int32) []byte {
	var b []byte
	for _, x := range v {
		b = binary.LittleEndian.AppendUint32(b, uint32(x))
	}
	return b
}

// halves writes numbers that have few digits as a constant of float16.
func halves(v ...float32) []byte {
	var b []byte
	for _, x := range v {
		f := math.Float32bits(x)
		h := uint16(f>>16&0x8000) | uint16(int(f>>23&0xFF)-127+15)<<10 | uint16(f>>13&0x3FF)
		if x == 0 {
			h = 0
		}
		b = binary.LittleEndian.AppendUint16(b, h)
	}
	return b
}
