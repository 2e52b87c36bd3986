package recall

import (
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"math"

	"garner/cull"
	"garner/cull/closing/record"
	"garner/cull/intake/plan"
)

// This file says how a part lies in a file. All numbers have their lowest byte first.
//
//	header   "garnpart", version (4 bytes), frames (4), passes (4), the key of what it was
//	         made of (32), the length of each section (8 each), the CRC-32C of each (4
//	         each; 0 for details, which have their own), the CRC-32C of all that (4)
//	about    JSON
//	columns  of the frames in order: time (8), id (8), scene (2), body (1), kind of the
//	         best file (1), and for each pass the answer (1)
//	names    where the names of each frame end (4 each), then the names, folded, each
//	         with a zero behind it
//	details  where those of each frame end (4 each), then these: see detail.go
//	looks    of each frame: method (1), aspect (4), windows (8 each)

const (
	partMagic   = "garnpart"
	partVersion = 1
	sections    = 5
	headerBytes = 8 + 4 + 4 + 4 + 32 + 8*sections + 4*sections + 4
	maxPasses   = 256
	maxAbout    = 64 << 20
	maxBlob     = 1 << 28 // bytes of names, and of details
	rowBytes    = 8 + 8 + 2 + 1 + 1
	lookBytes   = 1 + 4 + 8*cull.LookParts
)

// The sections in their order.
const (
	aboutAt = iota
	columnsAt
	namesAt
	detailsAt
	looksAt
)

const (
	noTime  = math.MinInt64 // in the column of times, which are milliseconds since 1970
	noScene = 1<<16 - 1
	noBody  = 1<<8 - 1
)

var castagnoli = crc32.MakeTable(crc32.Castagnoli)

// errLong is the reason of a bag or job whose names, of files and of what was delivered, are
// more than memory should have to hold.
var errLong = errors.New("its names are longer than those of any job")

// errDamaged says that a part is not what was written. It is derived: it is made anew.
var errDamaged = errors.New("the index is damaged")

// encodePart writes the part of some frames.
func encodePart(a about, entries []entry, key [32]byte) ([]byte, error) {
	if len(entries) > mostFrames || len(a.Passes) > maxPasses {
		return nil, fmt.Errorf("it says that it has %d frames and %d passes: no job has so many", len(entries), len(a.Passes))
	}
	var body [sections][]byte
	var err error
	if body[aboutAt], err = json.Marshal(a); err != nil {
		return nil, err
	}
	body[columnsAt] = columnsOf(entries, len(a.Passes))
	body[looksAt] = looksOf(entries)
	if body[namesAt], err = blobOf(entries, namesOf); err != nil {
		return nil, err
	}
	if body[detailsAt], err = blobOf(entries, detailOf); err != nil {
		return nil, err
	}
	le := binary.LittleEndian
	out := append([]byte{}, partMagic...)
	out = le.AppendUint32(out, partVersion)
	out = le.AppendUint32(out, uint32(len(entries)))
	out = le.AppendUint32(out, uint32(len(a.Passes)))
	out = append(out, key[:]...)
	for _, b := range body {
		out = le.AppendUint64(out, uint64(len(b)))
	}
	for i, b := range body {
		sum := uint32(0)
		if i != detailsAt {
			sum = crc32.Checksum(b, castagnoli)
		}
		out = le.AppendUint32(out, sum)
	}
	out = le.AppendUint32(out, crc32.Checksum(out, castagnoli))
	for _, b := range body {
		out = append(out, b...)
	}
	return out, nil
}

func columnsOf(entries []entry, passes int) []byte {
	le := binary.LittleEndian
	out := make([]byte, 0, len(entries)*(rowBytes+passes))
	for _, e := range entries {
		ms := int64(noTime)
		if e.corrected.Known() {
			ms = e.corrected.Wall.UnixMilli()
		}
		out = le.AppendUint64(out, uint64(ms))
	}
	for _, e := range entries {
		out = le.AppendUint64(out, e.id)
	}
	for _, e := range entries {
		scene := uint16(noScene)
		if e.scene >= 0 && e.scene < noScene {
			scene = uint16(e.scene)
		}
		out = le.AppendUint16(out, scene)
	}
	for _, e := range entries {
		body := byte(noBody)
		if e.body >= 0 && e.body < noBody {
			body = byte(e.body)
		}
		out = append(out, body)
	}
	for _, e := range entries {
		best := NoFile
		if len(e.files) > 0 {
			best = e.files[0].kind
		}
		out = append(out, byte(best))
	}
	for pass := range passes {
		for _, e := range entries {
			out = append(out, byte(e.answers[pass]))
		}
	}
	return out
}

func looksOf(entries []entry) []byte {
	le := binary.LittleEndian
	out := make([]byte, 0, len(entries)*lookBytes)
	for _, e := range entries {
		out = append(out, e.look.Method)
		out = le.AppendUint32(out, math.Float32bits(float32(e.aspect)))
		for _, hash := range e.look.Parts {
			out = le.AppendUint64(out, hash)
		}
	}
	return out
}

// blobOf writes what is of any length: where each frame's ends, then all of them.
func blobOf(entries []entry, of func([]byte, *entry) []byte) ([]byte, error) {
	out := make([]byte, 4*len(entries))
	for i := range entries {
		start := len(out)
		out = of(out, &entries[i])
		end := len(out) - 4*len(entries)
		if end > maxBlob || len(out)-start > maxDetail {
			return nil, errLong
		}
		binary.LittleEndian.PutUint32(out[4*i:], uint32(end))
	}
	return out, nil
}

func namesOf(out []byte, e *entry) []byte {
	for _, name := range append([]string{e.name}, e.others...) {
		out = append(append(out, folded(name)...), 0)
	}
	return out
}

// folded is a name without what is the same to a reader: case and forms of Unicode.
func folded(name string) string { return plan.Fold(name) }

// part is a part that is open for reading.
type part struct {
	r      io.ReaderAt
	rows   int
	passes int
	key    [32]byte
	from   [sections]int64
	length [sections]int64
	sums   [sections]uint32
}

// openPart reads and checks the header of a part.
func openPart(r io.ReaderAt, size int64) (*part, error) {
	b := make([]byte, headerBytes)
	if size < headerBytes || readAt(r, b, 0) != nil || string(b[:8]) != partMagic {
		return nil, errDamaged
	}
	le := binary.LittleEndian
	if crc32.Checksum(b[:headerBytes-4], castagnoli) != le.Uint32(b[headerBytes-4:]) || le.Uint32(b[8:]) != partVersion {
		return nil, errDamaged
	}
	rows, passes := le.Uint32(b[12:]), le.Uint32(b[16:])
	if rows > mostFrames || passes > maxPasses {
		return nil, errDamaged
	}
	p := &part{r: r, rows: int(rows), passes: int(passes), key: [32]byte(b[20:52])}
	at := int64(headerBytes)
	for i := range sections {
		n := le.Uint64(b[52+8*i:])
		if n > uint64(size-at) {
			return nil, errDamaged
		}
		p.from[i], p.length[i] = at, int64(n)
		p.sums[i] = le.Uint32(b[52+8*sections+4*i:])
		at += int64(n)
	}
	n := int64(rows)
	if at != size || p.length[aboutAt] > maxAbout || p.length[columnsAt] != n*int64(rowBytes+passes) || p.length[looksAt] != n*lookBytes ||
		min(p.length[namesAt], p.length[detailsAt]) < 4*n || max(p.length[namesAt], p.length[detailsAt]) > 4*n+maxBlob {
		return nil, errDamaged
	}
	return p, nil
}

func readAt(r io.ReaderAt, b []byte, at int64) error {
	if n, err := r.ReadAt(b, at); n < len(b) {
		if err == nil || errors.Is(err, io.EOF) {
			return errDamaged
		}
		return err
	}
	return nil
}

// section reads one of them whole.
func (p *part) section(i int) ([]byte, error) {
	b := make([]byte, p.length[i])
	if err := readAt(p.r, b, p.from[i]); err != nil {
		return nil, err
	}
	if crc32.Checksum(b, castagnoli) != p.sums[i] {
		return nil, errDamaged
	}
	return b, nil
}

func (p *part) about() (about, error) {
	var a about
	b, err := p.section(aboutAt)
	if err == nil && record.Decode(b, &a) != nil || len(a.Passes) != p.passes && err == nil {
		err = errDamaged
	}
	return a, err
}

// columns are what is asked of every frame.
type columns struct {
	rows                             int
	times, ids, scenes, bodies, best []byte
	answers                          [][]byte // by pass
}

func (p *part) columns() (columns, error) {
	b, err := p.section(columnsAt)
	if err != nil {
		return columns{}, err
	}
	c := columns{rows: p.rows}
	take := func(size int) (column []byte) {
		column, b = b[:size*p.rows], b[size*p.rows:]
		return column
	}
	c.times, c.ids, c.scenes, c.bodies, c.best = take(8), take(8), take(2), take(1), take(1)
	for range p.passes {
		c.answers = append(c.answers, take(1))
	}
	return c, nil
}

func (c *columns) time(row int) int64   { return int64(binary.LittleEndian.Uint64(c.times[8*row:])) }
func (c *columns) id(row int) uint64    { return binary.LittleEndian.Uint64(c.ids[8*row:]) }
func (c *columns) scene(row int) uint16 { return binary.LittleEndian.Uint16(c.scenes[2*row:]) }

// names are the folded names of all frames, one after the other.
type names struct {
	ends []byte
	text []byte
}

func (p *part) names() (names, error) {
	b, err := p.section(namesAt)
	if err != nil {
		return names{}, err
	}
	n := names{b[:4*p.rows], b[4*p.rows:]}
	last := 0
	for row := range p.rows {
		end := n.end(row)
		if end < last || end > len(n.text) {
			return names{}, errDamaged
		}
		last = end
	}
	return n, nil
}

func (n *names) end(row int) int { return int(binary.LittleEndian.Uint32(n.ends[4*row:])) }

// detail reads what is known of one frame.
func (p *part) detail(row int) (detail, error) {
	var ends [8]byte
	from := p.from[detailsAt]
	begin := uint32(0)
	if row > 0 {
		if err := readAt(p.r, ends[:], from+4*int64(row-1)); err != nil {
			return detail{}, err
		}
		begin = binary.LittleEndian.Uint32(ends[:])
	} else if err := readAt(p.r, ends[4:], from); err != nil {
		return detail{}, err
	}
	end := binary.LittleEndian.Uint32(ends[4:])
	if end < begin || int64(end) > p.length[detailsAt]-4*int64(p.rows) || end-begin > maxDetail {
		return detail{}, errDamaged
	}
	b := make([]byte, end-begin)
	if err := readAt(p.r, b, from+4*int64(p.rows)+int64(begin)); err != nil {
		return detail{}, err
	}
	return parseDetail(b)
}
