package cull

import (
	"bytes"
	"testing"
)

func FuzzLookFrom(f *testing.F) {
	f.Add(Look{Method: 1, Parts: [LookParts]uint64{1, 1 << 63}, Grey: true, Blue: 9}.AppendBinary(nil))
	f.Add([]byte{})
	f.Add(make([]byte, LookBytes))
	f.Fuzz(func(t *testing.T, b []byte) {
		l, ok := LookFrom(b)
		if ok != l.Known() {
			t.Fatalf("%v, but %v", ok, l)
		}
		if ok && !bytes.Equal(l.AppendBinary(nil), b) {
			t.Fatalf("%x becomes %x", b, l.AppendBinary(nil))
		}
	})
}
