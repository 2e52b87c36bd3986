package jpeg

import (
	"garner/preview/jpeg/internal/dct"
	"garner/preview/jpeg/internal/entropy"
)

// This file reads the tables that stand in the headers: ITU-T T.81 B.2.4.1
// (quantisation) and B.2.4.2 (Huffman).

// huffmanSpec is where a Huffman table is defined, and its code of all zeros:
// the shortest one.
type huffmanSpec struct {
	at     int64 // offset of the 16 counts, which the symbols follow
	count  int   // symbols
	bits   int   // length of the first code, 0 = no table
	symbol byte  // what it stands for
}

// huffman notes the tables of a DHT segment.
func (h *header) huffman(w *window, at, n int64) error {
	for n > 0 {
		b := w.bytes(at, 17)
		if b == nil || n < 17 {
			return FormatError("short Huffman table")
		}
		class, dest, count := b[0]>>4, b[0]&15, 0
		if class > 1 || dest > 3 {
			return FormatError("Huffman table destination out of range")
		}
		first := 0
		for i, c := range b[1:17] {
			if count == 0 && c > 0 {
				first = i + 1
			}
			count += int(c)
		}
		if count == 0 || count > 256 || n < int64(17+count) {
			return FormatError("Huffman table of a wrong length")
		}
		symbols := w.bytes(at+17, count)
		if symbols == nil {
			return nil
		}
		h.tables[class][dest] = huffmanSpec{at: at + 1, count: count, bits: first, symbol: symbols[0]}
		at, n = at+int64(17+count), n-int64(17+count)
	}
	return nil
}

// quantisation is one table of quantisation steps.
type quantisation struct {
	set   bool
	steps dct.Table // in natural order
}

// quantisation reads the tables of a DQT segment.
func (h *header) quantisation(w *window, at, n int64) error {
	for n > 0 {
		b := w.bytes(at, 1)
		if b == nil {
			return nil
		}
		wide, dest := int64(b[0]>>4), b[0]&15
		if wide > 1 || dest > 3 {
			return FormatError("quantisation table destination out of range")
		}
		size := 64 * (1 + wide)
		if n < 1+size {
			return FormatError("short quantisation table")
		}
		steps := w.bytes(at+1, int(size))
		if steps == nil {
			return nil
		}
		q := &h.quant[dest]
		q.set = true
		for i := range 64 {
			if wide == 0 {
				q.steps[entropy.Natural[i]] = uint16(steps[i])
			} else {
				q.steps[entropy.Natural[i]] = uint16(steps[2*i])<<8 | uint16(steps[2*i+1])
			}
		}
		at, n = at+1+size, n-1-size
	}
	return nil
}
