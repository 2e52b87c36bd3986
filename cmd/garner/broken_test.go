package main

import (
	"bytes"
	"encoding/binary"
	"os"
	"path/filepath"

	"github.com/rogpeppe/go-internal/testscript"
)

// scriptBroken makes a file that lies about itself: broken PATH WHAT, where WHAT
// is one of the keys of brokenFile.
func scriptBroken(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: broken PATH WHAT")
	}
	data := brokenFile(args[1])
	if data == nil {
		ts.Fatalf("unknown kind of broken file %s", args[1])
	}
	path := ts.MkAbs(args[0])
	ts.Check(os.MkdirAll(filepath.Dir(path), 0o755))
	ts.Check(os.WriteFile(path, data, 0o644))
}

// brokenFile is the bytes of a hostile file. TIFF 6.0 section 2 has the header
// and the directory entries, ITU-T T.81 section B.2.2 the JPEG frame header.
func brokenFile(what string) []byte {
	le := binary.LittleEndian
	header := le.AppendUint32([]byte("II*\x00"), 8)
	entry := func(tag, kind uint16, count, value uint32) []byte {
		b := le.AppendUint16(le.AppendUint16(nil, tag), kind)
		return le.AppendUint32(le.AppendUint32(b, count), value)
	}
	ifd := func(next uint32, entries ...[]byte) []byte {
		b := le.AppendUint16(nil, uint16(len(entries)))
		return le.AppendUint32(append(b, bytes.Join(entries, nil)...), next)
	}
	pad := make([]byte, 4096)
	switch what {
	case "ifd-loop": // the next directory and the sub-directory are the first one
		return append(append(header, ifd(8, entry(0x014A, 4, 1, 8))...), pad...)
	case "past-the-end":
		return append(append(header, ifd(0xFFFFFF00,
			entry(0x0111, 4, 1, 0xFFFFFFF0), entry(0x0117, 4, 1, 0xFFFFFFF0),
			entry(0x0201, 4, 1, 0x7FFFFFFF), entry(0x0202, 4, 1, 0x7FFFFFFF))...), pad...)
	case "count-overflow": // 0x40000001 longs are 4 bytes in 32 bits
		return append(append(header, ifd(0, entry(0x014A, 4, 0x40000001, 200),
			entry(0x0111, 4, 0xFFFFFFFF, 200), entry(0x0117, 12, 0x20000001, 200), entry(0x927C, 7, 0xFFFFFFFF, 200))...), pad...)
	case "20000x14000": // one megabyte that says it is 280 megapixels
		j := pattern(64, 48, 3)
		sof := bytes.Index(j, []byte{0xFF, 0xC0})
		binary.BigEndian.PutUint16(j[sof+5:], 14000)
		binary.BigEndian.PutUint16(j[sof+7:], 20000)
		return append(j, make([]byte, 1<<20-len(j))...)
	}
	return nil
}
