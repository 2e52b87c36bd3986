package catalog

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/fnv"
	"io"
)

// This file reads the page structure of a bbolt file (format version 2) without
// bbolt: with every offset, length and page number checked before it is
// followed, so that no file can crash it, send it in circles or make it
// allocate more than the largest run of pages in the file.

// The format: page header, then elements of 16 bytes, then keys and values.
const (
	headerSize  = 16
	elementSize = 16
	metaSize    = 64

	flagBranch   = 0x01
	flagLeaf     = 0x02
	flagMeta     = 0x04
	flagFreelist = 0x10

	boltMagic   = 0xED0CDAED
	boltVersion = 2

	noFreelist = ^uint64(0)

	// maxDepth is far more levels than any file has: 64 levels of two keys
	// each would need 2^64 leaves.
	maxDepth = 64
)

// boltMeta is the part of a meta page that matters here.
type boltMeta struct {
	pageSize int64
	root     uint64
	freelist uint64
	pages    uint64 // page numbers are below this
	txid     uint64
}

// readMeta returns the newer valid one of the two meta pages. When the other is
// broken, or the file is cut off, it returns it with an error.
func readMeta(r io.ReaderAt, size int64) (boltMeta, error) {
	first, err := metaAt(r, 0, size)
	second := boltMeta{}
	if err == nil {
		second, err = metaAt(r, first.pageSize, size)
	} else {
		// The first meta page names the page size. Without it, the second lies
		// at one of the sizes there are.
		for at := int64(1 << 10); at <= 1<<16 && second.pageSize == 0; at <<= 1 {
			if m, merr := metaAt(r, at, size); merr == nil && m.pageSize == at {
				second = m
			}
		}
	}
	best := first
	if second.pageSize != 0 && second.txid > first.txid || first.pageSize == 0 {
		best = second
	}
	if best.pageSize == 0 {
		return boltMeta{}, damage("file", "it does not begin like a catalogue")
	}
	if best.pages > uint64(size/best.pageSize) {
		return best, damage("file", "it is cut off: %d bytes, %d pages of %d expected", size, best.pages, best.pageSize)
	}
	return best, err
}

// metaAt reads the meta page at an offset.
func metaAt(r io.ReaderAt, at, size int64) (boltMeta, error) {
	where := fmt.Sprintf("meta page at %d", at)
	var page [headerSize + metaSize]byte
	if at+int64(len(page)) > size {
		return boltMeta{}, damage(where, "it is cut off")
	}
	if _, err := r.ReadAt(page[:], at); err != nil {
		return boltMeta{}, damage(where, "reading it failed: %v", err)
	}
	m, ok := parseMeta(page[headerSize:])
	if !ok || binary.LittleEndian.Uint16(page[8:]) != flagMeta || (at != 0 && m.pageSize != at) {
		return boltMeta{}, damage(where, "it is broken")
	}
	// bbolt trusts the page to know its own number.
	if binary.LittleEndian.Uint64(page[:]) != uint64(min(at, 1)) {
		return boltMeta{}, damage(where, "it calls itself page %d", binary.LittleEndian.Uint64(page[:]))
	}
	return m, nil
}

func parseMeta(b []byte) (boltMeta, bool) {
	le := binary.LittleEndian
	sum := fnv.New64a()
	sum.Write(b[:56])
	m := boltMeta{
		pageSize: int64(le.Uint32(b[8:])),
		root:     le.Uint64(b[16:]),
		freelist: le.Uint64(b[32:]),
		pages:    le.Uint64(b[40:]),
		txid:     le.Uint64(b[48:]),
	}
	ok := le.Uint32(b) == boltMagic && le.Uint32(b[4:]) == boltVersion && le.Uint64(b[56:]) == sum.Sum64() &&
		m.pageSize >= 1<<10 && m.pageSize <= 1<<16 && m.pageSize&(m.pageSize-1) == 0
	return m, ok
}

// pageID is a page number, for messages.
type pageID uint64

func (id pageID) damage(format string, args ...any) error {
	return damage(fmt.Sprintf("page %d", uint64(id)), format, args...)
}

// walker visits every record of a file. With lenient set, damage is passed to
// the function and the walk goes on beside it; otherwise the first damage ends
// the walk.
type walker struct {
	r       io.ReaderAt
	meta    boltMeta
	used    []bool // pages reached so far
	level   int    // pages held at the moment
	buffers [][]byte
	record  func(path []string, key, value []byte) error
	lenient func(error)
}

// walk goes through the whole tree and the list of free pages.
func (w *walker) walk() error {
	w.used = make([]bool, w.meta.pages)
	if err := w.bucket(nil, w.meta.root, 0); err != nil {
		return err
	}
	return w.tolerate(w.free())
}

// tolerate hands damage to a lenient walk; other errors end any walk.
func (w *walker) tolerate(err error) error {
	if d, ok := err.(*damaged); ok && w.lenient != nil {
		w.lenient(d)
		return nil
	}
	return err
}

// load reads a page with its overflow pages and marks them as used.
func (w *walker) load(id uint64) (page []byte, flags uint16, err error) {
	where := pageID(id)
	if id < 2 || id >= w.meta.pages {
		return nil, 0, where.damage("there is no such page")
	}
	at := int64(id) * w.meta.pageSize
	page = w.buffer(int(w.meta.pageSize))
	if _, err := w.r.ReadAt(page, at); err != nil {
		return nil, 0, where.damage("reading it failed: %v", err)
	}
	le := binary.LittleEndian
	run := uint64(le.Uint32(page[12:])) + 1
	if le.Uint64(page) != id {
		return nil, 0, where.damage("it calls itself page %d", le.Uint64(page))
	}
	if run > w.meta.pages-id {
		return nil, 0, where.damage("it runs past the end")
	}
	for i := id; i < id+run; i++ {
		if w.used[i] {
			return nil, 0, where.damage("it is used twice")
		}
		w.used[i] = true
	}
	if run > 1 {
		page = w.buffer(int(run) * int(w.meta.pageSize))
		if _, err := w.r.ReadAt(page, at); err != nil {
			return nil, 0, where.damage("reading it failed: %v", err)
		}
	}
	return page, le.Uint16(page[8:]), nil
}

// buffer gives the memory for a page at the present level; it is used again
// for the next page there.
func (w *walker) buffer(size int) []byte {
	if w.level == len(w.buffers) {
		w.buffers = append(w.buffers, nil)
	}
	if cap(w.buffers[w.level]) < size {
		w.buffers[w.level] = make([]byte, size)
	}
	return w.buffers[w.level][:size]
}

// bucket walks the bucket whose root page is id.
func (w *walker) bucket(path []string, id uint64, depth int) error {
	if len(path) > 4 {
		return w.tolerate(pageID(id).damage("buckets are nested too deeply"))
	}
	return w.tolerate(w.page(path, id, nil, nil, depth))
}

// page walks one page. Its keys must be at least low and below high (nil = no
// bound).
func (w *walker) page(path []string, id uint64, low, high []byte, depth int) error {
	where := pageID(id)
	if depth > maxDepth {
		return where.damage("the tree is too deep")
	}
	page, flags, err := w.load(id)
	if err != nil {
		return err
	}
	w.level++
	defer func() { w.level-- }()
	switch flags {
	case flagLeaf:
		return w.leaf(path, where, page, low, high, false)
	case flagBranch:
		return w.branch(path, where, page, low, high, depth)
	default:
		return where.damage("it is of kind %#x, neither leaf nor branch", flags)
	}
}

func (w *walker) branch(path []string, where pageID, page, low, high []byte, depth int) error {
	le := binary.LittleEndian
	n := int(le.Uint16(page[10:]))
	if n == 0 || headerSize+n*elementSize > len(page) {
		return where.damage("it has %d elements", n)
	}
	keys := make([][]byte, n)
	for i := range n {
		at := headerSize + i*elementSize
		key, ok := cut(page, at, le.Uint32(page[at:]), le.Uint32(page[at+4:]), n)
		if !ok {
			return where.damage("a key lies outside it")
		}
		keys[i] = key
	}
	if err := inOrder(where, keys, low, high); err != nil {
		if err = w.tolerate(err); err != nil {
			return err
		}
	}
	for i := range n {
		upper := high
		if i+1 < n {
			upper = keys[i+1]
		}
		child := le.Uint64(page[headerSize+i*elementSize+8:])
		if err := w.tolerate(w.page(path, child, keys[i], upper, depth+1)); err != nil {
			return err
		}
	}
	return nil
}

// leaf walks the elements of a leaf page, or of a bucket stored inline.
func (w *walker) leaf(path []string, where pageID, page, low, high []byte, inline bool) error {
	le := binary.LittleEndian
	n := int(le.Uint16(page[10:]))
	if headerSize+n*elementSize > len(page) {
		return where.damage("it has %d elements", n)
	}
	keys := make([][]byte, 0, n)
	for i := range n {
		at := headerSize + i*elementSize
		flags, pos := le.Uint32(page[at:]), le.Uint32(page[at+4:])
		ksize, vsize := le.Uint32(page[at+8:]), le.Uint32(page[at+12:])
		key, ok := cut(page, at, pos, ksize, n)
		value, vok := cut(page, at, pos+ksize, vsize, n)
		if !ok || !vok || pos+ksize < pos || flags > 1 || (flags == 1 && inline) {
			if err := w.tolerate(where.damage("element %d is broken", i)); err != nil {
				return err
			}
			continue
		}
		keys = append(keys, key)
		var err error
		if flags == 1 {
			err = w.nested(append(path[:len(path):len(path)], string(key)), where, value)
		} else {
			err = w.record(path, key, value)
		}
		if err = w.tolerate(err); err != nil {
			return err
		}
	}
	return w.tolerate(inOrder(where, keys, low, high))
}

// nested walks a bucket inside a bucket: by its root page, or inline in value.
func (w *walker) nested(path []string, where pageID, value []byte) error {
	if len(value) < 16 {
		return where.damage("bucket %s is broken", showKey([]byte(path[len(path)-1])))
	}
	if root := binary.LittleEndian.Uint64(value); root != 0 {
		return w.bucket(path, root, 0)
	}
	page := value[16:]
	if len(page) < headerSize || binary.LittleEndian.Uint16(page[8:]) != flagLeaf {
		return where.damage("bucket %s is broken", showKey([]byte(path[len(path)-1])))
	}
	return w.leaf(path, where, page, nil, nil, true)
}

// free checks the list of free pages: in the file, each once, none in use.
func (w *walker) free() error {
	if w.meta.freelist == noFreelist {
		return nil
	}
	page, flags, err := w.load(w.meta.freelist)
	if err != nil {
		return err
	}
	where := pageID(w.meta.freelist)
	if flags != flagFreelist {
		return where.damage("it is of kind %#x, not the list of free pages", flags)
	}
	le := binary.LittleEndian
	ids := page[headerSize:]
	n := uint64(le.Uint16(page[10:]))
	if n == 0xFFFF { // the real count does not fit and comes first
		n, ids = le.Uint64(ids), ids[8:]
	}
	if n > uint64(len(ids)/8) {
		return where.damage("it lists %d free pages", n)
	}
	for i := range n {
		id := le.Uint64(ids[i*8:])
		if id < 2 || id >= w.meta.pages || w.used[id] {
			return where.damage("page %d is listed as free", id)
		}
		w.used[id] = true
	}
	return nil
}

// cut returns page[at+pos : at+pos+size], if it lies in the page and behind the
// n elements.
func cut(page []byte, at int, pos, size uint32, n int) ([]byte, bool) {
	start := int64(at) + int64(pos)
	end := start + int64(size)
	if start < int64(headerSize+n*elementSize) || end > int64(len(page)) {
		return nil, false
	}
	return page[start:end:end], true
}

func inOrder(where pageID, keys [][]byte, low, high []byte) error {
	for i, key := range keys {
		if i > 0 && bytes.Compare(keys[i-1], key) >= 0 {
			return where.damage("its keys are out of order")
		}
	}
	if len(keys) == 0 {
		return nil
	}
	if (low != nil && bytes.Compare(keys[0], low) < 0) || (high != nil && bytes.Compare(keys[len(keys)-1], high) >= 0) {
		return where.damage("its keys belong elsewhere")
	}
	return nil
}
