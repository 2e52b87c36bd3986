package like

import (
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"math"

	"garner/preview/pix"
)

// This file says how Columns lie in a file. All numbers have their lowest byte first.
//
//	header   "garnlook", version (2 bytes), method of the looks (1), how many windows (1),
//	         rows of a block (4)
//	blocks   of so many rows, the last of fewer: the shape of each row (1); four columns of
//	         the words for the first comparison (8 for each row); for each row the other
//	         bits of its windows (96) and the hash of the whole picture (8); then the CRC-32C
//	         of all that (4)
//	footer   how many rows there are of each of the 256 shapes (4 each), the CRC-32C of
//	         header and footer (4)
//
// A block is what is read, checked and compared at once: a file of any length is
// written and read in a few megabytes of memory.

const (
	magic       = "garnlook"
	version     = 1
	headerBytes = len(magic) + 8
	footerBytes = 256*4 + 4
	blockRows   = 1 << 13
	rowBytes    = 1 + 8*pix.LookParts
	sumBytes    = 4
)

var castagnoli = crc32.MakeTable(crc32.Castagnoli)

// FormatError says what is wrong with a file of Columns. It is derived: it can be built
// anew.
type FormatError string

func (e FormatError) Error() string { return "the index of looks: " + string(e) }

func header() []byte {
	b := append(make([]byte, 0, headerBytes), magic...)
	b = binary.LittleEndian.AppendUint16(b, version)
	b = append(b, pix.LookMethod, pix.LookParts)
	return binary.LittleEndian.AppendUint32(b, blockRows)
}

// shapes counts the rows of each shape.
type shapes [256]uint32

func (s *shapes) footer(header []byte) []byte {
	b := make([]byte, 0, footerBytes)
	for _, n := range s {
		b = binary.LittleEndian.AppendUint32(b, n)
	}
	return binary.LittleEndian.AppendUint32(b, crc32.Update(crc32.Checksum(header, castagnoli), castagnoli, b))
}

// shape is the width of a picture for its height on a logarithmic scale, at most a
// percent off; noLook stands for a frame whose look is not known.
type shape uint8

const (
	noLook shape = 0
	square shape = 128
)

// shapeStep is chosen so that 3:2 and 2:3, which nearly all frames have, are exact.
var shapeStep = math.Log(1.5) / 20

func shapeOf(aspect float64) shape {
	if !(aspect > 0) || math.IsInf(aspect, 0) {
		return noLook
	}
	return shape(min(max(math.Round(math.Log(aspect)/shapeStep)+float64(square), 1), 255))
}

func (s shape) aspect() float64 { return math.Exp(float64(int(s)-int(square)) * shapeStep) }

// rowsIn tells how many rows a file of a size holds.
func rowsIn(size int64) (int, error) {
	const block = blockRows*rowBytes + sumBytes
	body := size - int64(headerBytes) - footerBytes
	if body < 0 {
		return 0, FormatError("it is cut off")
	}
	rows, rest := body/block*blockRows, body%block
	if rest > 0 {
		if rest -= sumBytes; rest <= 0 || rest%rowBytes != 0 {
			return 0, FormatError(fmt.Sprintf("%d bytes are no whole number of frames: it is cut off", size))
		}
		rows += rest / rowBytes
	}
	if rows > MostRows {
		return 0, FormatError(fmt.Sprintf("it holds more than %d frames", MostRows))
	}
	return int(rows), nil
}

// MostRows is how many frames Columns hold at most.
const MostRows = 1 << 28
