package bin_test

import (
	"encoding/binary"
	"errors"
	"testing"

	"garner/preview/internal/bin"
)

func TestCursorTakesBothOrders(t *testing.T) {
	b := []byte{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15}
	for _, c := range []struct {
		order binary.ByteOrder
		u16   uint16
		u32   uint32
		u64   uint64
	}{
		{binary.BigEndian, 0x0203, 0x04050607, 0x08090A0B0C0D0E0F},
		{binary.LittleEndian, 0x0302, 0x07060504, 0x0F0E0D0C0B0A0908},
	} {
		cur := bin.NewCursor(b, c.order)
		if cur.U8() != 1 || cur.U16() != c.u16 || cur.U32() != c.u32 || cur.U64() != c.u64 {
			t.Errorf("%v: wrong value", c.order)
		}
		if cur.Err() != nil || cur.Left() != 0 || cur.Pos() != len(b) {
			t.Errorf("%v: at %d with %v", c.order, cur.Pos(), cur.Err())
		}
	}
}

func TestCursorErrorSticks(t *testing.T) {
	cur := bin.NewCursor([]byte{1, 2, 3}, binary.BigEndian)
	if cur.U32() != 0 || !errors.Is(cur.Err(), bin.ErrEnd) {
		t.Fatalf("four of three bytes: %v", cur.Err())
	}
	// Two bytes would be there, but nothing after an error may look like a value.
	if cur.U16() != 0 || cur.U8() != 0 || cur.Bytes(1) != nil || cur.U64() != 0 {
		t.Error("values after the error")
	}
	neg := bin.NewCursor([]byte{1, 2, 3}, binary.BigEndian)
	if neg.Skip(-1); neg.Err() == nil {
		t.Error("a negative length was taken")
	}
}
