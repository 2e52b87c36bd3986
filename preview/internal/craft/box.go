package craft

import "encoding/binary"

// Box is a box of ISO/IEC 14496-12 §4.2 around the joined parts.
func Box(typ string, parts ...[]byte) []byte {
	body := Join(parts...)
	return Join(U32(uint32(len(body)+8)), []byte(typ), body)
}

// Box64 is a box with its size in 64 bits.
func Box64(typ string, parts ...[]byte) []byte {
	body := Join(parts...)
	return Join(U32(1), []byte(typ), U64(uint64(len(body)+16)), body)
}

// FullBox is a box that begins with version and flags.
func FullBox(typ string, version byte, flags uint32, parts ...[]byte) []byte {
	return Box(typ, append([][]byte{U32(uint32(version)<<24 | flags)}, parts...)...)
}

// Join puts parts together.
func Join(parts ...[]byte) []byte {
	var out []byte
	for _, p := range parts {
		out = append(out, p...)
	}
	return out
}

// U16 writes numbers in 16 bits, big endian.
func U16(vs ...uint16) (b []byte) {
	for _, v := range vs {
		b = binary.BigEndian.AppendUint16(b, v)
	}
	return b
}

// U32 writes numbers in 32 bits, big endian.
func U32(vs ...uint32) (b []byte) {
	for _, v := range vs {
		b = binary.BigEndian.AppendUint32(b, v)
	}
	return b
}

// U64 writes numbers in 64 bits, big endian.
func U64(vs ...uint64) (b []byte) {
	for _, v := range vs {
		b = binary.BigEndian.AppendUint64(b, v)
	}
	return b
}
