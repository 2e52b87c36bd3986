package recall

import (
	"encoding/binary"
	"hash/crc32"
	"time"

	"garner/cull"
	"garner/cull/closing/record"
)

// maxDetail bounds what is kept of one frame, in bytes. mostOthers and mostFiles bound
// the lists in it.
const (
	maxDetail  = 8 << 20
	mostOthers = 1000
	mostFiles  = 1000
)

// detail is what is said of a frame once it was found.
type detail struct {
	name             string
	others           []string
	taken, corrected cull.Stamp
	moment           int
	thumb            record.Span
	files            []file
}

// detailOf writes them one after the other, numbers as varints and texts behind their
// lengths, and the CRC-32C of all.
func detailOf(out []byte, e *entry) []byte {
	start := len(out)
	text := func(s string) { out = append(binary.AppendUvarint(out, uint64(len(s))), s...) }
	number := func(n int64) { out = binary.AppendVarint(out, n) }
	stamp := func(s cull.Stamp) {
		number(int64(min(max(s.Digits, 0), 9)))
		if s.Known() {
			number(s.Wall.Unix())
			number(int64(s.Wall.Nanosecond()))
		} else {
			number(noTime)
			number(0)
		}
		number(int64(s.Zone))
		text(string(s.ZoneIs))
	}
	text(e.name)
	stamp(e.taken)
	stamp(e.corrected)
	number(int64(e.moment))
	number(e.thumb.Offset)
	number(e.thumb.Length)
	others, files := e.others[:min(len(e.others), mostOthers)], e.files[:min(len(e.files), mostFiles)]
	number(int64(len(others)))
	for _, s := range others {
		text(s)
	}
	number(int64(len(files)))
	for _, f := range files {
		number(int64(f.kind))
		text(f.path)
	}
	return binary.LittleEndian.AppendUint32(out, crc32.Checksum(out[start:], castagnoli))
}

// fields takes them apart again; what is missing makes it bad.
type fields struct {
	b   []byte
	bad bool
}

func (f *fields) number() int64 {
	n, size := binary.Varint(f.b)
	if size <= 0 {
		f.bad, f.b = true, nil
		return 0
	}
	f.b = f.b[size:]
	return n
}

func (f *fields) text() string {
	n, size := binary.Uvarint(f.b)
	if size <= 0 || n > uint64(len(f.b)-size) {
		f.bad, f.b = true, nil
		return ""
	}
	s := string(f.b[size : size+int(n)])
	f.b = f.b[size+int(n):]
	return s
}

func (f *fields) count(most int64) int64 {
	n := f.number()
	if n < 0 || n > most {
		f.bad, n = true, 0
	}
	return n
}

func (f *fields) stamp() cull.Stamp {
	s := cull.Stamp{Digits: int(f.count(9))}
	seconds, ns := f.number(), f.number()
	if seconds != noTime {
		s.Wall = time.Unix(seconds, ns).UTC()
	}
	s.Zone = int(f.number())
	s.ZoneIs = cull.ZoneState(f.text())
	return s
}

func parseDetail(b []byte) (detail, error) {
	var d detail
	if len(b) < 4 {
		return d, errDamaged
	}
	body := b[:len(b)-4]
	if crc32.Checksum(body, castagnoli) != binary.LittleEndian.Uint32(b[len(body):]) {
		return d, errDamaged
	}
	f := &fields{b: body}
	d.name, d.taken, d.corrected = f.text(), f.stamp(), f.stamp()
	d.moment, d.thumb = int(f.number()), record.Span{Offset: f.number(), Length: f.number()}
	for range f.count(mostOthers) {
		d.others = append(d.others, f.text())
	}
	for range f.count(mostFiles) {
		d.files = append(d.files, file{Kind(f.count(int64(Small))), f.text()})
	}
	if f.bad || len(f.b) > 0 {
		return detail{}, errDamaged
	}
	return d, nil
}
