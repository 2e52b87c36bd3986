package build

import "encoding/binary"

// This file writes the boxes of ISO/IEC 14496-12 that CR3 is made of.

// box wraps the joined parts in a box of four-character type name.
func box(name string, parts ...[]byte) []byte {
	n := 8
	for _, p := range parts {
		n += len(p)
	}
	out := binary.BigEndian.AppendUint32(make([]byte, 0, n), uint32(n))
	out = append(out, name...)
	for _, p := range parts {
		out = append(out, p...)
	}
	return out
}

// fullBox is a box with version and flags in front of its content
// (ISO/IEC 14496-12 §4.2).
func fullBox(name string, version byte, flags uint32, parts ...[]byte) []byte {
	head := binary.BigEndian.AppendUint32(nil, uint32(version)<<24|flags)
	return box(name, append([][]byte{head}, parts...)...)
}

func u16s(vs ...uint16) (b []byte) {
	for _, v := range vs {
		b = binary.BigEndian.AppendUint16(b, v)
	}
	return b
}

func u32s(vs ...uint32) (b []byte) {
	for _, v := range vs {
		b = binary.BigEndian.AppendUint32(b, v)
	}
	return b
}

func u64s(vs ...uint64) (b []byte) {
	for _, v := range vs {
		b = binary.BigEndian.AppendUint64(b, v)
	}
	return b
}

// unity is the transformation matrix that changes nothing (§6.2.2).
var unity = [9]uint32{0x10000, 0, 0, 0, 0x10000, 0, 0, 0, 0x40000000}
