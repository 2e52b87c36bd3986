package cache

import (
	"encoding/binary"
	"hash/crc32"
)

// This file implements the form of one entry, in packs and in files of their
// own. All numbers are little endian.
//
//	 0  4  magic "grn1"
//	 4  4  length of the key
//	 8  4  length of the data
//	12  4  CRC-32C of the key and the data
//	16  4  CRC-32C of the sixteen bytes before
//	20     key, data
//
// The header has a checksum of its own, so that its lengths can be believed
// before anything else of the entry is read.

const (
	magic      = "grn1"
	headerSize = 20

	maxKey  = 4 << 10  // bytes; keys are a few hundred
	maxData = 64 << 20 // bytes; a rendition is about a megabyte
)

type entryHeader struct {
	key, data int // lengths
	sum       uint32
}

func (h entryHeader) size() int64 { return headerSize + int64(h.key) + int64(h.data) }

func castagnoli(parts ...[]byte) uint32 {
	table := crc32.MakeTable(crc32.Castagnoli) // made once by the library
	sum := uint32(0)
	for _, p := range parts {
		sum = crc32.Update(sum, table, p)
	}
	return sum
}

// encode returns the entry of data under key.
func encode(key string, data []byte) []byte {
	b := make([]byte, 0, headerSize+len(key)+len(data))
	b = append(b, magic...)
	b = binary.LittleEndian.AppendUint32(b, uint32(len(key)))
	b = binary.LittleEndian.AppendUint32(b, uint32(len(data)))
	b = binary.LittleEndian.AppendUint32(b, castagnoli([]byte(key), data))
	b = binary.LittleEndian.AppendUint32(b, castagnoli(b))
	return append(append(b, key...), data...)
}

// parseHeader reads a header; ok is false for anything that encode has not made.
func parseHeader(b []byte) (h entryHeader, ok bool) {
	if len(b) < headerSize || string(b[:4]) != magic || binary.LittleEndian.Uint32(b[16:]) != castagnoli(b[:16]) {
		return h, false
	}
	key, data := binary.LittleEndian.Uint32(b[4:]), binary.LittleEndian.Uint32(b[8:])
	if key > maxKey || data > maxData {
		return h, false
	}
	return entryHeader{key: int(key), data: int(data), sum: binary.LittleEndian.Uint32(b[12:])}, true
}

// decode returns the data of a whole entry if it is the one of key.
func decode(b []byte, key string) ([]byte, bool) {
	h, ok := parseHeader(b)
	if !ok || int64(len(b)) != h.size() {
		return nil, false
	}
	name, data := b[headerSize:headerSize+h.key], b[headerSize+h.key:]
	if string(name) != key || castagnoli(name, data) != h.sum {
		return nil, false
	}
	return data, true
}
